"""A ranking: each design's value and interval at one condition, those that are tied joined by a bar."""

from __future__ import annotations

from isothrust.present.charts.canvas import Canvas, Caption, Spec, identity_scale, sheet
from isothrust.present.charts.theme import Theme

__all__ = ["RANKING_DATA", "ranking_spec"]

RANKING_DATA = ("ranks", "ties")
"""Named datasets of a ranking, filled from outside in shown units:

ranks, best first: label (place and design), design, place, slot (null: not told apart), x, low, high;
ties: first and last (labels of the ends of a bar), lane (0 beside the plot, then outwards).
"""

NAMES_SHARE = 0.35
"""Of a picture's width: the most that names may take."""
NAMES_IN_PAGE = 170.0
"""Most pixels that names may take in a page."""
LANE = 9
"""Pixels from one bar of ties to the next."""


def ranking_spec(title: str, theme: Theme, canvas: Canvas, *, caption: Caption | None = None) -> Spec:
    """Return the specification of a ranking with empty datasets; `title` names quantity and unit of the axis.

    On a canvas without width the height follows the number of designs.
    """
    spec = sheet(theme, canvas, caption)
    unit = canvas.unit
    if canvas.width is None:
        spec["height"] = {"step": 24}
    spec["datasets"] = {name: [] for name in RANKING_DATA}
    # How many pixels of height a design has: in a long ranking letters and marks shrink with it.
    spec["params"] = [{"name": "row", "expr": "height / max(1, length(domain('y')))"}]
    room = NAMES_IN_PAGE if canvas.width is None else NAMES_SHARE * canvas.width
    spec["layer"] = [_interval(title, theme, unit, room), _dot(title, theme, unit, room), _tie(theme, unit)]
    return spec


def _places(title: str, theme: Theme, unit: float, room: float) -> Spec:
    label = {
        "title": None,
        "domain": False,
        "ticks": False,
        "grid": True,
        "labelLimit": room,
        "labelOverlap": False,
        "labelColor": theme.ink,
        "labelFontSize": {"expr": f"min({12 * unit:.4g}, 0.8 * row)"},
    }
    x = {"title": title, "grid": True, "tickCount": {"expr": "max(3, ceil(width / 130))"}}
    return {
        "x": {"field": "x", "type": "quantitative", "scale": {"zero": False, "nice": True}, "axis": x},
        "y": {
            "field": "label",
            "type": "nominal",
            "sort": None,
            "axis": label,
            "scale": {"type": "point", "padding": 0.5},
        },
    }


def _colour(theme: Theme) -> Spec:
    scale = dict(identity_scale(theme, "color"))
    told_apart = {"field": "slot", "type": "nominal", "scale": scale, "legend": None}
    return {"condition": {"test": "isValid(datum.slot)", **told_apart}, "value": theme.faint}


def _interval(title: str, theme: Theme, unit: float, room: float) -> Spec:
    places = _places(title, theme, unit, room)
    return {
        "data": {"name": "ranks"},
        "mark": {"type": "rule", "strokeWidth": {"expr": f"min({5 * unit:.4g}, 0.4 * row)"}, "strokeOpacity": 0.4},
        "encoding": {
            "y": places["y"],
            "x": {"field": "low", "type": "quantitative", "title": title},
            "x2": {"field": "high"},
            "color": _colour(theme),
        },
    }


def _dot(title: str, theme: Theme, unit: float, room: float) -> Spec:
    shape = {"field": "slot", "type": "nominal", "scale": dict(identity_scale(theme, "shape")), "legend": None}
    return {
        "data": {"name": "ranks"},
        "mark": {
            "type": "point",
            "filled": True,
            "opacity": 1,
            "size": {"expr": f"min({90 * unit**2:.4g}, 0.5 * row * row)"},
            "stroke": theme.background,
            "strokeWidth": 1.1 * unit,
        },
        "encoding": {
            **_places(title, theme, unit, room),
            "color": _colour(theme),
            "shape": {"condition": {"test": "isValid(datum.slot)", **shape}, "value": "circle"},
            "tooltip": [
                {"field": "design", "type": "nominal", "title": "Design"},
                {"field": "place", "type": "quantitative", "title": "Place"},
                {"field": "x", "type": "quantitative", "title": title, "format": ",.4~g"},
                {"field": "low", "type": "quantitative", "title": "95 % from", "format": ",.4~g"},
                {"field": "high", "type": "quantitative", "title": "95 % to", "format": ",.4~g"},
            ],
        },
    }


def _tie(theme: Theme, unit: float) -> Spec:
    """Return the bars; their places are expressions, so that they do not disturb the order of the designs."""
    across = {"value": {"expr": f"width + {12 * unit:.4g} + {LANE * unit:.4g} * datum.lane"}}
    return {
        "data": {"name": "ties"},
        "mark": {"type": "rule", "color": theme.faint, "strokeWidth": 3 * unit, "strokeCap": "round"},
        "encoding": {
            "x": across,
            "y": {"value": {"expr": "scale('y', datum.first) - 0.3 * row"}},
            "y2": {"value": {"expr": "scale('y', datum.last) + 0.3 * row"}},
        },
    }
