"""Repeatability: how much more figures scatter than their own stated variances explain, level by level.

Runs nest in mountings, mountings in samples, samples in designs. One level is looked at at a time: `values` are what
was found below it (run figures, means over a mounting, means over a sample), `variances` what is already known to
scatter them, `groups` the level above, within which they ought to agree. The first axis runs over the values, the
others over conditions, so that a whole curve is done in one call. A value or variance that is not a number is left out
at that condition.
"""

from __future__ import annotations

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
    membership = _membership(groups)
    return _component(*_information(y, v, membership))


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
    membership, of_design = _membership(groups), _codes(designs)
    count = int(of_design.max(initial=-1)) + 1
    own_v = [np.where((of_design == d).reshape(-1, *(1,) * (y.ndim - 1)), v, np.nan) for d in range(count)]
    own = [_component(*_information(y, each, membership)) for each in own_v]
    more = np.zeros((count, *y.shape[1:]), dtype=bool)
    out = more.copy()
    for _ in range(max(count // 2, 1)):
        probability = _probabilities(y, np.where(out[of_design], np.nan, v), own_v, membership)
        familywise = probability * np.sum(np.isfinite(probability) & ~out, axis=0)
        more |= familywise < _OWN_LEVEL
        candidates = np.where(out | ~(familywise < _OUT_OF_POOL_LEVEL), np.inf, probability)
        leaving = np.isfinite(candidates) & (candidates <= np.min(candidates, axis=0, initial=np.inf))
        if not leaving.any():
            break
        out |= leaving
    pool_v = np.where(out[of_design], np.nan, v)
    pooled = _component(*_information(y, pool_v, membership))
    alone = Component(*(np.stack(part) for part in zip(*own, strict=True)))
    used = Component(*(floats(np.where(more, mine, all_)) for mine, all_ in zip(alone, pooled, strict=True)))
    probability = _probabilities(y, pool_v, own_v, membership)
    return PooledComponent(pooled, alone, used, probability, np.asarray(more))


def _aligned(values: ArrayLike, variances: ArrayLike) -> tuple[Floats, Floats]:
    y, v = floats(values), floats(variances)
    if v.ndim == 1 and y.ndim > 1:
        v = v.reshape(-1, *(1,) * (y.ndim - 1))
    v = np.broadcast_to(v, y.shape)
    return y, floats(np.where(np.isfinite(y) & np.isfinite(v) & (v >= 0.0), v, np.nan))


def _codes(labels: ArrayLike) -> _Codes:
    return np.asarray(np.unique(np.asarray(labels), return_inverse=True)[1], dtype=np.intp).reshape(-1)


def _membership(labels: ArrayLike) -> Floats:
    """Return one row a group, with a one for each value in it."""
    codes = _codes(labels)
    return floats(codes[None, :] == np.arange(codes.max(initial=-1) + 1)[:, None])


class _Squares(NamedTuple):
    """What the restricted likelihood needs at a trial variance, each of shape (...)."""

    weighted: Floats
    """Sum of w^2 (y - mean)^2: y'PPy."""
    plain: Floats
    """Sum of w (y - mean)^2: y'Py."""
    trace: Floats
    """tr P, the expectation of `weighted`."""
    trace_squared: Floats
    """tr PP, twice the expected information."""


def _group_sums(array: Floats, membership: Floats) -> Floats:
    return floats(np.tensordot(membership, array, axes=1))


def _squares(y: Floats, w: Floats, membership: Floats) -> _Squares:
    """Return the sums over groups for weights w; a weight of nil leaves a value out."""
    w1 = _group_sums(w, membership)
    safe = np.where(w1 > 0.0, w1, 1.0)
    mean = _group_sums(w * y, membership) / safe
    residual = y - _group_sums(mean, membership.T)
    w2, w3 = _group_sums(w**2, membership), _group_sums(w**3, membership)
    return _Squares(
        weighted=floats(np.sum(w**2 * residual**2, axis=0)),
        plain=floats(np.sum(w * residual**2, axis=0)),
        trace=floats(np.sum(w1 - w2 / safe, axis=0)),
        trace_squared=floats(np.sum(w2 - 2.0 * w3 / safe + (w2 / safe) ** 2, axis=0)),
    )


def _information(y: Floats, v: Floats, membership: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the variance, the information tr PP on it, and how many contrasts there are."""
    known = np.isfinite(v)
    y, v = np.where(known, y, 0.0), np.where(known, v, 0.0)
    even = _squares(y, floats(known), membership)
    contrasts = np.round(even.trace)
    # The start: the scatter itself, as if nothing were known. The floor keeps weights finite where nothing is stated.
    scatter = even.plain / np.maximum(contrasts, 1.0)
    floor = np.where(scatter > 0.0, 1e-9 * scatter, 1.0)
    variance = scatter
    for _ in range(_PASSES):
        found = _squares(y, np.where(known, 1.0 / np.maximum(variance + v, floor), 0.0), membership)
        information = np.where(found.trace_squared > 0.0, found.trace_squared, 1.0)
        step = (found.weighted - found.trace) / information
        variance, last = np.maximum(variance + step, 0.0), variance
        if np.all(np.abs(variance - last) <= 1e-10 * (variance + floor)):
            break
    found = _squares(y, np.where(known, 1.0 / np.maximum(variance + v, floor), 0.0), membership)
    return floats(np.where(contrasts > 0.0, variance, np.nan)), found.trace_squared, floats(contrasts)


def _component(variance: Floats, information: Floats, contrasts: Floats) -> Component:
    with np.errstate(invalid="ignore"):
        dof = np.where(variance > 0.0, np.minimum(variance**2 * information, contrasts), np.inf)
    return Component(variance, floats(np.where(contrasts > 0.0, dof, 0.0)))


def _probabilities(y: Floats, pool_v: Floats, own_v: list[Floats], membership: Floats) -> Floats:
    """Return, design by design, how probable its scatter is if the others' component holds for it too."""
    return floats(np.stack([_probability(y, pool_v, own, membership) for own in own_v]))


def _probability(y: Floats, pool_v: Floats, own_v: Floats, membership: Floats) -> Floats:
    others = np.where(np.isfinite(own_v), np.nan, pool_v)
    variance, information, contrasts = _information(y, others, membership)
    known = np.isfinite(own_v)
    total = np.where(known, variance + np.where(known, own_v, 0.0), np.nan)
    # Others that agree to the last digit and state nothing: any scatter at all is then improbable.
    total = np.maximum(total, np.finfo(np.float64).tiny ** 0.25)
    w = np.where(known & np.isfinite(total), 1.0 / total, 0.0)
    typical = np.sum(np.where(known, total, 0.0), axis=0) / np.maximum(np.sum(known, axis=0), 1)
    mine = _squares(np.where(known, y, 0.0), w, membership)
    own_contrasts = np.round(_squares(y, floats(known), membership).trace)
    reference = np.minimum(typical**2 * information, 1e9)
    testable = (own_contrasts > 0.0) & (contrasts > 0.0) & (reference > 0.0)
    safe = np.where(testable, own_contrasts, 1.0)
    result = fdtrc(safe, np.where(testable, reference, 1.0), mine.plain / safe)
    return floats(np.where(testable, result, np.nan))
