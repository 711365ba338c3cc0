"""Many budgets at many conditions at once: their combined uncertainties, and those of all their differences.

Lines stand one below the other, whosever they are; whole numbers say whose budget a line belongs to, which error it
tells of, and which estimate its size rests on. See `uncertainty` for one budget by itself: the rules are the same.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.groups import Codes, grouped
from isothrust.science.uncertainty import Combined

__all__ = ["Lines", "budget_differences", "combine_budgets", "merge_lines"]


class Lines(NamedTuple):
    """The lines of several budgets at m conditions."""

    contributions: Floats
    """Signed effect of one standard uncertainty, nil where the source does not act, shape (n, m) [any unit]."""
    degrees_of_freedom: Floats
    """Infinite for a stated uncertainty, shape (n, m) [1]."""
    budgets: Codes
    """Whose each line is, from 0, shape (n,)."""
    keys: Codes
    """What each error is common to: equal keys mean the same error, shape (n,)."""
    estimates: Codes
    """What each size rests on: equal estimates are wrong together, shape (n,)."""

    def of(self, rows: Bools | Codes) -> Lines:
        """Return some of the lines."""
        return Lines(
            floats(self.contributions[rows]),
            floats(self.degrees_of_freedom[rows]),
            self.budgets[rows],
            self.keys[rows],
            self.estimates[rows],
        )


def merge_lines(lines: Lines) -> Lines:
    """Return the lines with those of one key in one budget added up, signs kept.

    Parameters
    ----------
    lines
        Any.

    Returns
    -------
    Lines
        Each key once in each budget, in the order of first appearance; the degrees of freedom are the least of those
        that contribute.

    Source
    ------
    [GUM] 5.2.2: fully correlated inputs add linearly.

    Examples
    --------
    >>> code = np.array([0, 0, 0])
    >>> two = Lines(np.array([[3.0], [1.0], [-3.0]]), np.full((3, 1), np.inf), code, np.array([7, 8, 7]), code)
    >>> merge_lines(two).contributions.ravel().tolist()
    [0.0, 1.0]
    """
    same = grouped(lines.budgets, lines.keys)
    first = same.first
    return Lines(
        same.sums(lines.contributions),
        same.least(_counting(lines)),
        lines.budgets[first],
        lines.keys[first],
        lines.estimates[first],
    )


def combine_budgets(lines: Lines, count: int) -> Combined:
    """Return the combined standard uncertainty of each budget and its effective degrees of freedom.

    Parameters
    ----------
    lines
        Merged by key.
    count
        How many budgets there are; one without a line has no uncertainty.

    Returns
    -------
    Combined
        Each of shape (count, m).

    Source
    ------
    [GUM] equations (10) and (G.2b); deviations as `welch_satterthwaite`.

    Examples
    --------
    >>> one = np.zeros(3, dtype=int)
    >>> lines = Lines(np.array([[0.25], [0.57], [0.82]]), np.array([[9.0], [4.0], [14.0]]), one, one, np.arange(3))
    >>> total = combine_budgets(lines, 1)
    >>> f"{total.uncertainty[0, 0]:.4f} {total.degrees_of_freedom[0, 0]:.3f}"
    '1.0295 18.999'
    """
    scaled, scale = _scaled(lines)
    variance, penalty = _summed(scaled, count)
    return _combined(variance, penalty, scale)


def budget_differences(lines: Lines, count: int) -> Combined:
    """Return the standard uncertainty of every difference of two budgets' figures, common errors cancelled.

    Parameters
    ----------
    lines
        Merged by key.
    count
        How many budgets there are.

    Returns
    -------
    Combined
        First index less second, each of shape (m, count, count); nil on the diagonal.

    Source
    ------
    [GUM] 5.2.2: u^2 is the sum over keys of (c_a - c_b)^2; degrees of freedom by equation (G.2b), errors of one
    estimate as one term.

    Examples
    --------
    >>> c, one = np.array([[3.0], [1.0], [3.2], [1.0]]), np.array([0, 1, 0, 2])
    >>> lines = Lines(c, np.full((4, 1), np.inf), np.array([0, 0, 1, 1]), one, one)
    >>> f"{budget_differences(lines, 2).uncertainty[0, 0, 1]:.4f}"
    '1.4283'
    """
    scaled, scale = _scaled(lines)
    common = _common_estimates(scaled)
    variance, penalty = (_of_pairs(part) for part in _summed(scaled.of(~common), count))
    shared = scaled.of(common)
    for estimate in np.unique(shared.estimates):
        term, dof = _term(shared.of(shared.estimates == estimate), count)
        variance += term
        if np.isfinite(dof).any():
            penalty += term**2 / np.minimum(dof[:, :, None], dof[:, None, :])
    apart = ~np.eye(count, dtype=bool)
    return _combined(floats(variance * apart), floats(penalty * apart), scale[:, None, None])


def _counting(lines: Lines) -> Floats:
    """Return the degrees of freedom; a line that contributes nothing has no say in them."""
    return floats(np.where(lines.contributions == 0.0, np.inf, lines.degrees_of_freedom))


def _scaled(lines: Lines) -> tuple[Lines, Floats]:
    """Return the lines in a unit of about their size, so that no fourth power under- or overflows, and that unit."""
    largest = np.max(np.abs(lines.contributions), axis=0, initial=0.0)
    scale = np.ldexp(1.0, np.frexp(np.where(largest > 0.0, largest, 1.0))[1])
    return lines._replace(contributions=floats(lines.contributions / scale)), floats(scale)


def _summed(lines: Lines, count: int) -> tuple[Floats, Floats]:
    """Return each budget's variance, and the sum over its estimates of variance squared over degrees of freedom."""
    by_estimate = grouped(lines.budgets, lines.estimates)
    variances = by_estimate.sums(floats(lines.contributions**2))
    penalties = variances**2 / by_estimate.least(_counting(lines))
    owners = lines.budgets[by_estimate.first]
    totals = np.zeros((2, count, lines.contributions.shape[1]))
    if owners.size:
        by_budget = grouped(owners)
        totals[:, owners[by_budget.first]] = by_budget.sums(variances), by_budget.sums(floats(penalties))
    return floats(totals[0]), floats(totals[1])


def _common_estimates(lines: Lines) -> Bools:
    """Say which lines rest on an estimate that other budgets rest on as well."""
    pairs = grouped(lines.estimates, lines.budgets).first
    estimates, budgets = np.unique(lines.estimates[pairs], return_counts=True)
    return np.isin(lines.estimates, estimates[budgets > 1])


def _of_pairs(part: Floats) -> Floats:
    """Return what two budgets add up to, (m, n, n), from what is each one's own, (n, m)."""
    own = np.ascontiguousarray(part.T)
    return floats(own[:, :, None] + own[:, None, :])


def _term(lines: Lines, count: int) -> tuple[Floats, Floats]:
    """Return what one estimate adds to the variances of differences, (m, n, n), and its degrees of freedom, (m, n)."""
    conditions = lines.contributions.shape[1]
    _, of_line, budgets = np.unique(lines.keys, return_inverse=True, return_counts=True)
    alone = budgets[of_line] == 1
    dof = np.full((count, conditions), np.inf)
    np.minimum.at(dof, lines.budgets, _counting(lines))
    own = np.zeros((count, conditions))
    np.add.at(own, lines.budgets[alone], lines.contributions[alone] ** 2)
    term = _of_pairs(floats(own))
    for key in np.flatnonzero(budgets > 1):
        c = np.zeros((conditions, count))
        c[:, lines.budgets[of_line == key]] = lines.contributions[of_line == key].T
        term += (c[:, :, None] - c[:, None, :]) ** 2
    return term, floats(np.ascontiguousarray(dof.T))


def _combined(variance: Floats, penalty: Floats, scale: Floats) -> Combined:
    with np.errstate(divide="ignore", invalid="ignore"):
        effective = variance**2 / penalty
    dof = np.where(penalty > 0.0, effective, np.where(np.isnan(variance), np.nan, np.inf))
    return Combined(floats(np.sqrt(variance) * scale), floats(dof))
