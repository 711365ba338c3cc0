"""Eight identities: each a colour for light and for dark, a dash and a marker, so that colour never stands alone.

The colours were chosen by search: far apart for colour-blind eyes as well, and each against both backgrounds. Tests
measure it: contrast of at least 3:1 (WCAG 2.1, 1.4.11) and a difference of colour under simulated protanopia,
deuteranopia and tritanopia (Machado et al. 2009).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["IDENTITIES", "Identity"]


@dataclass(frozen=True, slots=True)
class Identity:
    """What one of the eight lines told apart looks like."""

    light: str
    """Colour on the light background, `#rrggbb`."""
    dark: str
    """Colour on the dark background."""
    dash: tuple[int, ...]
    """Lengths of stroke and gap, in widths of a line of 2 pixels; empty: solid."""
    shape: str
    """Marker: a name or a path in Vega's unit square from -1 to 1."""


_STAR: Final = "M0,-1.2L0.3,-0.4L1.15,-0.37L0.48,0.15L0.7,0.97L0,0.5L-0.7,0.97L-0.48,0.15L-1.15,-0.37L-0.3,-0.4Z"
_HOURGLASS: Final = "M-0.9,-0.9L0.9,-0.9L-0.9,0.9L0.9,0.9Z"

IDENTITIES: Final[tuple[Identity, ...]] = (
    Identity("#0f57c4", "#6973e2", (), "circle"),
    Identity("#7a0300", "#ffa967", (8, 3), "square"),
    Identity("#008d94", "#0ab3b9", (2, 2), "triangle-up"),
    Identity("#a673e2", "#eeb6ff", (9, 3, 2, 3), "diamond"),
    Identity("#7c6700", "#8b8f08", (4, 2), "cross"),
    Identity("#d53461", "#a56053", (14, 4), "triangle-down"),
    Identity("#145c3d", "#13fbc5", (6, 2, 2, 2, 2, 2), _STAR),
    Identity("#810f66", "#f75c9f", (1, 4), _HOURGLASS),
)
"""By slot, 0 to 7; nobody tells more lines apart at once."""
