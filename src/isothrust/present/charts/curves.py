"""A curve chart: up to eight designs told apart with their bands, the others as context, labels at the line ends."""

from __future__ import annotations

from isothrust.present.charts.canvas import Canvas, Caption, Spec, identity_scale, sheet
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.curve_rows import REACH
from isothrust.present.charts.theme import Theme

__all__ = ["CURVE_DATA", "curve_spec"]

CURVE_DATA = ("context", "chosen", "ends", "point")
"""Named datasets of a curve chart, filled from outside in shown units:

context: design, x, y; chosen: design, slot, x, y, low, high; ends: design, slot, x, y and perhaps a label;
point: x. A gap in a curve is a row whose y is null.
"""

LABEL_STEP = 1.25
"""Distance between labels, in letter heights."""
MARKERS_APART = 8
"""Every so many points of a line carry its marker, each slot's beginning at another one."""


def curve_spec(
    chart: Chart, theme: Theme, canvas: Canvas, *, caption: Caption | None = None, label_room: float = 0.0
) -> Spec:
    """Return the specification of a curve chart with empty datasets.

    Parameters
    ----------
    chart
        From the catalogue, of kind `curves`.
    theme, canvas, caption
        How it looks, how large it is, what is written about it.
    label_room
        Most pixels to the right of the plot that labels of the line ends may take; 0: no labels.
    """
    spec = sheet(theme, canvas, caption)
    unit = canvas.unit
    spec["datasets"] = {name: [] for name in CURVE_DATA}
    spec["params"] = [
        {"name": "label_step", "expr": _label_step(12 * unit)},
    ]
    layers = [
        _context(chart, theme, unit),
        _band(chart, theme),
        _point(theme, unit),
        _lines(chart, theme, unit),
        _markers(theme, unit),
    ]
    if label_room:
        layers += _labels(theme, unit, label_room)
    if canvas.interactive:
        layers.append(_touch(chart, unit))
    spec["layer"] = layers
    return spec


def _axes(chart: Chart, unit: float) -> Spec:
    """Return x and y, said in full by one layer and shared by the others."""
    x = {"grid": False, "title": chart.x_title, "tickCount": {"expr": "max(3, ceil(width / 150))"}}
    y = {"title": chart.y_title, "minExtent": 44 * unit, "tickCount": {"expr": "max(3, ceil(height / 70))"}}
    return {
        "x": {"field": "x", "type": "quantitative", "axis": x, "scale": {"zero": False, "nice": False}},
        "y": {"field": "y", "type": "quantitative", "axis": y, "scale": {"zero": chart.from_zero, "nice": True}},
    }


def _slot(theme: Theme, aspect: str, unit: float = 1.0) -> Spec:
    return {"field": "slot", "type": "nominal", "scale": dict(identity_scale(theme, aspect, unit)), "legend": None}


def _context(chart: Chart, theme: Theme, unit: float) -> Spec:
    line = {"type": "line", "strokeWidth": 1.1 * unit, "strokeOpacity": 0.75, "interpolate": "monotone"}
    encoding = {**_axes(chart, unit), "detail": {"field": "design", "type": "nominal"}}
    if not chart.by_blades:
        return {"data": {"name": "context"}, "mark": {**line, "color": theme.context}, "encoding": encoding}
    groups = {"color": _slot(theme, "color"), "strokeDash": _slot(theme, "dash", unit)}
    return {"data": {"name": "context"}, "mark": line, "encoding": {**encoding, **groups}}


def _band(chart: Chart, theme: Theme) -> Spec:
    return {
        "data": {"name": "chosen"},
        "transform": _within_reach(),
        "mark": {"type": "area", "fillOpacity": theme.band, "opacity": 1, "interpolate": "monotone"},
        "encoding": {
            "x": {"field": "x", "type": "quantitative"},
            "y": {"field": "from", "type": "quantitative", "title": chart.y_title},
            "y2": {"field": "to"},
            "color": _slot(theme, "color"),
            "detail": {"field": "design", "type": "nominal"},
        },
    }


def _within_reach() -> list[Spec]:
    """Return the transforms that cut bands off where they leave the frame.

    A band that is many times wider in one place than elsewhere would flatten every curve; the frame is therefore that
    of the lines with bands of at most a few usual widths about them. What the pointer tells is never cut.
    """
    ends = [{"op": "min", "field": "least", "as": "floor"}, {"op": "max", "field": "most", "as": "roof"}]
    return [
        {"calculate": "isValid(datum.low) && isValid(datum.high) ? (datum.high - datum.low) / 2 : null", "as": "half"},
        {"joinaggregate": [{"op": "median", "field": "half", "as": "usual"}]},
        {"calculate": f"isValid(datum.half) ? min(datum.half, {REACH} * datum.usual) : 0", "as": "reach"},
        {"calculate": "isValid(datum.y) ? datum.y - datum.reach : null", "as": "least"},
        {"calculate": "isValid(datum.y) ? datum.y + datum.reach : null", "as": "most"},
        {"joinaggregate": ends},
        {"calculate": "isValid(datum.half) ? max(datum.low, datum.floor) : null", "as": "from"},
        {"calculate": "isValid(datum.half) ? min(datum.high, datum.roof) : null", "as": "to"},
    ]


def _lines(chart: Chart, theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "chosen"},
        "mark": {"type": "line", "strokeWidth": 2.2 * unit, "interpolate": "monotone"},
        "encoding": {
            **_axes(chart, unit),
            "color": _slot(theme, "color"),
            "strokeDash": _slot(theme, "dash", unit),
            "detail": {"field": "design", "type": "nominal"},
        },
    }


def _markers(theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "chosen"},
        "transform": [
            {"filter": "isValid(datum.y)"},
            {
                "window": [{"op": "row_number", "as": "number"}],
                "groupby": ["design"],
                "sort": [{"field": "x", "order": "ascending"}],
            },
            {"filter": f"datum.number > 1 && (datum.number + 6 - 3 * datum.slot + 24) % {MARKERS_APART} === 0"},
        ],
        "mark": {**_marker(unit), "stroke": theme.background, "strokeWidth": 1.1 * unit},
        "encoding": {
            "x": {"field": "x", "type": "quantitative"},
            "y": {"field": "y", "type": "quantitative"},
            "color": _slot(theme, "color"),
            "shape": _slot(theme, "shape"),
        },
    }


def _marker(unit: float) -> Spec:
    return {"type": "point", "filled": True, "opacity": 1, "size": 62 * unit**2}


def _point(theme: Theme, unit: float) -> Spec:
    return {
        "data": {"name": "point"},
        "mark": {"type": "rule", "color": theme.ink, "strokeWidth": 1.2 * unit, "strokeDash": [3 * unit, 3 * unit]},
        "encoding": {"x": {"field": "x", "type": "quantitative"}},
    }


def _label_step(size: float) -> str:
    """Return the distance between labels in units of the axis, as an expression."""
    return f"abs(domain('y')[1] - domain('y')[0]) * {LABEL_STEP * size:.4g} / max(height, 1)"


def _labels(theme: Theme, unit: float, room: float) -> list[Spec]:
    """Return names beside the line ends, pushed apart, each with its marker and a thin lead from its line.

    Places are expressions and no fields, so that labels do not widen the axes.
    """
    at_label = {"value": {"expr": "scale('y', datum.label_y)"}}
    lead = {
        "mark": {"type": "rule", "strokeWidth": 0.9 * unit, "strokeOpacity": 0.6},
        "encoding": {
            "x": {"value": {"expr": f"scale('x', datum.x) + {3 * unit:.4g}"}},
            "x2": {"value": {"expr": f"width + {8 * unit:.4g}"}},
            "y": {"value": {"expr": "scale('y', datum.y)"}},
            "y2": at_label,
            "color": _slot(theme, "color"),
        },
    }
    marker = {
        "mark": _marker(unit),
        "encoding": {
            "x": {"value": {"expr": f"width + {15 * unit:.4g}"}},
            "y": at_label,
            "color": _slot(theme, "color"),
            "shape": _slot(theme, "shape"),
        },
    }
    name = {
        "mark": {
            "type": "text",
            "align": "left",
            "baseline": "middle",
            "color": theme.ink,
            "fontSize": 12 * unit,
            "limit": room - 24 * unit,
        },
        "encoding": {
            "x": {"value": {"expr": f"width + {24 * unit:.4g}"}},
            "y": at_label,
            "text": {"field": "text", "type": "nominal"},
        },
    }
    return [{"data": {"name": "ends"}, "transform": _pushed_apart(), **part} for part in (lead, marker, name)]


def _pushed_apart() -> list[Spec]:
    """Return the transforms that give each end the height of its label.

    Pushed up only, label i of n in rising order stands at i s + max over j <= i of (y_j - j s); pushed down only, at
    i s + min over j >= i. Both are s apart at least, and so is their mean, which is then kept inside the plot.
    """
    rising = [{"field": "y", "order": "ascending"}]
    return [
        {"filter": "isValid(datum.y)"},
        {"calculate": "datum.label || datum.design", "as": "text"},
        {"window": [{"op": "row_number", "as": "i"}], "sort": rising},
        {"joinaggregate": [{"op": "count", "as": "n"}]},
        {"calculate": "datum.y - datum.i * label_step", "as": "free"},
        {"window": [{"op": "max", "field": "free", "as": "up"}], "sort": rising, "frame": [None, 0]},
        {"window": [{"op": "min", "field": "free", "as": "down"}], "sort": rising, "frame": [0, None]},
        {"calculate": "(datum.up + datum.down) / 2 + datum.i * label_step", "as": "between"},
        {"calculate": "min(datum.between, domain('y')[1] - (datum.n - datum.i) * label_step)", "as": "below"},
        {"calculate": "max(datum.below, domain('y')[0] + (datum.i - 1) * label_step)", "as": "label_y"},
    ]


def _touch(chart: Chart, unit: float) -> Spec:
    """Return unseen points that tell what they stand for when the pointer is near."""
    near = {"type": "point", "on": "pointerover", "nearest": True, "clear": "pointerout"}
    return {
        "data": {"name": "chosen"},
        "transform": [{"filter": "isValid(datum.y)"}],
        "params": [{"name": "near", "select": near}],
        "mark": {"type": "point", "filled": False, "size": 90 * unit**2, "strokeWidth": 2},
        "encoding": {
            "x": {"field": "x", "type": "quantitative"},
            "y": {"field": "y", "type": "quantitative"},
            "opacity": {"condition": {"param": "near", "empty": False, "value": 1}, "value": 0},
            "tooltip": [
                {"field": "design", "type": "nominal", "title": "Design"},
                {"field": "x", "type": "quantitative", "title": chart.x_title, "format": ",.4~g"},
                {"field": "y", "type": "quantitative", "title": chart.y_title, "format": ",.4~g"},
                {"field": "low", "type": "quantitative", "title": "95 % from", "format": ",.4~g"},
                {"field": "high", "type": "quantitative", "title": "95 % to", "format": ",.4~g"},
            ],
        },
    }
