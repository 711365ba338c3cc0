"""The mean over samples of the mean over mountings of the mean over runs, each weighed by its own variance."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["NestedMean", "nested_mean"]

_Codes = NDArray[np.intp]


class NestedMean(NamedTuple):
    """A weighted mean of runs in mountings in samples, and what each level's errors do to it; (...) are conditions."""

    value: Floats
    """[unit of the values]"""
    weights: Floats
    """Of each run, in the order given; they add up to one. Shape (n, ...) [1]."""
    mounting_weights: Floats
    """Of each mounting, in the order of first appearance. Shape (q, ...) [1]."""
    sample_weights: Floats
    """Of each sample, in the order of first appearance. Shape (m, ...) [1]."""
    mounting_share: Floats
    """Sum of the squares of the mountings' weights: times the mounting variance, the variance it leaves [1]."""
    sample_share: Floats
    """Sum of the squares of the samples' weights: times the sample variance, what 'of the design' adds [1]."""
    sample_imbalance: Floats
    """Sum of the squares of (weight - 1/m): times the sample variance, what uneven weights cost 'as tested' [1]."""
    run_variance: Floats
    """What the runs' own variances leave, were they all independent [unit of the values, squared]."""


def nested_mean(
    values: ArrayLike,
    variances: ArrayLike,
    mountings: ArrayLike,
    samples: ArrayLike,
    *,
    mounting_variance: ArrayLike = 0.0,
    sample_variance: ArrayLike = 0.0,
) -> NestedMean:
    """Return the mean over samples of the mean over mountings of the mean over runs of one design.

    Each mean weighs what it averages by the inverse of its variance: of a run its own; of a mounting the mounting
    variance and what its runs leave; of a sample the sample variance and what its mountings leave. So a run whose zero
    crept hardly counts, and samples count alike where samples differ more than their figures are unsure.

    Parameters
    ----------
    values
        One a run, shape (n, ...) [any unit].
    variances
        Of each run by itself, broadcastable to the values [that unit, squared].
    mountings
        Mounting of each run, length n, any labels; a mounting belongs to one sample.
    samples
        Sample of each run, length n, any labels.
    mounting_variance
        Of one mounting to the next, shape (...); not a number counts as nil [unit of the values, squared].
    sample_variance
        Of one sample to the next, shape (...); not a number counts as nil [unit of the values, squared].

    Returns
    -------
    NestedMean
        See there. A run whose value or variance is not a number has no weight; not a number where no run is left.

    Source
    ------
    [Searle1992] chapter 3: generalised least squares of a nested design, which works level by level.

    Examples
    --------
    >>> mean = nested_mean([1.0, 3.0, 6.0], 0.1, ["a", "b", "c"], ["s1", "s1", "s2"], sample_variance=1e6)
    >>> f"{mean.value:.4f}", [f"{w:.2f}" for w in mean.weights]
    ('4.0000', ['0.25', '0.25', '0.50'])
    """
    y = floats(values)
    v = _like(variances, y)
    known = np.isfinite(y) & np.isfinite(v) & (v >= 0.0)
    y, v = np.where(known, y, 0.0), np.where(known, v, np.nan)
    to_mounting, of_sample = _first_seen(mountings), _first_seen(samples)
    mounting_sample = np.array([of_sample[to_mounting == m][0] for m in range(_count(to_mounting))], dtype=np.intp)
    in_mounting, left = _inverse_variance(v, to_mounting)
    in_sample, left = _inverse_variance(left + np.nan_to_num(floats(mounting_variance)), mounting_sample)
    in_design, _ = _inverse_variance(left + np.nan_to_num(floats(sample_variance)), np.zeros(len(left), dtype=np.intp))
    mounting_weights = in_sample * in_design[mounting_sample]
    weights = in_mounting * mounting_weights[to_mounting]
    nothing = ~known.any(axis=0)
    counted = np.sum(in_design > 0.0, axis=0)
    even = np.where(in_design > 0.0, 1.0 / np.maximum(counted, 1), 0.0)

    def found(array: Floats) -> Floats:
        return floats(np.where(nothing, np.nan, array))

    return NestedMean(
        value=found(np.sum(weights * y, axis=0)),
        weights=floats(weights),
        mounting_weights=floats(mounting_weights),
        sample_weights=floats(in_design),
        mounting_share=found(np.sum(mounting_weights**2, axis=0)),
        sample_share=found(np.sum(in_design**2, axis=0)),
        sample_imbalance=found(np.sum((in_design - even) ** 2, axis=0)),
        run_variance=found(np.sum(weights**2 * np.where(known, v, 0.0), axis=0)),
    )


def _like(variances: ArrayLike, y: Floats) -> Floats:
    v = floats(variances)
    if v.ndim == 1 and y.ndim > 1:
        v = v.reshape(-1, *(1,) * (y.ndim - 1))
    return floats(np.broadcast_to(v, y.shape))


def _first_seen(labels: ArrayLike) -> _Codes:
    """Return codes in the order of first appearance."""
    _, first, codes = np.unique(np.asarray(labels), return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.intp)
    rank[np.argsort(first)] = np.arange(len(first))
    return np.asarray(rank[codes.reshape(-1)], dtype=np.intp)


def _count(codes: _Codes) -> int:
    return int(codes.max(initial=-1)) + 1


def _inverse_variance(variances: Floats, group: _Codes) -> tuple[Floats, Floats]:
    """Return the weight of each value within its group, and the variance of each group's mean.

    A variance that is not a number gives no weight. Values without any variance share all the weight of their group.
    """
    known = ~np.isnan(variances)
    exact = known & (variances == 0.0)
    member = floats(group[None, :] == np.arange(_count(group))[:, None])

    def total(array: Floats) -> Floats:
        return floats(np.einsum("gn,n...->g...", member, array))

    has_exact = total(floats(exact)) > 0.0
    w = np.where(has_exact[group], floats(exact), np.where(known & ~exact, 1.0 / np.where(exact, 1.0, variances), 0.0))
    whole = total(floats(w))
    weight = floats(w / np.where(whole > 0.0, whole, 1.0)[group])
    left = np.where(whole > 0.0, total(floats(weight**2 * np.where(known, variances, 0.0))), np.nan)
    return weight, floats(left)
