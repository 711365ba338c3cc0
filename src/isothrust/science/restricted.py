"""One component of variance by restricted maximum likelihood: many pools of groups, many conditions, in one pass.

A value has a known variance of its own; values of one group share a mean that nobody knows; groups of one pool share
the component that is sought. The first axis runs over values, the second over conditions.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.groups import Codes, Groups, grouped

__all__ = ["Fitted", "Nest", "Squares", "at_least", "fit_each_pool", "fit_together", "likelihood_squares"]

_PASSES = 60
_CONVERGED = 1e-8


@dataclass(frozen=True, slots=True, eq=False)
class Nest:
    """Which group each value is in, and which pool each group: what is pooled has one component of variance."""

    groups: Groups
    pools: Groups

    @property
    def of_value(self) -> Codes:
        """Pool of each value."""
        return np.asarray(self.pools.of_row[self.groups.of_row], dtype=np.intp)

    def sums(self, values: Floats) -> Floats:
        """Return the sums over the values of each pool."""
        return self.pools.sums(self.groups.sums(values))

    def without(self, variances: Floats, out: Bools) -> Floats:
        """Return the variances with those of the pools left out (pools, conditions) as not a number."""
        return floats(np.where(out[self.of_value], np.nan, variances))


class Squares(NamedTuple):
    """What the restricted likelihood needs at a trial variance: a pool and a condition each."""

    weighted: Floats
    """Sum of w^2 (y - mean)^2: y'PPy."""
    plain: Floats
    """Sum of w (y - mean)^2: y'Py."""
    trace: Floats
    """tr P, the expectation of `weighted`."""
    trace_squared: Floats
    """tr PP, twice the expected information."""


class Fitted(NamedTuple):
    """Variance, the information tr PP on it, and how many contrasts it rests on."""

    variance: Floats
    """Not a number where there is no contrast."""
    information: Floats
    contrasts: Floats


def likelihood_squares(y: Floats, w: Floats, nest: Nest) -> Squares:
    """Return the sums over pools that the restricted likelihood is made of.

    Parameters
    ----------
    y
        Values, shape (n, m) [any unit].
    w
        Weights, one over the variance of each value in all; nil leaves a value out, shape (n, m) [that unit to -2].
    nest
        Groups and pools of the values.

    Returns
    -------
    Squares
        Each of shape (pools, m).

    Source
    ------
    [PattersonThompson1971]: P is the projection with the groups' means taken out.
    """
    groups, pools = nest.groups, nest.pools
    w2 = w * w
    # Side by side, so that one pass sums them all.
    w1, s2, s3, wy = np.split(groups.sums(floats(np.concatenate([w, w2, w2 * w, w * y], axis=1))), 4, axis=1)
    safe = np.where(w1 > 0.0, w1, 1.0)
    residual = (y - (wy / safe)[groups.of_row]) ** 2
    weighted = groups.sums(floats(np.concatenate([w2 * residual, w * residual], axis=1)))
    share = s2 / safe
    traces = [w1 - share, s2 - 2.0 * s3 / safe + share**2]
    return Squares(*np.split(pools.sums(floats(np.concatenate([weighted, *traces], axis=1))), 4, axis=1))


def fit_each_pool(y: Floats, v: Floats, nest: Nest) -> Fitted:
    """Return the component of each pool.

    Parameters
    ----------
    y
        Values, shape (n, m) [any unit].
    v
        Known variance of each; not a number leaves a value out, shape (n, m) [that unit, squared].
    nest
        Groups and pools of the values.

    Returns
    -------
    Fitted
        Each of shape (pools, m).

    Source
    ------
    [PattersonThompson1971], by the scoring iteration of [Rao1971].
    """
    known = np.isfinite(v)
    y, v = floats(np.where(known, y, 0.0)), floats(np.where(known, v, 0.0))
    even = likelihood_squares(y, floats(known), nest)
    contrasts = np.round(even.trace)
    if not np.any(contrasts > 0.0):
        return Fitted(floats(np.full(contrasts.shape, np.nan)), floats(np.zeros(contrasts.shape)), floats(contrasts))
    # The start: the scatter itself, as if nothing were known. The floor keeps weights finite where nothing is stated.
    scatter = even.plain / np.maximum(contrasts, 1.0)
    floor = np.where(scatter > 0.0, 1e-9 * scatter, 1.0)
    variance, of_value = scatter.copy(), nest.of_value

    def squares(columns: Codes) -> Squares:
        total = np.maximum(variance[:, columns][of_value] + v[:, columns], floor[:, columns][of_value])
        return likelihood_squares(floats(y[:, columns]), floats(known[:, columns] / total), nest)

    every = np.arange(y.shape[1])
    columns, moving = every, np.ones(variance.shape, dtype=bool)
    for _ in range(_PASSES):
        last, least = variance[:, columns], floor[:, columns]
        found = squares(columns)
        information = np.where(found.trace_squared > 0.0, found.trace_squared, 1.0)
        following = np.maximum(last + (found.weighted - found.trace) / information, 0.0)
        variance[:, columns] = np.where(moving[:, columns], following, last)
        moving[:, columns] &= np.abs(following - last) > _CONVERGED * (following + least)
        columns = columns[moving[:, columns].any(axis=0)]
        if not columns.size:
            break
    variance_known = floats(np.where(contrasts > 0.0, variance, np.nan))
    return Fitted(variance_known, squares(every).trace_squared, floats(contrasts))


def fit_together(y: Floats, v: Floats, groups: Groups) -> Fitted:
    """Return the one component that all groups share.

    Parameters
    ----------
    y
        Values, shape (n, m) [any unit].
    v
        Known variance of each; not a number leaves a value out, shape (n, m) [that unit, squared].
    groups
        Groups of the values.

    Returns
    -------
    Fitted
        Each of shape (m,).

    Source
    ------
    As `fit_each_pool`.
    """
    if not groups.count:
        nothing = np.zeros(y.shape[1])
        return Fitted(floats(np.full(y.shape[1], np.nan)), nothing, nothing)
    one_pool = grouped(np.zeros(groups.count, dtype=np.intp))
    return Fitted(*(floats(part[0]) for part in fit_each_pool(y, v, Nest(groups, one_pool))))


def at_least(variance: Floats) -> Floats:
    """Return variances that may be divided by.

    Parameters
    ----------
    variance
        Any shape, nil where values agree to the last digit and nothing is stated [any unit, squared].

    Returns
    -------
    numpy.ndarray
        Same shape [same unit].

    Source
    ------
    Definition.
    """
    return floats(np.maximum(variance, np.finfo(np.float64).tiny ** 0.25))
