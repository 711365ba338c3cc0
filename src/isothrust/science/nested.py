"""The mean over samples of the mean over mountings of the mean over runs, each weighed by its own variance."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats
from isothrust.science.groups import Codes, Groups, grouped

__all__ = ["NestedMean", "nested_mean", "nested_means"]


class NestedMean(NamedTuple):
    """A weighted mean of runs in mountings in samples, and what each level's errors do to it; (...) are conditions.

    Of `nested_means`: the means of d designs, each field without runs, mountings or samples of shape (d, ...).
    """

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
    designs = np.zeros(len(floats(values)), dtype=np.intp)
    found = nested_means(
        values,
        variances,
        mountings,
        samples,
        designs,
        mounting_variance=floats(mounting_variance)[None],
        sample_variance=floats(sample_variance)[None],
    )
    weights = {"weights", "mounting_weights", "sample_weights"}
    return NestedMean(*(part if name in weights else part[0] for name, part in found._asdict().items()))


def nested_means(
    values: ArrayLike,
    variances: ArrayLike,
    mountings: ArrayLike,
    samples: ArrayLike,
    designs: ArrayLike,
    *,
    mounting_variance: ArrayLike = 0.0,
    sample_variance: ArrayLike = 0.0,
) -> NestedMean:
    """Return the nested means of several designs at once; see `nested_mean`.

    Parameters
    ----------
    values
        One a run, shape (n, ...) [any unit].
    variances
        Of each run by itself, broadcastable to the values [that unit, squared].
    mountings, samples, designs
        Mounting, sample and design of each run, length n, any labels; a mounting belongs to one sample, a sample to
        one design.
    mounting_variance, sample_variance
        Of each design in the order of first appearance, broadcastable to (d, ...); not a number counts as nil [unit of
        the values, squared].

    Returns
    -------
    NestedMean
        Of each design.

    Source
    ------
    [Searle1992] chapter 3, as `nested_mean`.

    Examples
    --------
    >>> means = nested_means([1.0, 3.0, 6.0], 0.1, ["a", "b", "c"], ["s", "s", "t"], ["A", "A", "B"])
    >>> means.value.tolist()
    [2.0, 6.0]
    """
    y = floats(values)
    v = _like(variances, y)
    known = np.isfinite(y) & np.isfinite(v) & (v >= 0.0)
    y, v = np.where(known, y, 0.0), np.where(known, v, np.nan)
    by_mounting, by_sample, by_design = grouped(mountings), grouped(samples), grouped(designs)
    of_mounting = grouped(by_sample.of_row[by_mounting.first])
    of_sample = grouped(by_design.of_row[by_sample.first])
    in_mounting, left = _inverse_variance(v, by_mounting)
    in_sample, left = _inverse_variance(
        left + _each(mounting_variance, of_sample.of_row[of_mounting.of_row]), of_mounting
    )
    in_design, _ = _inverse_variance(left + _each(sample_variance, of_sample.of_row), of_sample)
    mounting_weights = in_sample * in_design[of_mounting.of_row]
    weights = in_mounting * mounting_weights[by_mounting.of_row]
    nothing = by_design.sums(floats(known)) == 0.0
    counted = of_sample.sums(floats(in_design > 0.0))
    even = np.where(in_design > 0.0, 1.0 / np.maximum(counted, 1.0)[of_sample.of_row], 0.0)
    to_design = grouped(of_sample.of_row[of_mounting.of_row])

    def found(array: Floats) -> Floats:
        return floats(np.where(nothing, np.nan, array))

    return NestedMean(
        value=found(by_design.sums(floats(weights * y))),
        weights=floats(weights),
        mounting_weights=floats(mounting_weights),
        sample_weights=floats(in_design),
        mounting_share=found(to_design.sums(floats(mounting_weights**2))),
        sample_share=found(of_sample.sums(floats(in_design**2))),
        sample_imbalance=found(of_sample.sums(floats((in_design - even) ** 2))),
        run_variance=found(by_design.sums(floats(weights**2 * np.where(known, v, 0.0)))),
    )


def _like(variances: ArrayLike, y: Floats) -> Floats:
    v = floats(variances)
    if v.ndim == 1 and y.ndim > 1:
        v = v.reshape(-1, *(1,) * (y.ndim - 1))
    return floats(np.broadcast_to(v, y.shape))


def _each(variance: ArrayLike, design: Codes) -> Floats:
    """Return the designs' variance for each of what belongs to them; one variance holds for all designs."""
    v = np.nan_to_num(floats(variance))
    return floats(v[design] if v.ndim and v.shape[0] > 1 else v)


def _inverse_variance(variances: Floats, groups: Groups) -> tuple[Floats, Floats]:
    """Return the weight of each value within its group, and the variance of each group's mean.

    A variance that is not a number gives no weight. Values without any variance share all the weight of their group.
    """
    known = ~np.isnan(variances)
    exact = known & (variances == 0.0)
    w = np.where(known & ~exact, 1.0 / np.where(exact, 1.0, variances), 0.0)
    if exact.any():
        w = np.where((groups.sums(floats(exact)) > 0.0)[groups.of_row], floats(exact), w)
    whole = groups.sums(floats(w))
    weight = floats(w / np.where(whole > 0.0, whole, 1.0)[groups.of_row])
    left = np.where(whole > 0.0, groups.sums(floats(weight**2 * np.where(known, variances, 0.0))), np.nan)
    return weight, floats(left)
