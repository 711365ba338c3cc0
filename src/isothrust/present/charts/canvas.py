"""The sheet a chart is drawn on: its size, its words, and what all charts do alike with both."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from isothrust.present.charts.palette import IDENTITIES
from isothrust.present.charts.theme import Theme, look

__all__ = ["Canvas", "Caption", "Spec", "identity_scale", "sheet", "text_width"]

Spec = dict[str, Any]
"""A Vega-Lite specification, or a part of one."""

USUAL_SIZE = (1100.0, 640.0)
"""Pixels at which letters have their usual size."""
DASH = 1.15
"""Of the lengths in the palette, for a line of 2.2 pixels."""
LETTER = 0.56
"""Mean width of a letter, in letter heights: a little more than that of usual sans-serif faces."""


@dataclass(frozen=True, slots=True)
class Caption:
    """What is written above and below a chart in a file; a page says it in its own words."""

    title: str
    lines: tuple[str, ...] = ()
    """Below the title: campaign, class, air."""
    notes: tuple[str, ...] = ()
    """Below the chart: what band, grey and marks mean."""


@dataclass(frozen=True, slots=True)
class Canvas:
    """Width and height [pixels]; None: as wide as what holds it, in a page."""

    width: int | None = None
    height: int = 420
    interactive: bool = False
    """True in a page: what the pointer is near is told."""

    @property
    def unit(self) -> float:
        """How much larger than usual letters and strokes are."""
        if self.width is None:
            return 1.0
        return min(max(min(self.width / USUAL_SIZE[0], self.height / USUAL_SIZE[1]), 0.85), 4.0)


def text_width(text: str, size: float) -> float:
    """Return about how many pixels a text is wide."""
    return LETTER * size * len(text)


def sheet(theme: Theme, canvas: Canvas, caption: Caption | None) -> Spec:
    """Return what stands at the head of every specification; what juts out of the plot is fitted in as well."""
    unit = canvas.unit
    margin = 18 * unit if canvas.width is not None else 8.0
    notes = () if caption is None else _wrapped(caption.notes, canvas, 11.5 * unit)
    spec: Spec = {
        "width": "container" if canvas.width is None else canvas.width,
        "height": canvas.height,
        "autosize": {"type": "fit", "contains": "padding"},
        "padding": margin,
        "config": look(theme, unit),
    }
    if caption is not None:
        lines = _wrapped(caption.lines, canvas, 12.5 * unit)
        spec["title"] = {"text": caption.title, "subtitle": [*lines, *notes]}
    return spec


def _wrapped(lines: tuple[str, ...], canvas: Canvas, size: float) -> list[str]:
    letters = int(((canvas.width or 600) - 40 * canvas.unit) / (LETTER * size))
    return [part for line in lines for part in textwrap.wrap(line, letters, break_on_hyphens=False)]


def identity_scale(theme: Theme, aspect: str, unit: float = 1.0) -> Mapping[str, object]:
    """Return the scale from slots to what an identity looks like: its colour, dash or shape."""
    drawn = {
        "color": [getattr(identity, theme.name) for identity in IDENTITIES],
        "dash": [[round(DASH * unit * part, 2) for part in identity.dash] for identity in IDENTITIES],
        "shape": [identity.shape for identity in IDENTITIES],
    }[aspect]
    return {"domain": list(range(len(IDENTITIES))), "range": drawn}
