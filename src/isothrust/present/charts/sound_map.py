"""The spectrogram of one run against thrust, not time: tones of the blades rise with it, what stands still does not."""

from __future__ import annotations

import numpy as np

from isothrust.present.charts.canvas import Canvas, Caption, Spec, sheet
from isothrust.present.charts.captions import DOT
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.curve_rows import Row, shown_number
from isothrust.present.charts.theme import Theme
from isothrust.records.recording import Floats
from isothrust.records.sound import Passing, SoundMap

__all__ = ["map_caption", "map_datasets", "map_spec"]

_RANGE = 60.0
"""From the strongest line down, more is not told apart by colour [dB]."""
_HARMONICS = 4


def map_datasets(drawn: SoundMap, x: Floats, passing: Passing | None, *, over: str) -> dict[str, list[Row]]:
    """Return the datasets: cells of level over x (m,) [thrust in N, or speed in rad/s] and frequency, and orders."""
    order = np.argsort(x)
    order = order[np.isfinite(x[order])]
    edges = _edges(x[order])
    ratio = np.sqrt(drawn.frequency[1] / drawn.frequency[0])
    top = float(np.nanmax(drawn.level[np.isfinite(drawn.level)]))
    cells: list[Row] = []
    for place, k in enumerate(order.tolist()):
        low, high = shown_number(over, float(edges[place])), shown_number(over, float(edges[place + 1]))
        for j, frequency in enumerate(drawn.frequency.tolist()):
            level = float(drawn.level[k, j])
            if np.isfinite(level):
                cells.append(
                    {
                        "x": low,
                        "x2": high,
                        "y": round(frequency / ratio, 1),
                        "y2": round(frequency * ratio, 1),
                        "level": round(max(level - top, -_RANGE), 1),
                    }
                )
    return {"cells": cells, "orders": _orders(passing, x, order, drawn, over)}


def _orders(passing: Passing | None, x: Floats, order: np.ndarray, drawn: SoundMap, over: str) -> list[Row]:
    if passing is None:
        return []
    rows: list[Row] = []
    turns = 0.0 if not passing.blades else 1.0 / passing.blades
    for harmonic in filter(None, (turns, *range(1, _HARMONICS + 1))):
        name = "1/rev" if harmonic < 1.0 else "blades" if harmonic == 1 else f"{harmonic:g} x blades"
        for k in order.tolist():
            frequency = float(passing.frequency[k]) * harmonic
            if drawn.frequency[0] < frequency < drawn.frequency[-1]:
                rows.append({"order": name, "x": shown_number(over, float(x[k])), "y": round(frequency, 1)})
    return rows


def _edges(x: Floats) -> Floats:
    middle = 0.5 * (x[1:] + x[:-1])
    return np.concatenate([[max(x[0] - (middle[0] - x[0]), 0.0)], middle, [x[-1] + (x[-1] - middle[-1])]])


def map_caption(chart: Chart, run: str, campaign: str, design: str, passing: Passing | None) -> Caption:
    """Return the caption."""
    marks = {
        None: "no tone of the blades was followed",
        "tachometer": "lines: blade passing and its harmonics by the tachometer",
        "sound": "lines: blade passing and its harmonics as the sound itself shows them",
    }[None if passing is None else passing.origin]
    who = DOT.join((f"Campaign {campaign}", f"run {run}", design))
    return Caption(chart.title, (who,), (f"Density of the sound, from the strongest line down; {marks}.",))


def map_spec(chart: Chart, axis: str, theme: Theme, canvas: Canvas, *, caption: Caption | None = None) -> Spec:
    """Return the specification with empty datasets; `axis` is the title along the bottom."""
    spec = sheet(theme, canvas, caption)
    unit = canvas.unit
    spec["datasets"] = {"cells": [], "orders": []}
    x = {"field": "x", "type": "quantitative", "scale": {"zero": False, "nice": False}}
    y = {"field": "y", "type": "quantitative", "scale": {"type": "log", "nice": False}}
    titled_x = {**x, "axis": {"title": axis, "grid": False, "tickCount": {"expr": "max(3, ceil(width / 150))"}}}
    ticks = {"title": chart.y_title, "grid": False, "values": [63, 125, 250, 500, 1000, 2000, 4000, 8000, 16000]}
    titled_y = {**y, "axis": {**ticks, "format": "~s"}}
    scheme = "viridis" if theme.name == "dark" else "inferno"
    legend = {"title": "dB", "gradientLength": 160 * unit, "labelFontSize": 11 * unit, "titleFontSize": 11 * unit}
    legend |= {"labelColor": theme.faint, "titleColor": theme.ink}
    colour = {"field": "level", "type": "quantitative", "scale": {"scheme": scheme}, "legend": legend}
    # cells that meet leave a hair between them: each is drawn a little over its edge
    seam = {**colour, "legend": None}
    line = {"type": "line", "stroke": "#ffffff", "strokeWidth": 1.4 * unit, "strokeDash": [5 * unit, 4 * unit]}
    spec["layer"] = [
        {
            "data": {"name": "cells"},
            "mark": {"type": "rect", "strokeWidth": 1.2},
            "encoding": {
                "x": titled_x,
                "x2": {"field": "x2"},
                "y": titled_y,
                "y2": {"field": "y2"},
                "fill": colour,
                "stroke": seam,
            },
        },
        {
            "data": {"name": "orders"},
            "mark": {**line, "strokeOpacity": 0.85},
            "encoding": {"x": x, "y": y, "detail": {"field": "order", "type": "nominal"}},
        },
        {
            "data": {"name": "orders"},
            "transform": [
                {"window": [{"op": "row_number", "as": "place"}], "groupby": ["order"], "sort": [{"field": "x"}]},
                {"filter": "datum.place == 14"},
            ],
            "mark": {"type": "text", "dy": -8 * unit, "color": "#ffffff", "fontSize": 12 * unit, "fontWeight": "bold"},
            "encoding": {"x": x, "y": y, "text": {"field": "order", "type": "nominal"}},
        },
    ]
    return spec
