"""Repeatability: how much more figures scatter than their own stated variances explain, level by level.

Runs nest in mountings, mountings in samples, samples in designs. One level is looked at at a time: `values` are what
was found below it (run figures, means over a mounting, means over a sample), `variances` what is already known to
scatter them, `groups` the level above, within which they ought to agree. The first axis runs over the values, the
others over conditions, so that a whole curve is done in one call. A value or variance that is not a number is left out
at that condition.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtrc

from isothrust.science.arrays import Bools, Floats, floats

__all__ = ["Component", "PooledComponent", "pooled_component", "variance_component"]

_PASSES = 60
# How improbable, over all designs together, a scatter must be for a design to be judged by its own, and to be kept out
# of the others' pool. The second is stricter: leaving out what is largest by chance would flatter the rest.
_OWN_LEVEL = 0.20
_OUT_OF_POOL_LEVEL = 0.01

_Codes = NDArray[np.intp]


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
    order, sorted_groups = _sorted(groups)
    found = _fitted(_columns(y)[order], _columns(v)[order], sorted_groups)
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
    order, sorted_groups = _sorted(groups)
    y, v, of_design = _columns(y)[order], _columns(v)[order], _codes(designs)[order]
    mine = of_design[:, None] == np.arange(int(of_design.max(initial=-1)) + 1)
    own_v = floats(np.where(mine[:, :, None], v[:, None, :], np.nan))
    own = _component(_fitted_each(y, own_v, sorted_groups))
    more = np.zeros(own.variance.shape, dtype=bool)
    out = more.copy()
    probability = _probabilities(y, v, own_v, sorted_groups)
    for _ in range(max(mine.shape[1] // 2, 1)):
        familywise = probability * np.sum(np.isfinite(probability) & ~out, axis=0)
        more |= familywise < _OWN_LEVEL
        candidates = np.where(out | ~(familywise < _OUT_OF_POOL_LEVEL), np.inf, probability)
        leaving = np.isfinite(candidates) & (candidates <= np.min(candidates, axis=0, initial=np.inf))
        if not leaving.any():
            break
        out |= leaving
        probability = _probabilities(y, floats(np.where(out[of_design], np.nan, v)), own_v, sorted_groups)
    pooled = _component(_fitted(y, floats(np.where(out[of_design], np.nan, v)), sorted_groups))
    used = [np.where(more, alone, together) for alone, together in zip(own, pooled, strict=True)]
    each = (mine.shape[1], *shape)
    return PooledComponent(
        Component(*(floats(part.reshape(shape)) for part in pooled)),
        Component(*(floats(part.reshape(each)) for part in own)),
        Component(*(floats(part.reshape(each)) for part in used)),
        floats(probability.reshape(each)),
        np.asarray(more.reshape(each)),
    )


def _aligned(values: ArrayLike, variances: ArrayLike) -> tuple[Floats, Floats]:
    y, v = floats(values), floats(variances)
    if v.ndim == 1 and y.ndim > 1:
        v = v.reshape(-1, *(1,) * (y.ndim - 1))
    v = np.broadcast_to(v, y.shape)
    return y, floats(np.where(np.isfinite(y) & np.isfinite(v) & (v >= 0.0), v, np.nan))


def _codes(labels: ArrayLike) -> _Codes:
    return np.asarray(np.unique(np.asarray(labels), return_inverse=True)[1], dtype=np.intp).reshape(-1)


class _Groups(NamedTuple):
    """Values sorted by group: the group of each, and where each group starts."""

    of_value: _Codes
    starts: _Codes

    def sums(self, array: Floats) -> Floats:
        """Return the sum over each group."""
        return floats(np.add.reduceat(array, self.starts, axis=0))


def _sorted(labels: ArrayLike) -> tuple[_Codes, _Groups]:
    """Return the order that sorts values by group, and the groups in that order."""
    codes = _codes(labels)
    order = np.argsort(codes, kind="stable")
    found = codes[order]
    starts = np.flatnonzero(np.diff(found, prepend=-1))
    return order, _Groups(found, np.asarray(starts, dtype=np.intp))


def _columns(array: Floats) -> Floats:
    """Return one column a condition, however many axes of conditions there are."""
    return floats(array.reshape(array.shape[0], math.prod(array.shape[1:])))


class _Squares(NamedTuple):
    """What the restricted likelihood needs at a trial variance, one a condition."""

    weighted: Floats
    """Sum of w^2 (y - mean)^2: y'PPy."""
    plain: Floats
    """Sum of w (y - mean)^2: y'Py."""
    trace: Floats
    """tr P, the expectation of `weighted`."""
    trace_squared: Floats
    """tr PP, twice the expected information."""


class _Fitted(NamedTuple):
    """Variance, the information tr PP on it, and how many contrasts there are, one a condition."""

    variance: Floats
    information: Floats
    contrasts: Floats


def _squares(y: Floats, w: Floats, groups: _Groups) -> _Squares:
    """Return the sums over groups for weights w; a weight of nil leaves a value out."""
    w2 = w * w
    w1, s2, s3 = groups.sums(w), groups.sums(w2), groups.sums(w2 * w)
    safe = np.where(w1 > 0.0, w1, 1.0)
    residual = (y - (groups.sums(w * y) / safe)[groups.of_value]) ** 2
    return _Squares(
        weighted=floats(np.sum(w2 * residual, axis=0)),
        plain=floats(np.sum(w * residual, axis=0)),
        trace=floats(np.sum(w1 - s2 / safe, axis=0)),
        trace_squared=floats(np.sum(s2 - 2.0 * s3 / safe + (s2 / safe) ** 2, axis=0)),
    )


def _fitted(y: Floats, v: Floats, groups: _Groups) -> _Fitted:
    known = np.isfinite(v)
    y, v = np.where(known, y, 0.0), np.where(known, v, 0.0)
    even = _squares(y, floats(known), groups)
    contrasts = np.round(even.trace)
    # The start: the scatter itself, as if nothing were known. The floor keeps weights finite where nothing is stated.
    scatter = even.plain / np.maximum(contrasts, 1.0)
    floor = np.where(scatter > 0.0, 1e-9 * scatter, 1.0)
    variance = scatter.copy()
    moving = np.arange(variance.size)
    for _ in range(_PASSES):
        last, least = variance[moving], floor[moving]
        w = known[:, moving] / np.maximum(last + v[:, moving], least)
        found = _squares(y[:, moving], floats(w), groups)
        information = np.where(found.trace_squared > 0.0, found.trace_squared, 1.0)
        following = np.maximum(last + (found.weighted - found.trace) / information, 0.0)
        variance[moving] = following
        moving = moving[np.abs(following - last) > 1e-8 * (following + least)]
        if not moving.size:
            break
    found = _squares(y, floats(known / np.maximum(variance + v, floor)), groups)
    return _Fitted(floats(np.where(contrasts > 0.0, variance, np.nan)), found.trace_squared, floats(contrasts))


def _fitted_each(y: Floats, v: Floats, groups: _Groups) -> _Fitted:
    """Return a fit for each set of variances (n, sets, conditions), all in one pass: (sets, conditions)."""
    spread = np.broadcast_to(y[:, None, :], v.shape)
    return _Fitted(*(floats(p.reshape(v.shape[1:])) for p in _fitted(_columns(spread), _columns(v), groups)))


def _component(found: _Fitted) -> Component:
    with np.errstate(invalid="ignore"):
        dof = np.where(found.variance > 0.0, np.minimum(found.variance**2 * found.information, found.contrasts), np.inf)
    return Component(found.variance, floats(np.where(found.contrasts > 0.0, dof, 0.0)))


def _probabilities(y: Floats, pool_v: Floats, own_v: Floats, groups: _Groups) -> Floats:
    """Return, design by design, how probable its scatter is if the others' component holds for it too."""
    known = np.isfinite(own_v)
    others = _fitted_each(y, floats(np.where(known, np.nan, pool_v[:, None, :])), groups)
    # Others that agree to the last digit and state nothing: any scatter at all is then improbable.
    total = np.maximum(others.variance + np.where(known, own_v, 0.0), np.finfo(np.float64).tiny ** 0.25)
    total = np.where(known & np.isfinite(total), total, np.inf)
    typical = np.sum(np.where(np.isfinite(total), total, 0.0), axis=0) / np.maximum(np.sum(known, axis=0), 1)
    spread = np.where(known, y[:, None, :], 0.0)
    mine = _squares(_columns(floats(spread)), _columns(floats(1.0 / total)), groups).plain.reshape(typical.shape)
    even = _squares(_columns(floats(spread)), _columns(floats(known)), groups).trace.reshape(typical.shape)
    contrasts = np.round(even)
    reference = np.minimum(typical**2 * others.information, 1e9)
    testable = (contrasts > 0.0) & (others.contrasts > 0.0) & (reference > 0.0)
    safe = np.where(testable, contrasts, 1.0)
    result = fdtrc(safe, np.where(testable, reference, 1.0), mine / safe)
    return floats(np.where(testable, result, np.nan))
