"""Figures of one run at arrays of conditions, each with its budget, or the reason why there is none.

Nothing is extrapolated: a condition outside what the run measured gives no figure, and says what was measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction.figures_absent import RunContext, missing_reason
from isothrust.reduction.figures_budget import BudgetLine, budget_lines, contributions_at
from isothrust.reduction.figures_formulas import AT_ROOT_THRUST, AT_SPEED_POINT, Formula, Point
from isothrust.reduction.figures_sensitive import Sensitive, within
from isothrust.reduction.figures_thrust import speed_for_thrust
from isothrust.reduction.figures_words import said, said_range

__all__ = [
    "AIR_OF_THE_DAY",
    "FigureSeries",
    "RunContext",
    "Solved",
    "day_share",
    "evaluate_figure",
    "single_figure",
    "solve_conditions",
]

Solved = tuple[Sensitive, tuple[str | None, ...]]
"""The abscissa of a run's curves at some conditions, with the reason where a condition has none."""

AIR_OF_THE_DAY = "air-of-the-day"
"""Flag of a figure that could not be referred to standard density."""
INERTIA_INSIDE = "inertia-not-removed"
"""Flag of a figure whose torque still holds what accelerates the rotor."""
ONLY_FOR: Final[Mapping[str, frozenset[str]]] = MappingProxyType(
    {
        "electrical-as-recorded": frozenset({"electrical-power", "current"}),
        "throttle-as-recorded": frozenset({"throttle"}),
        "acceleration-not-stated": frozenset({"vibration"}),
        "vibration-incomplete": frozenset({"vibration"}),
    }
)
"""Flags of a run that concern figures of some curves only."""
ACCELERATED = frozenset({"torque", "electrical-power", "current", "throttle"})
"""Curves that an acceleration of the rotor moves."""


@dataclass(frozen=True, slots=True)
class FigureSeries:
    """One measurand of one run at m conditions: values NaN and a reason where it is absent."""

    measurand: str
    quantity: Literal["thrust", "speed"]
    conditions: Floats
    values: Floats
    lines: tuple[BudgetLine, ...]
    flags: tuple[str, ...]
    absent: tuple[str | None, ...]

    def at(self, index: int) -> Figure:
        """Return the figure at one of the conditions as a record."""
        reason = self.absent[index]
        if reason is not None:
            return Figure(self.measurand, None, (), self.flags, reason)
        budget = contributions_at(self.lines, index)
        return Figure(self.measurand, float(self.values[index]), budget, self.flags)


def evaluate_figure(
    run: ReducedRun,
    measurand: str,
    quantity: Literal["thrust", "speed"],
    conditions: Floats,
    context: RunContext,
    solved: Solved | None = None,
) -> FigureSeries:
    """Return one measurand of one run at thrusts [N] or speeds [rad/s] (m,), in standard air where that is known.

    `solved` is what `solve_conditions` gave for the same run, quantity and conditions, where measurands share it.
    """
    conditions = np.atleast_1d(np.asarray(conditions, dtype=np.float64))
    formulas = AT_SPEED_POINT if run.abscissa == "speed" else AT_ROOT_THRUST
    flags = _flags(run, formulas.get(measurand))
    reason = missing_reason(run, measurand, quantity, formulas, context)
    if reason is not None:
        nothing = np.full(conditions.shape, np.nan)
        return FigureSeries(measurand, quantity, conditions, nothing, (), flags, (reason,) * conditions.size)
    formula = formulas[measurand]
    share = day_share(run, formula, quantity)
    if share is not None:
        x, reasons = solve_conditions(run, quantity, conditions * share)
    else:
        x, reasons = solve_conditions(run, quantity, conditions) if solved is None else solved
    reasons = _range_reasons(run, formula, x.value, reasons)
    figure = formula.value(Point(run, x, context.diameter))
    absent = _without_numbers(figure.value, reasons)
    values = np.where([reason is None for reason in absent], figure.value, np.nan)
    return FigureSeries(measurand, quantity, conditions, values, budget_lines(run, figure), flags, absent)


def day_share(run: ReducedRun, formula: Formula, quantity: str) -> float | None:
    """Return what a thrust of the day is times in standard air; None where a figure does not hold in the day's air.

    The run's curve gives thrust in standard air: what pulled T on the day pulls more or less of it there.
    """
    if formula.of_the_day and quantity == "thrust" and run.abscissa == "speed" and run.density is not None:
        return run.standard_density / run.density
    return None


def single_figure(run: ReducedRun, measurand: str) -> Figure:
    """Return a figure of the run that holds at no condition (peak-thrust, rotor-inertia, …)."""
    for figure in run.figures:
        if figure.measurand == measurand:
            flags = tuple(dict.fromkeys((*run.flags, *figure.flags)))
            return Figure(measurand, figure.value, figure.budget, flags, figure.absent)
    return Figure(measurand, None, (), run.flags, f"not computed from a run of kind {run.kind} by this version")


def _flags(run: ReducedRun, formula: Formula | None) -> tuple[str, ...]:
    curves = set() if formula is None else set(formula.curves)
    flags = [flag for flag in run.flags if flag not in ONLY_FOR or ONLY_FOR[flag] & curves]
    of_the_day = formula is not None and formula.of_the_day
    if run.abscissa == "root-thrust" or run.density is None or of_the_day:
        flags.append(AIR_OF_THE_DAY)
    if run.inertia_wanted and ACCELERATED & curves:
        flags.append(INERTIA_INSIDE)
    return tuple(dict.fromkeys(flags))


def solve_conditions(run: ReducedRun, quantity: Literal["thrust", "speed"], conditions: Floats) -> Solved:
    """Return the abscissa of the run's curves at each condition, and why where there is none."""
    nothing: tuple[str | None, ...] = (None,) * conditions.size
    if quantity == "speed":
        return Sensitive.constant(conditions), nothing
    if run.abscissa == "root-thrust":
        return Sensitive.constant(np.sqrt(np.maximum(conditions, 0.0))), nothing
    if "thrust" not in run.curves:
        return Sensitive.constant(np.full(conditions.shape, np.nan)), ("the run has no thrust curve",) * conditions.size
    return speed_for_thrust(run, conditions)


def _range_reasons(
    run: ReducedRun, formula: Formula, x: Floats, reasons: tuple[str | None, ...]
) -> tuple[str | None, ...]:
    """Add the reason where a curve that the figure needs was not measured at x."""
    names = formula.curves or tuple(name for name in ("thrust", "torque") if name in run.curves)[:1]
    found = list(reasons)
    for name in names:
        curve = run.curves[name]
        for index in np.flatnonzero(~within(curve, x)):
            if found[index] is None:
                found[index] = _outside(run, name, float(x[index]))
    return tuple(found)


def _outside(run: ReducedRun, name: str, x: float) -> str:
    curve = run.curves[name]
    if run.abscissa == "root-thrust":
        limits = said_range("thrust", curve.low**2, curve.high**2)
        return f"{name} was measured from {limits}, not at {said('thrust', x**2)}"
    return f"{name} was measured from {said_range('speed', curve.low, curve.high)}, not at {said('speed', x)}"


def _without_numbers(values: Floats, reasons: tuple[str | None, ...]) -> tuple[str | None, ...]:
    """Give a reason where a formula has no real value (a thrust curve that noise took below zero)."""
    return tuple(
        reason if reason is not None or np.isfinite(value) else "the fitted curves give no real value here"
        for value, reason in zip(values, reasons, strict=True)
    )
