"""The torque-speed plane: each propeller's curve, the motor's lines at several throttles, and where they meet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from isothrust.present.charts.canvas import Canvas, Caption, Spec, identity_scale
from isothrust.present.charts.captions import DOT, Subject
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.curve_rows import Row, shown_number
from isothrust.present.charts.curves import curve_spec
from isothrust.present.charts.theme import Theme
from isothrust.records.recording import Floats

__all__ = ["Course", "torque_caption", "torque_datasets", "torque_spec"]


@dataclass(frozen=True, slots=True)
class Course:
    """Torque over speed (n,)."""

    speed: Floats
    """[rad/s]"""
    torque: Floats
    """[N m]"""


def torque_datasets(
    propellers: Mapping[str, Course],
    lines: Mapping[float, Course],
    crossings: Mapping[str, Sequence[tuple[float, float]]],
    slots: Mapping[str, int],
) -> dict[str, list[Row]]:
    """Return the datasets: propellers by design, motor lines by throttle, and where they meet [rad/s, N m]."""
    chosen: list[Row] = []
    ends: list[Row] = []
    for design, slot in slots.items():
        if design not in propellers:
            continue
        rows = [{"design": design, "slot": slot, **row, "low": None, "high": None} for row in _rows(propellers[design])]
        chosen += rows
        ends.append({name: rows[-1][name] for name in ("design", "slot", "x", "y")})
    context = [{"design": _throttle(at), **row} for at, line in lines.items() for row in _rows(line)]
    names: list[Row] = [{"text": _throttle(at), **_rows(line)[0]} for at, line in lines.items()]
    met: list[Row] = [
        {"design": design, "slot": slots[design], "x": shown_number("speed", x), "y": shown_number("torque", y)}
        for design, points in crossings.items()
        if design in slots
        for x, y in points
    ]
    return {"context": context, "chosen": chosen, "ends": ends, "point": [], "throttles": names, "crossings": met}


def _throttle(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _rows(course: Course) -> list[Row]:
    pairs = zip(course.speed.tolist(), course.torque.tolist(), strict=True)
    return [{"x": shown_number("speed", x), "y": shown_number("torque", y)} for x, y in pairs]


def torque_caption(
    chart: Chart, subject: Subject, motor: str, *, warmth: float, supply: tuple[float, float]
) -> Caption:
    """Return the caption; `warmth` [K] over 20 degC, `supply`: voltage [V] and resistance [ohm]."""
    who = DOT.join((f"Campaign {subject.campaign}", subject.class_name, f"motor {motor}"))
    air = f"Propellers in standard air ({subject.standard_density:.4g} kg/m3)"
    drive = f"supply {supply[0]:.1f} V behind {1e3 * supply[1]:.0f} mohm, winding at {20.0 + warmth:.0f} degC"
    notes = "Grey: what the motor gives at a throttle. Marks: where it meets a propeller, the steady state there."
    return Caption(chart.title, (who, f"{air}; {drive}."), (notes,))


def torque_spec(
    chart: Chart, theme: Theme, canvas: Canvas, *, caption: Caption | None = None, label_room: float = 0.0
) -> Spec:
    """Return the specification: a curve chart with the motor's lines in grey, their throttles, and marks."""
    spec = curve_spec(chart, theme, canvas, caption=caption, label_room=label_room)
    spec["datasets"] |= {"throttles": [], "crossings": []}
    unit = canvas.unit
    text = {"type": "text", "align": "left", "baseline": "bottom", "dx": 4 * unit, "dy": -2 * unit}
    places = {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}}
    colour = {"field": "slot", "type": "nominal", "scale": dict(identity_scale(theme, "color")), "legend": None}
    mark = {"type": "point", "filled": True, "shape": "circle", "opacity": 1, "size": 110 * unit**2}
    spec["layer"] += [
        {
            "data": {"name": "throttles"},
            "mark": {**text, "color": theme.ink, "fontSize": 11 * unit},
            "encoding": {**places, "text": {"field": "text", "type": "nominal"}},
        },
        {
            "data": {"name": "crossings"},
            "mark": {**mark, "stroke": theme.ink, "strokeWidth": 1.2 * unit},
            "encoding": {**places, "color": colour},
        },
    ]
    return spec
