"""One run's figure in an explanation: the curves at the condition, the arithmetic line by line, the budget."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.present.explanation_words import (
    GAP_LINE,
    answer,
    filled,
    freedom,
    indented,
    listed,
    listed_freedom,
    named_source,
    paragraph,
    scaled,
    si_unit,
    table_at,
    unit_words,
    working,
)
from isothrust.present.plain import Line
from isothrust.present.shown import condition_words, in_shown_unit, measurand_words, unit_label
from isothrust.present.table import Table
from isothrust.quantities import MEASURANDS, OF_STEPS
from isothrust.records.result import Condition
from isothrust.records.trail import CurvePiece, RunWorking, Step

__all__ = ["working_lines"]

OF_SOUND: Final[Mapping[str, tuple[str, str, str]]] = MappingProxyType(
    {
        "sound-level": ("y_L_A", "level weighted A, in the air of the day", "dB"),
        "c-weighted-level": ("y_L_C", "level weighted C, in the air of the day", "dB"),
        "blade-passing-level": ("y_L_B", "level of the blades' first harmonic", "dB"),
        "tonal-balance": ("y_L_W", "energy of tones over the rest, weighted A", "dB"),
        "tone-to-noise-ratio": ("y_L_T", "tone over the noise in its critical band", "dB"),
        "prominence-ratio": ("y_L_P", "critical band over its neighbours", "dB"),
        "loudness": ("y_N", "loudness", "sone"),
        "sharpness": ("y_S", "sharpness", "acum"),
    }
)
"""Curve of sound -> symbol, what was fitted, unit of curve and reading."""
SYMBOLS: Final[Mapping[str, str]] = MappingProxyType(
    {"thrust": "y_T", "torque": "y_Q", "electrical-power": "y_P", "current": "y_I", "throttle": "y_D"}
    | {"vibration": "y_a"}
    | {name: symbol for name, (symbol, _, _) in OF_SOUND.items()}
)
OVER_SPEED: Final[Mapping[str, tuple[str, str, str]]] = MappingProxyType(
    {
        "thrust": ("T / (rho * omega^2)", "m4", "N"),
        "torque": ("Q / (rho * omega^2), inertial part out", "m5", "N m"),
        "electrical-power": ("P_el / (rho0 * omega^3), in the steady state and standard air", "m5", "W"),
        "current": ("I / omega^2, in the steady state and standard air", "A s2", "A"),
        "throttle": ("throttle, in the steady state and standard air", "1", "1"),
        "vibration": ("ln(a^2 / omega^4), a^2 the mean square of all axes, in the air of the day", "1", "1"),
        **{name: (what, unit, unit) for name, (_, what, unit) in OF_SOUND.items()},
    }
)
"""What each curve was fitted to, its unit, and the unit of its readings."""
OVER_ROOT_THRUST: Final[Mapping[str, tuple[str, str, str]]] = MappingProxyType(
    {
        "electrical-power": ("P_el / T^1.5, as recorded", "W/N^1.5", "W"),
        "current": ("I / T, as recorded", "A/N", "A"),
        "throttle": ("throttle, as recorded", "1", "1"),
        "vibration": ("ln(a^2 / T^2), a^2 the mean square of all axes, as recorded", "1", "1"),
        **{name: (what, unit, unit) for name, (_, what, unit) in OF_SOUND.items()},
    }
)
AS_RECORDED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "electrical-power": "electrical-as-recorded",
        "current": "electrical-as-recorded",
        "throttle": "throttle-as-recorded",
    }
)
"""Flag of a run whose curve was not brought to the steady state."""
_STEADY = "in the steady state and standard air"


def working_lines(run: RunWorking, condition: Condition | None, width: int, *, counts: bool = True) -> list[Line]:
    """Return how one run's figure comes about; one that does not count is marked."""
    figure = run.figure
    name = figure.measurand
    head = f"{measurand_words(name)} {condition_words(condition)}".rstrip()
    head += "" if counts or figure.value is None else ", by itself (it does not count)"
    if figure.value is None:
        return [GAP_LINE, indented(head), *paragraph(f"none: {figure.absent}", width, 2)]
    lines = [GAP_LINE, indented(head)]
    if condition is not None:
        lines += _abscissa(run, condition)
        for piece in run.pieces:
            lines += _piece(piece, run, width)
        for step in run.steps:
            lines += _step(step, width)
    else:
        lines += paragraph(_single(run), width, 2)
    lines += _arrived(run)
    return [*lines, *_budget(run, width)]


def _abscissa(run: RunWorking, condition: Condition) -> list[Line]:
    if run.pieces and run.pieces[0].abscissa == "root-thrust":
        return [indented(f"T = {_asked(condition)}: there is no speed, the curves run over x = sqrt(T)", 2)]
    if condition.quantity == "speed":
        shown = working(in_shown_unit("speed", condition.value))
        return [indented(f"omega = {shown} * 2 * pi / 60 = {working(condition.value)} rad/s", 2)]
    return [
        indented(f"omega = {working(run.pieces[0].x)} rad/s, found on the curve: T below is the thrust asked for", 2)
    ]


def _asked(condition: Condition) -> str:
    shown = in_shown_unit(condition.quantity, condition.value)
    label, si = MEASURANDS[condition.quantity].label, MEASURANDS[condition.quantity].si
    return f"{working(shown)} {label} = {working(condition.value)} {si}"


def _piece(piece: CurvePiece, run: RunWorking, width: int) -> list[Line]:
    over_speed = piece.abscissa == "speed"
    what, unit, reading = (OVER_SPEED if over_speed else OVER_ROOT_THRUST)[piece.curve]
    if AS_RECORDED.get(piece.curve) in run.figure.flags:
        what = what.replace(_STEADY, "as recorded")
    symbol, abscissa = SYMBOLS[piece.curve], "omega" if over_speed else "x"
    si = "rad/s" if over_speed else "N^0.5"
    has_unit = f" {unit}" if unit != "1" else ""
    of_reading = f" {reading}" if reading != "1" else ""
    cubic = ", ".join(f"a{power} = {working(value)}" for power, value in enumerate(piece.coefficients))
    lines = [
        indented(f"{symbol}, curve of {piece.curve}: {what}", 2),
        indented(
            f"{piece.count - 3} knot intervals, measured from {answer(piece.low)} to {answer(piece.high)} {si}", 3
        ),
        indented(
            f"residual sd {answer(piece.residual_sd)}{of_reading}, {answer(piece.correlation)} bins per independent "
            f"bin, dof {freedom(piece.degrees_of_freedom)}",
            3,
        ),
        indented(
            f"x_k = {working(piece.left)} {si}, h = {working(piece.width)} {si}, "
            f"t = ({abscissa} - x_k) / h = {working(piece.t)}",
            3,
        ),
        indented(cubic, 3),
        indented(f"{symbol} = a0 + a1 * t + a2 * t^2 + a3 * t^3 = {working(piece.value)}{has_unit}", 3),
        indented(
            f"noise: u({symbol}) = {answer(piece.u_noise)}{has_unit}; 1 % more {symbol}: "
            f"{_share(piece, run)} % of the figure",
            3,
        ),
    ]
    return [broken for line in lines for broken in _broken(line, width)]


def _broken(line: Line, width: int) -> list[Line]:
    """Break a long line at its commas and semicolons, never within a number and its name."""
    if len(line.text) <= width:
        return [line]
    depth = len(line.text) - len(line.text.lstrip())
    return paragraph(line.text.strip(), width, depth // 2)


def _share(piece: CurvePiece, run: RunWorking) -> str:
    assert run.figure.value is not None
    return answer(piece.sensitivity * piece.value / run.figure.value)


def _step(step: Step, width: int) -> list[Line]:
    unit = "" if step.unit == "1" else f" {step.unit}"
    parts = [f"{step.symbol} = {filled(step.formula)}", f"= {filled(step.formula, step.operands)}"]
    result = f"= {working(step.value)}{unit}"
    if parts[1] == result:  # a plain copy needs no arithmetic
        parts = parts[:1]
    whole = " ".join([*parts, result])
    if len(whole) + 4 <= width:
        return [indented(whole, 2)]
    return [indented(parts[0], 2), *(indented(part, 3) for part in [*parts[1:], result])]


def _arrived(run: RunWorking) -> list[Line]:
    """Return the last line: the figure, in SI and as it is shown."""
    value = run.figure.value
    assert value is not None
    name = run.figure.measurand
    symbol = run.steps[-1].symbol if run.steps and name != "speed" else "omega"
    by = f"{symbol} = " if run.pieces or run.steps else ""
    si, shown = si_unit(name), unit_label(name)
    text = f"{name} = {by}{working(value)} {si}".rstrip()
    if MEASURANDS[name].shown != MEASURANDS[name].si:
        text += f" = {working(in_shown_unit(name, value))} {shown}"
    return [indented(text.rstrip(), 2)]


def _single(run: RunWorking) -> str:
    name = run.figure.measurand
    if name == "rotor-inertia":
        return "momentum balance of the run's own transients or legs: see inertia above"
    if name == "propeller-inertia":
        return "rotor-inertia of the run, see inertia above, less the motor's rotor as motors.csv states it"
    if name == "thrust-step-time":
        return (
            "worked out: the throttle jumps from what holds a quarter of the book's middle comparison thrust to what "
            "holds three quarters of it; J d(omega)/dt = Q(end) - Q(omega) + D (omega(end) - omega), coefficients "
            "straight in the logarithm of speed between the levels, D the damping by the drive above; from 10 to 90 % "
            "of the step in thrust, in standard air, limits of the controller left out"
        )
    if name in OF_STEPS:
        return "mean over the steps that count: see steps above"
    if "peak-without-plateau" in run.figure.flags:
        return (
            "the greatest command was not held: the end of a straight line through the readings of the last three per "
            "cent of the range, inertial part out, in the air of the day"
        )
    return (
        "mean of the readings over the last settled 0.2 s or more at the greatest command, inertial part out, in the "
        "air of the day"
    )


def _budget(run: RunWorking, width: int) -> list[Line]:
    name = run.figure.measurand
    if not run.budget:
        return [indented("budget: nothing that was measured enters, so nothing scatters it", 2)]
    curves = [piece.curve for piece in run.pieces]
    symbols = tuple(f"{SYMBOLS[curve]} [%]" for curve in curves)
    heads = (f"contribution{unit_words(name)}", "dof", *symbols, "source [common to]")
    rows = tuple(
        (
            listed(scaled(name, step.line.contribution)),
            listed_freedom(step.line.degrees_of_freedom),
            *(answer(100.0 * step.relative[curve]) if curve in step.relative else "" for curve in curves),
            named_source(step.line),
        )
        for step in run.budget
    )
    table = Table("", heads, rows, frozenset({len(heads) - 1}), (), len(heads) - 1)
    own = math.sqrt(sum(step.line.contribution**2 for step in run.budget if step.line.scope == "run"))
    return [
        *table_at(table, width, 2),
        indented(
            f"own u = {answer(scaled(name, own))} {unit_label(name)}".rstrip() + ", of what is this run's alone", 2
        ),
    ]
