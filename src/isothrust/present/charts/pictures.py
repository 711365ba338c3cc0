"""A drawing made a file's content: PNG, SVG or PDF of the size asked for, marked with the chart's name."""

from __future__ import annotations

from isothrust.present.charts.canvas import Canvas
from isothrust.present.charts.drawing import Drawing, drawing_spec
from isothrust.present.charts.render import pdf, png, svg
from isothrust.present.charts.signature import PictureKind, signed
from isothrust.present.charts.theme import Theme

__all__ = ["picture_of"]


def picture_of(drawing: Drawing, kind: PictureKind, theme: Theme, canvas: Canvas, *, name: str) -> bytes:
    """Return the picture; `name` is the mark by which a later one may replace it."""
    spec = drawing_spec(drawing, theme, canvas)
    if kind == "svg":
        return signed(svg(spec).encode(), kind, name)
    return signed(png(spec) if kind == "png" else pdf(spec), kind, name)
