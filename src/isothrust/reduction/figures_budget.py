"""From a figure that knows its gradient to its budget: the run's own noise, and every influence with its sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution, ReducedRun
from isothrust.reduction.figures_sensitive import Sensitive

__all__ = ["BudgetLine", "budget_lines", "contributions_at", "noise_key"]


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One source's contributions (m,) to a figure at m conditions."""

    source: str
    key: str
    scope: Scope
    contributions: Floats
    degrees_of_freedom: Floats


def noise_key(run: ReducedRun) -> str:
    """Return the key of what the run's own noise left in its fits."""
    return f"run {run.campaign}/{run.run} noise"


def budget_lines(run: ReducedRun, figure: Sensitive) -> tuple[BudgetLine, ...]:
    """Return the figure's budget, noise first; sources that do not touch it are left out."""
    lines = [_noise(run, figure)] if figure.gradient else []
    effects = _effects(run, figure)
    touched = np.any(_settled(effects, figure.value) != 0.0, axis=1)
    for row in np.flatnonzero(touched):
        influence, effect = run.influences[row], effects[row]
        dof = np.full(effect.shape, influence.degrees_of_freedom)
        lines.append(BudgetLine(influence.source, influence.key, influence.scope, effect, dof))
    return tuple(lines)


def _effects(run: ReducedRun, figure: Sensitive) -> Floats:
    """Return what each influence does to the figure, (influences, m): all that touch a curve in one product."""
    effects = np.zeros((len(run.influences), figure.value.size))
    for name, gradient in figure.gradient.items():
        rows = [row for row, influence in enumerate(run.influences) if name in influence.shifts]
        if rows:
            effects[rows] += np.array([run.influences[row].shifts[name] for row in rows]) @ gradient.T
    return effects


def _settled(effect: Floats, value: Floats) -> Floats:
    """Take what cancels to rounding as nothing (the thrust scale on a thrust that was asked for)."""
    with np.errstate(invalid="ignore"):
        return np.where(np.isfinite(effect) & (np.abs(effect) > 1e-13 * np.abs(value)), effect, 0.0)


def _noise(run: ReducedRun, figure: Sensitive) -> BudgetLine:
    """Variance g' C g, curve by curve; degrees of freedom by Welch-Satterthwaite over the curves (GUM G.2b)."""
    variance = np.zeros_like(figure.value)
    divisor = np.zeros_like(figure.value)
    for name, gradient in figure.gradient.items():
        curve = run.curves[name]
        part = np.einsum("mp,pq,mq->m", gradient, curve.covariance, gradient)
        part = np.maximum(part, 0.0)
        variance = variance + part
        divisor = divisor + part**2 / curve.degrees_of_freedom
    with np.errstate(divide="ignore", invalid="ignore"):
        dof = np.where(divisor > 0.0, variance**2 / divisor, np.inf)
    return BudgetLine("noise left by the fit", noise_key(run), "run", np.sqrt(variance), dof)


def contributions_at(lines: Sequence[BudgetLine], index: int) -> tuple[Contribution, ...]:
    """Return one condition's budget as records."""
    return tuple(
        Contribution(
            line.source, line.key, line.scope, float(line.contributions[index]), float(line.degrees_of_freedom[index])
        )
        for line in lines
    )
