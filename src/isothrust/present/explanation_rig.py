"""The rig in an explanation: how each channel is made of columns, and what its uncertainty was stated to be."""

from __future__ import annotations

from isothrust.present.explanation_words import GAP_LINE, indented, paragraph, table_at, title, working
from isothrust.present.plain import Line
from isothrust.present.rounding import plainly
from isothrust.present.table import Table
from isothrust.quantities import CHANNELS, parse_unit
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.records.trail import Explanation

__all__ = ["channel_formula", "rig_lines"]


def rig_lines(explanation: Explanation, width: int) -> list[Line]:
    """Return what the rig file says of the channels that were read."""
    rig = explanation.rig
    read = {name for run in explanation.runs for name in run.channels}
    plans = [plan for name, plan in rig.channels.items() if name in read or (name == "time" and read)]
    rows = tuple((f"{plan.quantity} {_unit_of(plan)}", channel_formula(plan), _stated(plan)) for plan in plans)
    heads = ("channel", "made of the log's columns", "stated standard uncertainty")
    return [
        *title(f"Rig {rig.name}"),
        *paragraph(_geometry(explanation), width),
        *([GAP_LINE, *table_at(Table("", heads, rows, frozenset({0, 1, 2}), (), 1), width)] if rows else []),
        *(indented(f"air sensors: {text}") for text in [_air(rig)] if text),
    ]


def channel_formula(plan: ChannelPlan) -> str:
    """Return how a channel follows from its columns, as a sum that a calculator takes; and where its numbers are from.

    Examples
    --------
    >>> from isothrust.records.rig import ColumnPick
    >>> channel_formula(ChannelPlan("thrust", (ColumnPick("axial"),), unit="gf", factor=0.00980665, sign=-1.0))
    '-0.00980665 * "axial" (column in gf, sign -1)'
    """
    if not plan.picks:
        return f"one sample every {working(1.0 / plan.rate)} s" if plan.rate else "-"
    if plan.quantity == "time" and plan.unit is None:
        return f"{_column(plan, 0)}, from its first stamp"
    scale, offset = _scale(plan)
    terms = [
        (scale * pick.weight * (1.0 if pick.arm is None else pick.arm), _column(plan, place))
        for place, pick in enumerate(plan.picks)
    ]
    joint = ", " if plan.quantity == "acceleration" else None
    text = joint.join(f"{working(value)} * {name}" for value, name in terms) if joint else _sum(terms)
    if offset:
        text += f" {'-' if offset < 0.0 else '+'} {working(abs(offset))}"
    about = _about(plan)
    return f"{text} ({about})" if about else text


def _scale(plan: ChannelPlan) -> tuple[float, float]:
    """Return SI per column unit, and the SI value of a reading of zero."""
    if plan.throttle_range is not None:
        low, high = plan.throttle_range
        return 1.0 / (high - low), -low / (high - low)
    scale = plan.sign * plan.ratio / (plan.pole_pairs or 1.0)
    return scale * plan.factor, scale * plan.offset


def _sum(terms: list[tuple[float, str]]) -> str:
    (first, name), *others = terms
    text = f"{working(first)} * {name}"
    for value, other in others:
        text += f" {'-' if value < 0.0 else '+'} {working(abs(value))} * {other}"
    return text


def _column(plan: ChannelPlan, place: int) -> str:
    pick = plan.picks[place]
    return f'"{pick.head}"' if pick.head is not None else f"column {pick.position}"


def _about(plan: ChannelPlan) -> str:
    said = []
    if plan.unit is not None:
        said.append(f"column in {plan.unit}")
    elif plan.throttle_range is None and plan.quantity != "time":
        said.append("unit as the log's head gives it")
    if plan.throttle_range is not None:
        said.append(f"{plainly(plan.throttle_range[0])} is 0 %, {plainly(plan.throttle_range[1])} is 100 %")
    if plan.sign < 0.0 and plan.throttle_range is None:
        said.append("sign -1")
    if plan.ratio != 1.0:
        said.append(f"lever {plainly(plan.ratio)}")
    arms = [f"{plainly(1e3 * pick.arm)} mm" for pick in plan.picks if pick.arm is not None]
    if arms:
        said.append(f"arm{'s' if len(arms) > 1 else ''} {', '.join(arms)}")
    if plan.pole_pairs:
        said.append(f"{plainly(plan.pole_pairs)} pole pairs")
    return ", ".join(said)


def _unit_of(plan: ChannelPlan) -> str:
    return f"[{CHANNELS[plan.quantity].si}]"


def _stated(plan: ChannelPlan) -> str:
    if plan.uncertainty is None:
        return "-" if plan.quantity in {"time", "throttle"} else "not stated"
    unit = parse_unit(CHANNELS[plan.quantity].shown)
    parts = []
    if plan.uncertainty.relative:
        parts.append(f"{plainly(100.0 * plan.uncertainty.relative)} %")
    if plan.uncertainty.absolute:
        parts.append(f"{plainly(plan.uncertainty.absolute / unit.factor)} {unit.text}")
    return " and ".join(parts) or "0"


def _air(rig: Rig) -> str:
    stated = [
        ("temperature", rig.u_temperature, 1.0, "K"),
        ("pressure", rig.u_pressure, 100.0, "hPa"),
        ("humidity", rig.u_humidity, 0.01, "%"),
    ]
    said = [f"{name} {plainly(value / factor)} {unit}" for name, value, factor, unit in stated if value is not None]
    return f"{', '.join(said)} (standard uncertainties)" if said else ""


def _geometry(explanation: Explanation) -> str:
    rig, motor = explanation.rig, explanation.motor
    said = [rig.title] if rig.title else []
    if motor is not None:
        said.append(f"motor {motor.name}")
    if rig.layout:
        said.append(rig.layout)
    if rig.obstruction is None:
        said.append("its area in the slipstream is not stated, so thrust was not raised for it")
    elif explanation.slipstream is None:
        said.append(f"{plainly(1e4 * rig.obstruction)} cm2 in the slipstream, without a diameter not allowed for")
    else:
        area = f"{plainly(1e4 * rig.obstruction)} cm2 of it in the slipstream"
        said.append(f"{area}: thrust, its zero out, was multiplied by {working(explanation.slipstream)}")
    return "; ".join(said)
