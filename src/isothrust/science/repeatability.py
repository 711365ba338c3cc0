"""Repeatability: how much more figures scatter than their own stated variances explain, level by level.

Runs nest in mountings, mountings in samples, samples in designs. One level is looked at at a time: `values` are what
was found below it (run figures, means over a mounting, means over a sample), `variances` what is already known to
scatter them, `groups` the level above, within which they ought to agree. The first axis runs over the values, the
others over conditions, so that a whole curve is done in one call. A value or variance that is not a number is left out
at that condition.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import fdtrc

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.groups import Groups, grouped
from isothrust.science.restricted import Fitted, Nest, at_least, fit_each_pool, fit_together, likelihood_squares

__all__ = ["Component", "PooledComponent", "pooled_component", "variance_component"]

# How improbable, over all designs together, a scatter must be for a design to be judged by its own, and to be kept out
# of the others' pool. The second is stricter: leaving out what is largest by chance would flatter the rest.
_OWN_LEVEL = 0.20
_OUT_OF_POOL_LEVEL = 0.01
# Where a first estimate of that probability, over all designs together, is above this, it is not looked at closer.
_NOT_SUSPECT = 0.5
# Where that estimate looks for the others' component: parts of the scatter of all, known variances included.
_TRIALS: Final = (0.3, 0.5, 0.65, 0.8, 0.9, 1.0, 1.1, 1.3, 2.0)


class Component(NamedTuple):
    """One component of variance [unit of the values, squared] and its degrees of freedom [1], each of shape (...)."""

    variance: Floats
    degrees_of_freedom: Floats


class PooledComponent(NamedTuple):
    """One component of variance, pooled over designs, and what each design should use. Designs come first: (d, ...)."""

    pooled: Component
    """Of the designs that scatter alike, shape (...)."""
    own: Component
    """Of each design by itself; not a number where it has nothing to compare."""
    used: Component
    """Pooled, or the design's own where it scatters more than the others."""
    probability: Floats
    """Of a scatter as large as the design's or larger, if it scattered like the others [1]."""
    scatters_more: Bools
    """True where the pooled figure would hide the design's own scatter."""


def variance_component(values: ArrayLike, variances: ArrayLike, groups: ArrayLike) -> Component:
    """Return the variance that the values of one group share beyond what is known of each.

    Parameters
    ----------
    values
        Shape (n, ...) [any unit].
    variances
        Known variance of each value, broadcastable to the values [that unit, squared].
    groups
        Group of each value, length n, any labels.

    Returns
    -------
    Component
        Variance never below nil, degrees of freedom (infinite where the variance is nil: the known variances then say
        it all). Where no group has two values the variance is not a number and the degrees of freedom are nil.

    Source
    ------
    [PattersonThompson1971]: restricted maximum likelihood, by the scoring iteration of [Rao1971]; degrees of freedom
    2 s^4/var(s^2) with the expected information, after [Satterthwaite1946].

    Examples
    --------
    Equal and exact values make it the mean of the groups' sample variances.

    >>> found = variance_component([10.0, 11.0, 12.0, 20.0, 23.0], 0.0, ["a", "a", "a", "b", "b"])
    >>> f"{found.variance:.4f} {found.degrees_of_freedom:.1f}"
    '2.1667 3.0'
    """
    y, v = _aligned(values, variances)
    found = fit_together(_columns(y), _columns(v), grouped(groups))
    return Component(*(floats(part.reshape(y.shape[1:])) for part in _component(found)))


def pooled_component(values: ArrayLike, variances: ArrayLike, groups: ArrayLike, designs: ArrayLike) -> PooledComponent:
    """Return one component of variance pooled over designs, with the designs that do not fit the pool set apart.

    A design whose scatter is improbable (20 % over all designs together) uses its own component. One whose scatter is
    all but impossible (1 %) is kept out of the pool as well, the least probable first, at most half of the designs.

    Parameters
    ----------
    values
        Shape (n, ...), in proportion to each design's mean where the scatter is proportional [any unit].
    variances
        Known variance of each value, broadcastable to the values [that unit, squared].
    groups
        Group of each value within which the values ought to agree, length n, any labels; a group lies in one design.
    designs
        Design of each value, length n, any labels. Results are in the order of `numpy.unique`.

    Returns
    -------
    PooledComponent
        See there.

    Source
    ------
    [PattersonThompson1971] for the estimates; the ratio of a design's weighted squares to the others' is compared with
    Fisher's distribution.

    Examples
    --------
    >>> found = pooled_component([1.0, 2.0, 5.0, 7.0], 0.0, ["a", "a", "b", "b"], ["a", "a", "b", "b"])
    >>> f"{found.pooled.variance:.2f}", [f"{v:.2f}" for v in found.own.variance], found.scatters_more.tolist()
    ('1.25', ['0.50', '2.00'], [False, False])
    """
    y, v = _aligned(values, variances)
    shape = y.shape[1:]
    y, v = _columns(y), _columns(v)
    nest = _by_design(groups, designs)
    own = _component(fit_each_pool(y, v, nest))
    apart = _apart(y, v, nest) if np.any(own.degrees_of_freedom > 0.0) else _none_apart((nest.pools.count, y.shape[1]))
    pooled = _component(fit_together(y, nest.without(v, apart.out), nest.groups))
    used = [np.where(apart.more, alone, together) for alone, together in zip(own, pooled, strict=True)]
    each = (nest.pools.count, *shape)
    return PooledComponent(
        Component(*(floats(part.reshape(shape)) for part in pooled)),
        Component(*(floats(part.reshape(each)) for part in own)),
        Component(*(floats(part.reshape(each)) for part in used)),
        floats(apart.probability.reshape(each)),
        np.asarray(apart.more.reshape(each)),
    )


def _aligned(values: ArrayLike, variances: ArrayLike) -> tuple[Floats, Floats]:
    y, v = floats(values), floats(variances)
    if v.ndim == 1 and y.ndim > 1:
        v = v.reshape(-1, *(1,) * (y.ndim - 1))
    v = np.broadcast_to(v, y.shape)
    return y, floats(np.where(np.isfinite(y) & np.isfinite(v) & (v >= 0.0), v, np.nan))


def _columns(array: Floats) -> Floats:
    """Return one column a condition, however many axes of conditions there are."""
    return floats(array.reshape(array.shape[0], math.prod(array.shape[1:])))


def _by_design(groups: ArrayLike, designs: ArrayLike) -> Nest:
    """Return each design's groups in a pool of its own, designs in the order of `numpy.unique`."""
    of_value = np.asarray(np.unique(np.asarray(designs), return_inverse=True)[1], dtype=np.intp).reshape(-1)
    found = grouped(groups)
    of_group = of_value[found.first]
    order = np.asarray(np.argsort(of_group, kind="stable"), dtype=np.intp)
    starts = np.flatnonzero(np.diff(of_group[order], prepend=-1))
    return Nest(found, Groups(of_group, order, np.asarray(starts, dtype=np.intp)))


def _component(found: Fitted) -> Component:
    with np.errstate(invalid="ignore"):
        dof = np.where(found.variance > 0.0, np.minimum(found.variance**2 * found.information, found.contrasts), np.inf)
    return Component(found.variance, floats(np.where(found.contrasts > 0.0, dof, 0.0)))


class _Apart(NamedTuple):
    """Designs that do not scatter like the others: (designs, conditions)."""

    probability: Floats
    more: Bools
    """To be judged by their own scatter."""
    out: Bools
    """Kept out of the others' pool."""


def _none_apart(shape: tuple[int, int]) -> _Apart:
    """Return that no design stands apart: none has two values to compare."""
    no = np.zeros(shape, dtype=bool)
    return _Apart(floats(np.full(shape, np.nan)), no, no)


def _apart(y: Floats, v: Floats, nest: Nest) -> _Apart:
    """Return who scatters more, the least probable found first; at most half of the designs there leave the pool."""
    shape = (nest.pools.count, y.shape[1])
    more, out = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
    most = np.maximum(np.sum(nest.sums(floats(np.isfinite(v))) > 0.0, axis=0) // 2, 1)
    probability = _probabilities(y, v, nest, out)
    for turn in range(max(shape[0] // 2, 1)):
        rivals = np.sum(np.isfinite(probability) & ~out, axis=0)
        familywise = np.where(turn < most, probability * rivals, np.nan)
        more |= familywise < _OWN_LEVEL
        candidates = np.where(out | ~(familywise < _OUT_OF_POOL_LEVEL), np.inf, probability)
        leaving = np.isfinite(candidates) & (candidates <= np.min(candidates, axis=0, initial=np.inf))
        changed = np.flatnonzero(leaving.any(axis=0))
        if not changed.size:
            break
        out |= leaving
        probability[:, changed] = _probabilities(
            floats(y[:, changed]), floats(v[:, changed]), nest, np.asarray(out[:, changed])
        )
    return _Apart(probability, more, out)


def _probabilities(y: Floats, v: Floats, nest: Nest, out: Bools) -> Floats:
    """Return, design by design, how probable its scatter is if the others' component holds for it too."""
    pool_v = nest.without(v, out)
    others, sure = _near_others(y, pool_v, nest)
    first = _tested(y, v, nest, others)
    rivals = np.sum(np.isfinite(first) & ~out, axis=0)
    suspect = np.isfinite(first) & ~(sure & (first * rivals > _NOT_SUSPECT))
    design, condition = np.nonzero(suspect)
    others_v = np.where(nest.of_value[:, None] == design, np.nan, pool_v[:, condition])
    exact = fit_together(floats(y[:, condition]), floats(others_v), nest.groups)
    found = [part.copy() for part in others]
    for part, better in zip(found, exact, strict=True):
        part[suspect] = better
    return _tested(y, v, nest, Fitted(*found))


def _near_others(y: Floats, v: Floats, nest: Nest) -> tuple[Fitted, Bools]:
    """Return nearly what the others of each design would be fitted with, and where it is sure to be near.

    What the likelihood of the others says at a trial variance is what all say less what the design says: one pass for
    all designs. Between the two trials where its slope changes sign, the variance is interpolated.
    """
    known = np.isfinite(v)
    pooled = fit_together(y, v, nest.groups)
    y, v = floats(np.where(known, y, 0.0)), floats(np.where(known, v, 0.0))
    own = np.round(likelihood_squares(y, floats(known), nest).trace)
    contrasts = np.sum(own, axis=0) - own
    altogether = np.sqrt(pooled.contrasts / at_least(pooled.information))

    def others_at(part: float) -> tuple[Floats, Floats, Floats]:
        """Return a trial variance, and the slope and the information of the others there."""
        variance = np.maximum(pooled.variance + (part - 1.0) * altogether, 0.0)
        found = likelihood_squares(y, floats(known / at_least(floats(variance + v))), nest)
        slope, information = found.weighted - found.trace, found.trace_squared
        return (
            floats(np.broadcast_to(variance, own.shape)),
            floats(np.sum(slope, axis=0) - slope),
            floats(np.sum(information, axis=0) - information),
        )

    low = others_at(_TRIALS[0])
    sure, crossings = (low[1] > 0.0) | (low[0] == 0.0), np.zeros(own.shape)
    variance, information = low[0], low[2]
    for part in _TRIALS[1:]:
        high = others_at(part)
        crossed = (low[1] > 0.0) & (high[1] <= 0.0)
        share = np.where(crossed, low[1] / np.where(crossed, low[1] - high[1], 1.0), 1.0)
        here = crossed | (high[1] > 0.0)
        variance = floats(np.where(here, low[0] + share * (high[0] - low[0]), variance))
        information = floats(np.where(here, low[2] + share * (high[2] - low[2]), information))
        crossings += crossed
        low = high
    near = (variance, at_least(information), contrasts)
    return Fitted(*(floats(np.where(contrasts > 0.0, one, np.nan)) for one in near)), sure & (crossings <= 1)


def _tested(y: Floats, v: Floats, nest: Nest, others: Fitted) -> Floats:
    """Return how probable each design's squares are, weighed as the others' component says."""
    known = np.isfinite(v)
    inside, spread = floats(known), floats(np.where(known, y, 0.0))
    total = at_least(floats(others.variance[nest.of_value] + np.where(known, v, 0.0)))
    total = floats(np.where(known & np.isfinite(total), total, np.inf))
    typical = nest.sums(floats(np.where(np.isfinite(total), total, 0.0))) / np.maximum(nest.sums(inside), 1.0)
    mine = likelihood_squares(spread, floats(1.0 / total), nest).plain
    contrasts = np.round(likelihood_squares(spread, inside, nest).trace)
    reference = np.minimum(typical**2 * others.information, 1e9)
    testable = (contrasts > 0.0) & (others.contrasts > 0.0) & (reference > 0.0)
    safe = np.where(testable, contrasts, 1.0)
    result = fdtrc(safe, np.where(testable, reference, 1.0), mine / safe)
    return floats(np.where(testable, result, np.nan))
