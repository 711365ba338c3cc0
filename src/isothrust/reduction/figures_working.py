"""How one run's figure comes about: the piece of each curve at the condition, the arithmetic, the budget line by line.

Nothing here makes a figure: it is told of the one that results rest on, and must arrive at the same number.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.records.result import Condition
from isothrust.records.trail import BudgetStep, CurvePiece, RunWorking, Step
from isothrust.reduction.figures import RunContext, day_share, solve_conditions
from isothrust.reduction.figures_budget import noise_key
from isothrust.reduction.figures_formulas import AT_ROOT_THRUST, AT_SPEED_POINT, STANDARD_SPEED_OF_SOUND, Point
from isothrust.reduction.figures_lines import AT_ROOT_THRUST_LINES, AT_SPEED_LINES, HEARD_SYMBOLS, LAST_LINE, steps_to
from isothrust.reduction.figures_sensitive import Sensitive
from isothrust.science.smoothing import evaluate
from isothrust.science.splines import basis_matrix, local_cubic

__all__ = ["CURVE_SYMBOLS", "working_of"]

CURVE_SYMBOLS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "thrust": "y_T",
        "torque": "y_Q",
        "electrical-power": "y_P",
        "current": "y_I",
        "throttle": "y_D",
        "vibration": "y_a",
    }
    | {name: f"y_{symbol}" for name, (symbol, _) in HEARD_SYMBOLS.items()}
)
"""Curve -> what its value is called in the arithmetic."""


def working_of(run: ReducedRun, figure: Figure, condition: Condition | None, context: RunContext) -> RunWorking:
    """Return how a run's figure at a condition comes about; of an absent or single figure, as much as there is."""
    if condition is None or figure.value is None:
        return RunWorking(run.run, figure, budget=tuple(BudgetStep(line, {}) for line in figure.budget))
    formulas = AT_SPEED_POINT if run.abscissa == "speed" else AT_ROOT_THRUST
    formula = formulas[figure.measurand]
    share = day_share(run, formula, condition.quantity)
    x, _ = solve_conditions(run, condition.quantity, np.array([condition.value * (share or 1.0)]))
    sensitive = formula.value(Point(run, x, context.diameter))
    names = list(formula.curves)
    if condition.quantity == "thrust" and run.abscissa == "speed" and "thrust" not in names:
        names.insert(0, "thrust")  # it says at which speed the thrust is reached
    pieces = tuple(_piece(run.curves[name], float(x.value[0]), run, sensitive) for name in names)
    steps = _steps(run, figure.measurand, condition, pieces, context, day=share is not None)
    assert math.isclose(_last(steps, pieces, figure.measurand), figure.value, rel_tol=1e-9)
    return RunWorking(run.run, figure, pieces, steps, _budget(run, figure, pieces))


def _piece(curve: SmoothCurve, x: float, run: ReducedRun, figure: Sensitive) -> CurvePiece:
    inside = min(max(x, curve.low), curve.high)
    cubic = local_cubic(inside, curve.knots, curve.coefficients)
    value, uncertainty = evaluate([inside], curve.knots, curve.coefficients, curve.covariance)
    basis = basis_matrix([inside], curve.knots)[0]
    # every figure depends on a curve through its value at x alone: the gradient is a multiple of the basis there
    gradient = figure.gradient.get(curve.name, np.zeros((1, basis.size)))[0]
    return CurvePiece(
        curve=curve.name,
        abscissa=run.abscissa,
        count=curve.coefficients.size,
        low=curve.low,
        high=curve.high,
        left=cubic.left,
        width=cubic.width,
        x=inside,
        t=(inside - cubic.left) / cubic.width,
        coefficients=cubic.coefficients,
        value=float(value[0]),
        u_noise=float(uncertainty[0]),
        sensitivity=float(gradient @ basis) / float(basis @ basis),
        residual_sd=curve.residual_sd,
        correlation=curve.correlation,
        degrees_of_freedom=curve.degrees_of_freedom,
    )


def _steps(
    run: ReducedRun,
    measurand: str,
    condition: Condition,
    pieces: tuple[CurvePiece, ...],
    context: RunContext,
    *,
    day: bool,
) -> tuple[Step, ...]:
    given = {CURVE_SYMBOLS[piece.curve]: piece.value for piece in pieces}
    given |= {"rho0": run.standard_density, "rho": run.density or run.standard_density, "a0": STANDARD_SPEED_OF_SOUND}
    if context.diameter is not None:
        given["D"] = context.diameter
    last = LAST_LINE[measurand]
    if run.abscissa == "root-thrust":
        return tuple(steps_to(last, AT_ROOT_THRUST_LINES, {**given, "T": condition.value}))
    given["omega"] = pieces[0].x if condition.quantity == "thrust" else condition.value
    # at a thrust the first line shows that the speed found gives it
    check = steps_to("T_day" if day else "T", AT_SPEED_LINES, given) if condition.quantity == "thrust" else []
    known = {step.symbol: step.value for step in check}
    return (*check, *steps_to(last, AT_SPEED_LINES, {**given, **known}))


def _last(steps: tuple[Step, ...], pieces: tuple[CurvePiece, ...], measurand: str) -> float:
    return pieces[0].x if measurand == "speed" else steps[-1].value


def _budget(run: ReducedRun, figure: Figure, pieces: tuple[CurvePiece, ...]) -> tuple[BudgetStep, ...]:
    """Return the figure's budget with what each source does to the curves.

    A contribution is the sum over the curves of sensitivity times shift; of noise, the root of the sum of squares.
    """
    shifts = {(one.source, one.key): one.shifts for one in run.influences}
    out = []
    for line in figure.budget:
        if line.key == noise_key(run):
            out.append(BudgetStep(line, {piece.curve: piece.u_noise / piece.value for piece in pieces}))
            continue
        moved = shifts.get((line.source, line.key), {})
        relative: dict[str, float] = {
            piece.curve: _moved(run.curves[piece.curve], piece, moved[piece.curve])
            for piece in pieces
            if piece.curve in moved
        }
        out.append(BudgetStep(line, relative))
    return tuple(out)


def _moved(curve: SmoothCurve, piece: CurvePiece, shift: np.ndarray) -> float:
    return float(basis_matrix([piece.x], curve.knots)[0] @ shift) / piece.value
