"""A chart ready to be drawn: its data and words, still without size or colours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from isothrust.present.charts.canvas import Canvas, Caption, Spec
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.curve_rows import Row
from isothrust.present.charts.curves import curve_spec
from isothrust.present.charts.ranking import ranking_spec
from isothrust.present.charts.recording import recording_spec
from isothrust.present.charts.sound_bands import bands_spec
from isothrust.present.charts.sound_map import map_spec
from isothrust.present.charts.theme import Theme
from isothrust.present.charts.torque_speed import torque_spec

__all__ = ["Drawing", "drawing_spec"]

LABEL_SHARE = 0.28
"""Of a picture's width: the most that names at the line ends may take."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """One chart with its data."""

    chart: Chart
    caption: Caption
    datasets: Mapping[str, list[Row]]
    axis: str = ""
    """Title of a ranking's axis; the others have theirs from the catalogue."""


def drawing_spec(drawing: Drawing, theme: Theme, canvas: Canvas) -> Spec:
    """Return the whole specification, data inside."""
    if drawing.chart.kind == "ranking":
        spec = ranking_spec(drawing.axis, theme, canvas, caption=drawing.caption)
    elif drawing.chart.kind == "recording":
        spec = recording_spec(theme, canvas, caption=drawing.caption)
    elif drawing.chart.kind == "sound-map":
        spec = map_spec(drawing.chart, drawing.axis, theme, canvas, caption=drawing.caption)
    else:
        room = LABEL_SHARE * (canvas.width or 0)
        make = {"torque": torque_spec, "bands": bands_spec}.get(drawing.chart.kind, curve_spec)
        spec = make(drawing.chart, theme, canvas, caption=drawing.caption, label_room=room)
    spec["description"] = " ".join((f"{drawing.caption.title}.", *drawing.caption.lines))
    spec["datasets"] = {name: list(rows) for name, rows in drawing.datasets.items()}
    return spec
