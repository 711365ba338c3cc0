"""A picture of a recording: a few channels over one time, the span of each finding shaded and named.

All panels share one view whose height they divide among themselves, so that one specification serves every run,
fills the width of a page, and makes a file of exactly the size asked for.
"""

from __future__ import annotations

from isothrust.present.charts.canvas import Canvas, Caption, Spec, sheet
from isothrust.present.charts.recording_data import RECORDING_DATA
from isothrust.present.charts.theme import Theme

__all__ = ["recording_spec"]

MOMENT = 0.01
"""Of the time drawn: what is shorter is a moment."""


def recording_spec(theme: Theme, canvas: Canvas, *, caption: Caption | None = None) -> Spec:
    """Return the specification of a recording's picture with empty datasets, see `recording_data`."""
    spec = sheet(theme, canvas, caption)
    unit = canvas.unit
    spec["datasets"] = {name: [] for name in RECORDING_DATA}
    spec["layer"] = [
        _panels(theme),
        _grid(theme, unit),
        _spans(theme, unit),
        _traces(theme, unit),
        _moments(theme, unit),
        _tick_labels(theme, unit),
        _titles(theme, unit),
        _lane_bars(theme, unit),
        _lane_names(theme, unit),
    ]
    return spec


def _height(field: str) -> Spec:
    scale = {"reverse": True, "nice": False, "zero": True}
    return {"field": field, "type": "quantitative", "axis": None, "scale": scale}


def _time(field: str) -> Spec:
    axis = {
        "title": "Time [s]",
        "grid": True,
        "tickCount": {"expr": "max(3, ceil(width / 110))"},
    }
    return {"field": field, "type": "quantitative", "axis": axis, "scale": {"zero": False, "nice": False}}


def _severity(theme: Theme) -> Spec:
    scale = {"domain": ["fail", "warning", "note"], "range": [theme.alarm, theme.warning, theme.faint]}
    return {"field": "severity", "type": "nominal", "scale": scale, "legend": None}


def _panels(theme: Theme) -> Spec:
    return {
        "data": {"name": "panels"},
        "mark": {"type": "rect", "fill": theme.grid, "fillOpacity": 0.35},
        "encoding": {"y": _height("top"), "y2": {"field": "bottom"}},
    }


def _grid(theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "ticks"},
        "mark": {"type": "rule", "stroke": theme.grid, "strokeWidth": unit},
        "encoding": {"y": _height("y")},
    }


def _spans(theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "spans"},
        "mark": {"type": "rect", "fillOpacity": 0.16, "strokeOpacity": 0.9, "strokeWidth": 1.2 * unit},
        "encoding": {
            "x": _time("start"),
            "x2": {"field": "end"},
            "y": _height("top"),
            "y2": {"field": "bottom"},
            "fill": _severity(theme),
            "stroke": _severity(theme),
            "tooltip": [
                {"field": "code", "type": "nominal", "title": "Finding"},
                {"field": "message", "type": "nominal", "title": "What"},
                {"field": "start", "type": "quantitative", "title": "From [s]"},
                {"field": "end", "type": "quantitative", "title": "To [s]"},
            ],
        },
    }


def _moments(theme: Theme, unit: float) -> Spec:
    """Return marks below the spans that are too short to be seen as a shade."""
    mark = {"type": "point", "shape": "triangle-up", "filled": True, "opacity": 1, "size": 46 * unit**2}
    return {
        "data": {"name": "spans"},
        "transform": [{"filter": f"datum.end - datum.start < {MOMENT} * (domain('x')[1] - domain('x')[0])"}],
        "mark": {**mark, "yOffset": 4 * unit},
        "encoding": {
            "x": {"value": {"expr": "scale('x', (datum.start + datum.end) / 2)"}},
            "y": _height("bottom"),
            "color": _severity(theme),
        },
    }


def _traces(theme: Theme, unit: float) -> Spec:
    look_up = {"data": {"name": "panels"}, "key": "panel", "fields": ["top", "bottom", "low", "high"]}
    share = "(datum.value - datum.low) / (datum.high - datum.low)"
    return {
        "data": {"name": "trace"},
        "transform": [
            {"lookup": "panel", "from": look_up},
            {"calculate": f"datum.bottom - {share} * (datum.bottom - datum.top)", "as": "y"},
        ],
        "mark": {"type": "line", "stroke": theme.ink, "strokeWidth": 1.3 * unit, "strokeJoin": "round"},
        "encoding": {"x": _time("x"), "y": _height("y"), "detail": {"field": "panel", "type": "nominal"}},
    }


def _tick_labels(theme: Theme, unit: float) -> Spec:
    mark = {"type": "text", "align": "right", "baseline": "middle", "dx": -6 * unit, "color": theme.faint}
    return {
        "data": {"name": "ticks"},
        "mark": {**mark, "fontSize": 11 * unit},
        "encoding": {"x": {"value": 0}, "y": _height("y"), "text": {"field": "text", "type": "nominal"}},
    }


def _titles(theme: Theme, unit: float) -> Spec:
    mark = {"type": "text", "align": "left", "baseline": "bottom", "dy": -3 * unit, "color": theme.ink}
    return {
        "data": {"name": "panels"},
        "mark": {**mark, "fontSize": 12.5 * unit},
        "encoding": {"x": {"value": 0}, "y": _height("top"), "text": {"field": "title", "type": "nominal"}},
    }


def _lane_bars(theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "lanes"},
        "mark": {"type": "rule", "strokeWidth": 5 * unit, "strokeCap": "round"},
        "encoding": {"x": _time("start"), "x2": {"field": "end"}, "y": _height("y"), "color": _severity(theme)},
    }


def _lane_names(theme: Theme, unit: float) -> Spec:
    size = 12 * unit
    mark = {"type": "text", "align": "left", "baseline": "bottom", "dy": -5 * unit, "color": theme.ink}
    place = f"max(0, min(scale('x', datum.start), width - {0.56 * size:.4g} * length(datum.text)))"
    return {
        "data": {"name": "lanes"},
        # on a phone a name may be longer than the picture is wide
        "mark": {**mark, "fontSize": size, "limit": {"expr": "width"}},
        "encoding": {
            "x": {"value": {"expr": place}},
            "y": _height("y"),
            "text": {"field": "text", "type": "nominal"},
        },
    }
