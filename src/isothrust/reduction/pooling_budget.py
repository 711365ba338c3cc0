"""Budgets of several runs as one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.reduced import Contribution
from isothrust.science.uncertainty import welch_satterthwaite

__all__ = ["SCATTER", "Spread", "combined", "merged", "weighed"]

SCATTER = ("mounting scatter", "sample scatter")
"""How the source of a scatter line begins; what follows names the estimate that it rests on."""


@dataclass(frozen=True, slots=True)
class Spread:
    """Combined standard uncertainty and its effective degrees of freedom."""

    uncertainty: float
    degrees_of_freedom: float


def weighed(budget: Iterable[Contribution], weight: float) -> list[Contribution]:
    """Return the budget of `weight` times the figure."""
    return [replace(line, contribution=weight * line.contribution) for line in budget]


def merged(lines: Iterable[Contribution]) -> tuple[Contribution, ...]:
    """Return the lines with equal keys added up, signs kept (the same error acts on both); nil lines left out.

    The degrees of freedom of a key are the least that were stated for it.
    """
    total: dict[str, Contribution] = {}
    for line in lines:
        known = total.get(line.key)
        if known is None:
            total[line.key] = line
        else:
            total[line.key] = replace(
                known,
                contribution=known.contribution + line.contribution,
                degrees_of_freedom=min(known.degrees_of_freedom, line.degrees_of_freedom),
            )
    return tuple(line for line in total.values() if line.contribution != 0.0)


def combined(budget: Sequence[Contribution]) -> Spread:
    """Return the combined standard uncertainty of a merged budget (GUM 5.1.2 and G.2b).

    Scatter lines with one source rest on one estimated variance: they are independent errors, but their squares are
    wrong together, so they enter the degrees of freedom as one term.
    """
    if not budget:
        return Spread(0.0, float("inf"))
    terms: dict[str, tuple[float, float]] = {}
    for line in budget:
        name = line.source if line.source.startswith(SCATTER) else line.key
        variance, dof = terms.get(name, (0.0, float("inf")))
        terms[name] = (variance + line.contribution**2, min(dof, line.degrees_of_freedom))
    variances = np.array([variance for variance, _ in terms.values()])
    dofs = np.array([dof for _, dof in terms.values()])
    effective = float(welch_satterthwaite(np.sqrt(variances), dofs))
    return Spread(float(np.sqrt(variances.sum())), effective)
