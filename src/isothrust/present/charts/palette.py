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
    """Lengths of stroke and gap in pixels of a picture of the usual size; empty: solid."""
    shape: str
    """Marker: a name, or a path about as large as a circle of radius 1.13."""


_SQUARE: Final = "M-1,-1L1,-1L1,1L-1,1Z"
_UP: Final = "M0,-1.35L1.3,0.95L-1.3,0.95Z"
_DOWN: Final = "M0,1.35L1.3,-0.95L-1.3,-0.95Z"
_DIAMOND: Final = "M0,-1.5L1.2,0L0,1.5L-1.2,0Z"
_CROSS: Final = (
    "M-0.42,-1.3L0.42,-1.3L0.42,-0.42L1.3,-0.42L1.3,0.42L0.42,0.42"
    "L0.42,1.3L-0.42,1.3L-0.42,0.42L-1.3,0.42L-1.3,-0.42L-0.42,-0.42Z"
)
_STAR: Final = "M0,-1.5L0.38,-0.5L1.44,-0.46L0.6,0.19L0.88,1.21L0,0.62L-0.88,1.21L-0.6,0.19L-1.44,-0.46L-0.38,-0.5Z"
_HOURGLASS: Final = "M-1.1,-1.15L1.1,-1.15L-1.1,1.15L1.1,1.15Z"

IDENTITIES: Final[tuple[Identity, ...]] = (
    Identity("#0f57c4", "#6973e2", (), "circle"),
    Identity("#7a0300", "#ffa967", (10, 4), _SQUARE),
    Identity("#008d94", "#0ab3b9", (2, 3), _UP),
    Identity("#a673e2", "#eeb6ff", (10, 3, 2, 3), _DIAMOND),
    Identity("#7c6700", "#8b8f08", (5, 3), _CROSS),
    Identity("#d53461", "#a56053", (18, 4), _DOWN),
    Identity("#145c3d", "#13fbc5", (8, 3, 2, 3, 2, 3), _STAR),
    Identity("#810f66", "#f75c9f", (2, 7), _HOURGLASS),
)
"""By slot, 0 to 7; nobody tells more lines apart at once."""
