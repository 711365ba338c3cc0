"""The nested mean is the generalised least-squares mean, and its intervals hold the truth as often as they say."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.arrays import Floats
from isothrust.science.nested import NestedMean, nested_mean, nested_means
from isothrust.science.repeatability import pooled_component
from isothrust.science.uncertainty import coverage_factor, welch_satterthwaite


def test_nested_mean_is_the_generalised_least_squares_mean() -> None:
    rng = np.random.default_rng(11)
    samples = np.array([0, 0, 0, 0, 1, 1, 2])
    mountings = np.array([0, 0, 1, 2, 3, 4, 5])
    y, v = rng.normal(5.0, 1.0, 7), rng.uniform(0.1, 3.0, 7)
    same_mounting = mountings[:, None] == mountings[None, :]
    same_sample = samples[:, None] == samples[None, :]
    covariance = np.diag(v) + 0.4 * same_mounting + 0.9 * same_sample
    weights = np.linalg.solve(covariance, np.ones(7))
    weights /= weights.sum()
    found = nested_mean(y, v, mountings, samples, mounting_variance=0.4, sample_variance=0.9)
    assert_allclose(found.weights, weights, rtol=1e-12)
    assert_allclose(found.value, weights @ y, rtol=1e-12)
    total = found.run_variance + 0.4 * found.mounting_share + 0.9 * found.sample_share
    assert_allclose(total, weights @ covariance @ weights, rtol=1e-12)


def test_weights_add_up_level_by_level() -> None:
    found = nested_mean([1.0, 2.0, 3.0, 4.0], [0.1, 0.2, 0.3, 0.4], list("aabc"), list("ssst"), mounting_variance=0.1)
    for weights in (found.weights, found.mounting_weights, found.sample_weights):
        assert_allclose(weights.sum(), 1.0, rtol=1e-14)
    assert_allclose(found.mounting_weights, [found.weights[:2].sum(), *found.weights[2:]], rtol=1e-14)


def test_a_run_whose_zero_crept_hardly_counts() -> None:
    found = nested_mean([10.0, 10.0, 14.0], [0.01, 0.01, 4.0], list("abc"), list("sss"), mounting_variance=0.01)
    assert found.weights[2] < 0.01
    assert abs(found.value - 10.0) < 0.03


def test_samples_count_alike_where_they_differ_more_than_their_figures_are_unsure() -> None:
    found = nested_mean([1.0, 1.0, 1.0, 3.0], 0.01, list("abcd"), list("sssT"), sample_variance=100.0)
    assert_allclose(found.value, 2.0, atol=1e-3)
    assert found.sample_imbalance < 1e-6
    assert_allclose(found.sample_share, 0.5, atol=1e-6)


def test_exact_values_share_their_weight() -> None:
    found = nested_mean([1.0, 3.0, 100.0], [0.0, 0.0, 5.0], list("abc"), list("sss"))
    assert_allclose(found.value, 2.0)
    assert found.weights.tolist() == [0.5, 0.5, 0.0]


def test_a_missing_run_has_no_weight_and_nothing_left_is_missing() -> None:
    values = [[1.0, np.nan], [np.nan, np.nan], [3.0, np.nan]]
    found = nested_mean(values, 0.1, list("abc"), list("sst"))
    assert_allclose(found.value[0], 2.0)
    assert found.weights[1, 0] == 0.0
    assert np.isnan(found.value[1])
    assert np.isnan(found.run_variance[1])


def test_an_unknown_scatter_counts_as_nil() -> None:
    found = nested_mean([1.0, 3.0], 0.1, list("ab"), list("ss"), mounting_variance=np.nan)
    assert_allclose(found.value, 2.0)


def test_conditions_are_independent_of_each_other() -> None:
    rng = np.random.default_rng(2)
    y, v, between = rng.normal(size=(5, 4)), rng.uniform(0.1, 1.0, (5, 4)), rng.uniform(0.0, 1.0, 4)
    together = nested_mean(y, v, list("aabcd"), list("sssst"), mounting_variance=between)
    for i in range(4):
        alone = nested_mean(y[:, i], v[:, i], list("aabcd"), list("sssst"), mounting_variance=between[i])
        assert_allclose(together.value[i], alone.value, rtol=1e-13)


def deviations(mean: NestedMean, mounting: Floats, dof: Floats) -> tuple[Floats, Floats, Floats]:
    """Return (value - truth)/u with the truth at nil, whether the 95 % interval holds it, and the half-width."""
    parts = np.sqrt([mean.mounting_share * mounting, mean.run_variance])
    u = np.hypot(*parts)
    half = coverage_factor(welch_satterthwaite(parts, np.stack([dof, np.full_like(dof, np.inf)]))) * u
    return mean.value / u, np.abs(mean.value) <= half, half


@pytest.mark.parametrize("designs", [4, 6, 8])
@pytest.mark.parametrize(("mounting_sd", "run_sd"), [(0.4, 0.1), (0.4, 0.4), (0.0, 0.3), (0.1, 0.3)])
@pytest.mark.parametrize("noisier", [1.0, 5.0])
def test_stated_intervals_hold_the_truth(designs: int, mounting_sd: float, run_sd: float, noisier: float) -> None:
    """Three mountings a design, one run in the campaign noisier than the rest; 1500 campaigns side by side."""
    rng = np.random.default_rng(hash((designs, mounting_sd, run_sd, noisier)) % 2**32)
    design = np.repeat(np.arange(designs), 3)
    noise = np.full(design.size, run_sd)
    noise[0] *= noisier
    y = rng.normal(size=(design.size, 1500)) * np.hypot(noise, mounting_sd)[:, None]
    found = pooled_component(y, noise**2, design, design).used
    z, held, width = [], [], []
    for d in range(designs):
        mine = design == d
        mean = nested_mean(y[mine], noise[mine] ** 2, list("abc"), list("sss"), mounting_variance=found.variance[d])
        one = deviations(mean, found.variance[d], found.degrees_of_freedom[d])
        for store, part in zip((z, held, width), one, strict=True):
            store.append(part)
        oracle = 1.96 / np.sqrt(np.sum(1.0 / (noise[mine] ** 2 + mounting_sd**2)))
        width[-1] = width[-1] / oracle
    assert 0.93 < np.mean(held) < 0.985
    assert min(np.mean(part) for part in held) > 0.92, "no design is left behind, the noisy one neither"
    # Four designs leave eight degrees of freedom, and Student's distribution with eight has an rms of 1.155.
    assert 0.85 < np.sqrt(np.mean(np.square(z))) < (1.30 if designs == 4 else 1.17)
    assert np.median(width) < 1.25


def test_of_the_design_holds_the_mean_of_all_samples() -> None:
    """Eight designs, two samples each, two mountings each: intervals of the design hold the design's own mean."""
    rng = np.random.default_rng(77)
    design = np.repeat(np.arange(8), 4)
    sample = np.repeat(np.arange(16), 2)
    run_sd, mounting_sd, sample_sd, campaigns = 0.1, 0.3, 0.6, 1500
    y = rng.normal(size=(32, campaigns)) * np.hypot(run_sd, mounting_sd)
    y += sample_sd * rng.normal(size=(16, campaigns))[sample]
    mounting = pooled_component(y, run_sd**2, sample, design).used
    means = [
        nested_mean(y[sample == s], run_sd**2, [0, 1], [0, 0], mounting_variance=mounting.variance[s // 2])
        for s in range(16)
    ]
    left = np.stack([m.run_variance + m.mounting_share * mounting.variance[s // 2] for s, m in enumerate(means)])
    between = pooled_component(np.stack([m.value for m in means]), left, np.arange(16) // 2, np.arange(16) // 2).used
    held = []
    for d in range(8):
        mine = design == d
        m = nested_mean(
            y[mine],
            run_sd**2,
            [0, 1, 2, 3],
            sample[mine],
            mounting_variance=mounting.variance[d],
            sample_variance=between.variance[d],
        )
        parts = np.sqrt([m.run_variance, m.mounting_share * mounting.variance[d], m.sample_share * between.variance[d]])
        dof = welch_satterthwaite(
            parts, np.stack([np.full(campaigns, np.inf), mounting.degrees_of_freedom[d], between.degrees_of_freedom[d]])
        )
        held.append(np.abs(m.value) <= coverage_factor(dof) * np.sqrt(np.sum(parts**2, axis=0)))
    assert 0.92 < np.mean(held) < 0.98


@pytest.mark.parametrize("seed", range(8))
def test_many_designs_at_many_conditions_give_what_matrices_give_for_each(seed: int) -> None:
    """Generalised least squares, design by design: Searle, Casella and McCulloch, Variance Components, 1992, ch. 3."""
    rng = np.random.default_rng(seed)
    designs = rng.permutation([0, 0, 0, 0, 1, 2, 2, 2, 2, 2, 2, 2])  # the one in the middle has a single run
    samples = 10 * designs + rng.integers(2, size=12)
    mountings = 10 * samples + rng.integers(2, size=12)
    y, v = rng.normal(size=(12, 3)), rng.uniform(0.1, 2.0, size=(12, 3))
    y[rng.random(y.shape) < 0.2] = np.nan
    y[designs == 1, 2] = np.nan
    order = list(dict.fromkeys(designs.tolist()))
    between_mountings, between_samples = rng.uniform(0.0, 1.0, size=(2, 3, 3))
    found = nested_means(
        y, v, mountings, samples, designs, mounting_variance=between_mountings, sample_variance=between_samples
    )
    for place, design in enumerate(order):
        for condition in range(3):
            there = np.flatnonzero((designs == design) & np.isfinite(y[:, condition]))
            if not there.size:
                assert np.isnan(found.value[place, condition])
                continue
            covariance = np.diag(v[there, condition])
            for labels, variance in ((mountings, between_mountings), (samples, between_samples)):
                covariance += variance[place, condition] * np.equal.outer(labels[there], labels[there])
            inverse = np.linalg.inv(covariance)
            weights = inverse.sum(axis=0) / inverse.sum()
            assert_allclose(found.weights[there, condition], weights, atol=1e-12)
            assert_allclose(found.value[place, condition], weights @ y[there, condition], rtol=1e-10)
            shares = {m: weights[mountings[there] == m].sum() for m in mountings[there]}
            assert_allclose(found.mounting_share[place, condition], sum(w**2 for w in shares.values()))
            shares = {s: weights[samples[there] == s].sum() for s in samples[there]}
            assert_allclose(found.sample_share[place, condition], sum(w**2 for w in shares.values()))
            uneven = sum((w - 1.0 / len(shares)) ** 2 for w in shares.values())
            assert_allclose(found.sample_imbalance[place, condition], uneven, atol=1e-12)
            assert_allclose(found.run_variance[place, condition], weights**2 @ v[there, condition])
    assert not found.weights[np.isnan(y)].any()
