"""Components of variance: right where theory is exact, the restricted optimum elsewhere, honest about the unknown."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import minimize_scalar

from isothrust.science.arrays import Floats
from isothrust.science.repeatability import pooled_component, variance_component


def restricted_likelihood(variance: float, y: Floats, v: Floats, groups: Floats) -> float:
    """Return minus twice the logarithm of the restricted likelihood, from its definition with full matrices."""
    design = (groups[:, None] == np.unique(groups)[None, :]).astype(float)
    covariance = np.diag(v + variance)
    inverse = np.linalg.inv(covariance)
    information = design.T @ inverse @ design
    projection = inverse - inverse @ design @ np.linalg.solve(information, design.T @ inverse)
    terms = np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(information)[1]
    return float(terms + y @ projection @ y)


def test_equal_groups_with_known_noise_give_the_scatter_less_the_noise() -> None:
    rng = np.random.default_rng(1)
    y, groups = rng.normal(0.0, 1.0, 12), np.repeat(np.arange(4), 3)
    scatter = np.mean([y[groups == g].var(ddof=1) for g in range(4)])
    found = variance_component(y, 0.3 * scatter, groups)
    assert_allclose(found.variance, 0.7 * scatter, rtol=1e-8)
    # Var(s2 - v) = 2 s4/8, so the component has 8 (0.7)^2 degrees of freedom.
    assert_allclose(found.degrees_of_freedom, 8.0 * 0.7**2, rtol=1e-8)


def test_unequal_groups_without_noise_give_the_pooled_sample_variance() -> None:
    y = np.array([1.0, 2.0, 4.0, 10.0, 13.0, 7.0])
    groups = np.array(["a", "a", "a", "b", "b", "c"])
    pooled = (2 * np.var([1, 2, 4], ddof=1) + 1 * np.var([10, 13], ddof=1)) / 3
    found = variance_component(y, 0.0, groups)
    assert_allclose(found.variance, pooled, rtol=1e-8)
    assert_allclose(found.degrees_of_freedom, 3.0, rtol=1e-8)


def test_noise_above_the_scatter_leaves_nothing_and_is_said_to_be_certain() -> None:
    found = variance_component([1.0, 1.1, 5.0, 5.1], 1.0, ["a", "a", "b", "b"])
    assert found.variance == 0.0
    assert np.isinf(found.degrees_of_freedom)


@pytest.mark.parametrize("seed", range(8))
def test_unequal_noise_gives_the_optimum_of_the_restricted_likelihood(seed: int) -> None:
    rng = np.random.default_rng(seed)
    groups = np.repeat(np.arange(5), [2, 3, 3, 4, 1])
    v = rng.choice([0.02, 0.1, 1.5], groups.size)
    y = 10.0 * groups + rng.normal(0.0, np.sqrt(v + 0.2))
    best = minimize_scalar(
        restricted_likelihood, args=(y, v, groups), bounds=(0.0, 20.0), method="bounded", options={"xatol": 1e-10}
    )
    found = variance_component(y, v, groups)
    assert_allclose(found.variance, best.x, rtol=1e-4, atol=1e-6)


def test_components_are_found_condition_by_condition() -> None:
    rng = np.random.default_rng(3)
    y, v = rng.normal(size=(9, 5)), rng.uniform(0.05, 0.5, (9, 5))
    groups = np.repeat(["a", "b", "c"], 3)
    together = variance_component(y, v, groups)
    for i in range(5):
        alone = variance_component(y[:, i], v[:, i], groups)
        assert_allclose(together.variance[i], alone.variance, rtol=1e-8, atol=1e-12)


def test_scale_and_offset_of_a_group_do_what_they_should() -> None:
    y, v = np.array([1.0, 2.0, 4.0, 10.0, 13.0]), np.array([0.1, 0.2, 0.1, 0.4, 0.1])
    groups = np.array([0, 0, 0, 1, 1])
    plain = variance_component(y, v, groups)
    scaled = variance_component(1e4 * y + 1e6 * groups, 1e8 * v, groups)
    assert_allclose(scaled.variance, 1e8 * plain.variance, rtol=1e-7)
    assert_allclose(scaled.degrees_of_freedom, plain.degrees_of_freedom, rtol=1e-7)


def test_a_missing_value_counts_as_not_measured() -> None:
    with_hole = variance_component([1.0, 2.0, np.nan, 4.0], [0.1, 0.1, 0.1, np.nan], ["a"] * 4)
    without = variance_component([1.0, 2.0], [0.1, 0.1], ["a", "a"])
    assert_allclose(with_hole.variance, without.variance, rtol=1e-9)


def test_groups_of_one_tell_nothing() -> None:
    found = variance_component([1.0, 2.0, 3.0], 0.1, ["a", "b", "c"])
    assert np.isnan(found.variance)
    assert found.degrees_of_freedom == 0.0


def test_no_values_tell_nothing() -> None:
    assert np.isnan(variance_component([], [], []).variance)
    assert pooled_component([], [], [], []).scatters_more.size == 0


def test_values_that_agree_to_the_last_digit_leave_nothing() -> None:
    assert variance_component([2.0, 2.0, 2.0], 0.0, ["a"] * 3).variance == 0.0


def scattered(rng: np.random.Generator, sds: Floats, repeats: int, conditions: int) -> tuple[Floats, Floats]:
    designs = np.repeat(np.arange(len(sds)), repeats)
    return rng.normal(size=(designs.size, conditions)) * sds[designs, None], designs


def test_designs_alike_are_pooled_and_rarely_set_apart() -> None:
    y, designs = scattered(np.random.default_rng(5), np.full(8, 0.4), 3, 3000)
    found = pooled_component(y, 0.01, designs, designs)
    assert_allclose(np.mean(found.pooled.variance), 0.15, rtol=0.03)
    campaigns_with_a_flag = np.mean(found.scatters_more.any(axis=0))
    assert 0.10 < campaigns_with_a_flag < 0.25, "family-wise 20 %"
    same = ~found.scatters_more
    assert_allclose(found.used.variance[same], np.broadcast_to(found.pooled.variance, same.shape)[same])


def test_the_probability_of_a_design_s_scatter_is_uniform_when_all_scatter_alike() -> None:
    y, designs = scattered(np.random.default_rng(6), np.full(6, 0.4), 3, 3000)
    probability = pooled_component(y, 0.0, designs, designs).probability
    for level in (0.05, 0.5):
        assert abs(np.mean(probability < level) - level) < 0.02


@pytest.mark.parametrize(("repeats", "least"), [(3, 0.50), (6, 0.85)])
def test_a_design_that_scatters_three_times_as_much_is_not_hidden(repeats: int, least: float) -> None:
    sds = np.full(8, 0.4)
    sds[2] = 1.2
    y, designs = scattered(np.random.default_rng(7), sds, repeats, 1500)
    found = pooled_component(y, 0.01, designs, designs)
    # Three values tell their own scatter only to a factor: with six one in nine is missed.
    assert np.mean(found.scatters_more[2]) > least
    shown = found.scatters_more[2]
    assert np.median(np.sqrt(found.used.variance[2, shown])) > 2.0 * 0.4
    assert np.mean(found.scatters_more[[0, 1, 3, 4, 5, 6, 7]]) < 0.03
    # And what the others are told does not suffer much from it.
    assert np.median(np.sqrt(found.pooled.variance)) < 1.25 * 0.4


def test_a_design_with_one_run_borrows_the_pool() -> None:
    y = [1.0, 1.2, 0.9, 2.0, 2.1, 5.0]
    designs = ["a", "a", "a", "b", "b", "c"]
    found = pooled_component(y, 0.0, designs, designs)
    assert np.isnan(found.own.variance[2])
    assert_allclose(found.used.variance[2], found.pooled.variance)
    assert not found.scatters_more[2]


def test_a_lone_design_is_its_own_pool() -> None:
    found = pooled_component([1.0, 1.2, 0.9], 0.0, ["a", "a", "a"], ["a", "a", "a"])
    assert_allclose(found.used.variance[0], np.var([1.0, 1.2, 0.9], ddof=1), rtol=1e-8)
    assert np.isnan(found.probability[0])


def test_groups_within_designs_are_compared_within_groups() -> None:
    # Two samples that differ by far, each repeating well: mountings scatter little whatever the samples do.
    y = [1.00, 1.02, 2.00, 2.02, 5.0, 5.02, 7.0, 7.02]
    groups = ["a1", "a1", "a2", "a2", "b1", "b1", "b2", "b2"]
    found = pooled_component(y, 0.0, groups, [g[0] for g in groups])
    assert_allclose(found.pooled.variance, 0.0002, rtol=1e-6)
    assert_allclose(found.pooled.degrees_of_freedom, 4.0, rtol=1e-6)
