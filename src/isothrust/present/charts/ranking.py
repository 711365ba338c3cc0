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
    spec["layer"] = [_interval(title, theme, unit), _dot(title, theme, unit), _tie(theme, unit)]
    return spec


def _places(title: str) -> Spec:
    label = {"title": None, "domain": False, "ticks": False, "grid": True, "labelLimit": 320, "labelOverlap": False}
    x = {"title": title, "format": ",~f", "grid": True, "tickCount": {"expr": "max(3, ceil(width / 130))"}}
    return {
        "x": {"field": "x", "type": "quantitative", "scale": {"zero": False, "nice": True}, "axis": x},
        "y": {"field": "label", "type": "nominal", "sort": None, "axis": label},
    }


def _colour(theme: Theme) -> Spec:
    scale = dict(identity_scale(theme, "color"))
    told_apart = {"field": "slot", "type": "nominal", "scale": scale, "legend": None}
    return {"condition": {"test": "isValid(datum.slot)", **told_apart}, "value": theme.faint}


def _interval(title: str, theme: Theme, unit: float) -> Spec:
    places = _places(title)
    return {
        "data": {"name": "ranks"},
        "mark": {"type": "rule", "strokeWidth": 5 * unit, "opacity": 0.4},
        "encoding": {
            "y": places["y"],
            "x": {"field": "low", "type": "quantitative", "title": title},
            "x2": {"field": "high"},
            "color": _colour(theme),
        },
    }


def _dot(title: str, theme: Theme, unit: float) -> Spec:
    shape = {"field": "slot", "type": "nominal", "scale": dict(identity_scale(theme, "shape")), "legend": None}
    return {
        "data": {"name": "ranks"},
        "mark": {"type": "point", "filled": True, "opacity": 1, "size": 90 * unit**2, "stroke": theme.background},
        "encoding": {
            **_places(title),
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
    middle = "bandwidth('y') / 2"
    reach = f"{0.3:.2g} * bandwidth('y')"
    across = {"value": {"expr": f"width + {12 * unit:.4g} + {LANE * unit:.4g} * datum.lane"}}
    return {
        "data": {"name": "ties"},
        "mark": {"type": "rule", "color": theme.faint, "strokeWidth": 3 * unit, "strokeCap": "round"},
        "encoding": {
            "x": across,
            "y": {"value": {"expr": f"scale('y', datum.first) + {middle} - {reach}"}},
            "y2": {"value": {"expr": f"scale('y', datum.last) + {middle} + {reach}"}},
        },
    }
