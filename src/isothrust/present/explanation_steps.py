"""The steps of a run in an explanation: each of them, the means, and what they tell of rotor and drive."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import combinations
from types import MappingProxyType
from typing import Final

from isothrust.present.explanation_words import GAP_LINE, answer, indented, paragraph, table_at
from isothrust.present.plain import Line
from isothrust.present.table import Table
from isothrust.quantities import parse_unit
from isothrust.records.estimate import Estimate
from isothrust.records.response import Response, Step, StepKind

__all__ = ["STEPS_READING", "agreement_words", "steps_lines"]

STEPS_READING: Final = (
    "Steps: a level is the mean of the last 0.2 s before the next command, or of 40 % of the time there where that is "
    "shorter. A rate is 0.8 of the way between two levels over the time from 10 to 90 % of it. Repeats of one step "
    "are averaged; one whose time from 10 to 90 % stands more than 4 of their scatters (1.4826 times the median "
    "distance from the median) and 3 % apart from the median is left out, from four repeats on. From 200 readings a "
    "second on, times are read between samples, and what sampling and the tachometer's window do to the fitted course "
    "is taken off; below that, they are those of the course fitted to all repeats: y' = min(most, (u - y)(1 + bend "
    "(1 - y))/lag), its command u straight from 0 to 1 within a ramp, several families weighed by how well they fit."
)
_SURE: Final = 2.6
_GRAM_CENTIMETRE2: Final = parse_unit("g cm2").factor
_SHOWN: Final[Mapping[str, tuple[str, str]]] = MappingProxyType({"speed": ("rpm", "rpm/s"), "thrust": ("gf", "gf/s")})


def steps_lines(response: Response, width: int) -> list[Line]:
    """Return what is known of a run's steps."""
    if not response.steps:
        return [GAP_LINE, indented("steps: none")]
    lines = [GAP_LINE, *paragraph(_followed(response), width)]
    lines += table_at(_kinds(response), width)
    for kind in response.kinds:
        if kind.absent:
            lines += paragraph(f"steps {kind.direction} {_way(response, kind)}: no times: {kind.absent}", width)
    lines += [GAP_LINE, *table_at(_steps(response), width)]
    if response.followed == "speed":
        lines += paragraph(f"steps down: {response.falls} ({response.falls_because})", width)
        lines += _rotor(response, width)
    return lines


def _followed(response: Response) -> str:
    said = f"steps: followed in {response.followed}, {1.0 / response.interval:.4g} readings a second"
    if response.followed != "speed":
        return said + "; what filters the load cell is in all times"
    window = f"{answer(1e3 * response.window)} ms"
    if response.window_known:
        return said + f"; the tachometer's mean over {window}, as the rig file states it, taken off"
    return (
        said
        + f"; the rig states no window of the tachometer: a mean over {window} taken off, as the sharpest corner of "
        "the steps allows it (window under channels.speed states it)"
    )


def _level(response: Response, value: float) -> str:
    return f"{value / parse_unit(_SHOWN[response.followed][0]).factor:.0f}"


def _throttles(item: Step | StepKind) -> str:
    if item.from_throttle is None or item.to_throttle is None:
        return ""
    return f"{100.0 * item.from_throttle:.3g} to {100.0 * item.to_throttle:.3g}"


def _way(response: Response, kind: StepKind) -> str:
    if kind.from_throttle is not None:
        return f"from {_throttles(kind)} % throttle"
    unit = _SHOWN[response.followed][0]
    return f"from {_level(response, kind.from_level)} to {_level(response, kind.to_level)} {unit}"


def _milliseconds(value: float | None) -> str:
    return "" if value is None else answer(1e3 * value)


def _rate(response: Response, value: float | None) -> str:
    if value is None:
        return ""
    return f"{value / parse_unit(_SHOWN[response.followed][1]).factor:.0f}"


def _kinds(response: Response) -> Table:
    level, rate = _SHOWN[response.followed]
    heads = (
        "steps",
        "throttle\n[%]",
        f"levels\n[{level}]",
        "used",
        f"rate\n[{rate}]",
        "10-90 %\n[ms]",
        "5 %\n[ms]",
        "63 %\n[ms]",
        "settled\n[ms]",
        "overshoot\n[%]",
        "times from",
    )
    rows = tuple(
        (
            kind.direction,
            _throttles(kind),
            f"{_level(response, kind.from_level)} to {_level(response, kind.to_level)}",
            f"{kind.used} of {kind.count}",
            _rate(response, kind.rate),
            _milliseconds(kind.across),
            _milliseconds(kind.dead),
            _milliseconds(kind.response),
            _milliseconds(kind.settling),
            "" if kind.overshoot is None else answer(100.0 * kind.overshoot),
            {"samples": "samples", "model": "fit", "none": ""}[kind.method],
        )
        for kind in response.kinds
    )
    return Table("", heads, rows, frozenset({0, 1, 2, 3, 10}))


def _steps(response: Response) -> Table:
    heads = ("step at [s]", "", "throttle [%]", f"rate [{_SHOWN[response.followed][1]}]", "10-90 % [ms]", "left out")
    rows = tuple(
        (
            f"{step.start:.4f}",
            step.direction,
            _throttles(step),
            _rate(response, step.rate),
            _milliseconds(step.across),
            step.why,
        )
        for step in response.steps
    )
    return Table("", heads, rows, frozenset({1, 2, 5}), (), 5)


def _rotor(response: Response, width: int) -> list[Line]:
    lines: list[Line] = []
    if response.inertias:
        lines += paragraph(agreement_words(response), width)
    if response.friction is not None:
        lines += paragraph(
            f"friction in the coast: {answer(response.friction.value)} N m, "
            f"u = {answer(response.friction.uncertainty)} N m: bearing and iron drag, "
            "which the cell reads with its sign turned while the phases are off",
            width,
        )
    if response.drive_damping is not None:
        lines += paragraph(
            f"damping by the drive: {answer(response.drive_damping.value)} N m s, u = "
            f"{answer(response.drive_damping.uncertainty)} N m s: what torque it loses with speed at a throttle that "
            f"stands, from {response.drive_damping.origin}",
            width,
        )
    return lines


def agreement_words(response: Response) -> str:
    """Return what inertia each kind of transient shows, whether they agree, and what that proves."""
    told = ", ".join(f"{name} {_inertia(one)}" for name, one in response.inertias.items())
    if len(response.inertias) < 2:
        return f"inertia by {told}: the only kind of transient, so nothing checks it"
    apart = [
        f"{first} and {second}"
        for (first, a), (second, b) in combinations(response.inertias.items(), 2)
        if abs(a.value - b.value) > _SURE * math.hypot(a.uncertainty, b.uncertainty)
    ]
    spread = max(one.value for one in response.inertias.values()) / min(one.value for one in response.inertias.values())
    said = (
        f"they agree within their uncertainties ({100.0 * (spread - 1.0):.1f} % apart at most)"
        if not apart
        else f"{', '.join(apart)} disagree: the delay of torque, friction or the torque curve is not understood"
    )
    return (
        f"inertia by {told}; {said}. This checks the delay of torque and the friction, which act on each kind in "
        "another way. It does not check the torque scale, which all of them share: a run with a ring of known inertia "
        "added does"
    )


def _inertia(one: Estimate) -> str:
    return f"{answer(one.value / _GRAM_CENTIMETRE2)} (u {answer(one.uncertainty / _GRAM_CENTIMETRE2)}) g cm2"
