"""Budgets: what is common cancels, what is independent adds in squares, what is estimated once counts once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from isothrust.science.uncertainty import (
    combine,
    combine_correlated,
    combine_difference,
    coverage_factor,
    coverage_interval,
    merge_by_key,
    welch_satterthwaite,
)

lines = st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=6)


def test_equal_keys_add_with_their_signs() -> None:
    total = combine(["scale", "zero", "scale"], [3.0, 4.0, -3.0], np.inf)
    assert_allclose(total.uncertainty, 4.0)
    total = combine(["scale", "zero", "scale"], [1.5, 4.0, 1.5], np.inf)
    assert_allclose(total.uncertainty, 5.0)


def test_merged_budget_keeps_order_and_the_least_degrees_of_freedom() -> None:
    merged = merge_by_key(["b", "a", "b"], [1.0, 2.0, 3.0], [9.0, 4.0, 6.0])
    assert merged.keys == ("b", "a")
    assert merged.contributions.tolist() == [4.0, 2.0]
    assert merged.degrees_of_freedom.tolist() == [6.0, 4.0]
    assert merged.first == (0, 1)


@given(lines)
def test_a_figure_does_not_differ_from_itself(contributions: list[float]) -> None:
    keys = [f"k{i}" for i in range(len(contributions))]
    itself = combine_difference((keys, keys), (contributions, contributions), (np.inf, np.inf))
    assert itself.uncertainty == 0.0


@given(lines, lines)
def test_difference_of_strangers_adds_in_squares(a: list[float], b: list[float]) -> None:
    keys = ([f"a{i}" for i in range(len(a))], [f"b{i}" for i in range(len(b))])
    found = combine_difference(keys, (a, b), (np.inf, np.inf))
    assert_allclose(found.uncertainty, np.sqrt(np.sum(np.square(a)) + np.sum(np.square(b))), rtol=1e-12, atol=1e-12)


def test_a_common_scale_cancels_as_far_as_the_values_are_alike() -> None:
    # Two thrusts of 10 N and 9 N under one 0.3 % scale: 0.3 % of the 1 N between them is left.
    found = combine_difference((["scale"], ["scale"]), ([0.03], [0.027]), (np.inf, np.inf))
    assert_allclose(found.uncertainty, 0.003)


def test_budgets_over_many_conditions_combine_condition_by_condition() -> None:
    contributions = np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]])
    found = combine(["a", "b"], contributions, [4.0, np.inf])
    for i in range(3):
        one = combine(["a", "b"], contributions[:, i], [4.0, np.inf])
        assert_allclose(found.uncertainty[i], one.uncertainty)
        assert_allclose(found.degrees_of_freedom[i], one.degrees_of_freedom)


def test_a_wrong_number_of_keys_is_refused() -> None:
    with pytest.raises(ValueError, match="2 keys"):
        combine(["a", "b"], [1.0], np.inf)


def test_an_empty_budget_is_no_uncertainty() -> None:
    nothing = combine([], [], [])
    assert nothing.uncertainty == 0.0
    assert np.isinf(nothing.degrees_of_freedom)


@given(st.lists(st.tuples(st.floats(0.01, 10.0), st.floats(1.0, 50.0)), min_size=1, max_size=6))
def test_effective_degrees_of_freedom_lie_between_the_least_and_the_sum(pairs: list[tuple[float, float]]) -> None:
    c, dof = zip(*pairs, strict=True)
    effective = float(welch_satterthwaite(c, dof))
    assert min(dof) * (1 - 1e-12) <= effective <= sum(dof) * (1 + 1e-12)


def test_effective_degrees_of_freedom_do_not_depend_on_the_unit() -> None:
    c, dof = np.array([1.0, 2.0, 3.0]), [3.0, 5.0, np.inf]
    for unit in (1e-90, 1.0, 1e90):
        assert_allclose(welch_satterthwaite(c * unit, dof), welch_satterthwaite(c, dof), rtol=1e-12)


def test_what_comes_from_one_estimate_counts_once() -> None:
    assert_allclose(welch_satterthwaite([1.0, 2.0, 3.0], 7.0, estimates=["s", "s", "s"]), 7.0)
    shared = combine_difference(
        (["mounting a"], ["mounting b"]), ([1.0], [1.0]), (8.0, 8.0), estimates=(["pooled"], ["pooled"])
    )
    assert_allclose(shared.uncertainty, np.sqrt(2.0))
    assert_allclose(shared.degrees_of_freedom, 8.0)
    apart = combine_difference((["mounting a"], ["mounting b"]), ([1.0], [1.0]), (8.0, 8.0))
    assert_allclose(apart.degrees_of_freedom, 16.0)


def test_missing_contributions_give_missing_results() -> None:
    found = combine(["a", "b"], [[1.0, np.nan], [1.0, 1.0]], [4.0, 4.0])
    assert np.isnan(found.uncertainty[1])
    assert np.isnan(found.degrees_of_freedom[1])
    assert np.isfinite(found.uncertainty[0])


def test_correlation_of_one_adds_and_of_minus_one_subtracts() -> None:
    for r, expected in ((1.0, 7.0), (-1.0, 1.0), (0.0, 5.0)):
        assert_allclose(combine_correlated([1.0, 1.0], [3.0, 4.0], [[1.0, r], [r, 1.0]]), expected, rtol=1e-12)
    assert np.isnan(combine_correlated([1.0, 1.0], [3.0, 4.0], [[1.0, -2.0], [-2.0, 1.0]])), "no such correlation"


def test_coverage_factor_grows_as_degrees_of_freedom_fall_and_with_the_level() -> None:
    k = coverage_factor([np.inf, 30.0, 4.0, 1.0])
    assert (np.diff(k) > 0.0).all()
    assert coverage_factor(10.0, level=0.99) > coverage_factor(10.0)
    assert np.isnan(coverage_factor([0.0, -1.0, np.nan])).all()


def test_interval_is_value_and_half_width() -> None:
    low, high = coverage_interval([1.0, np.nan], 0.1, 5.0)
    assert_allclose((low[0] + high[0]) / 2.0, 1.0)
    assert_allclose(high[0] - low[0], 0.2 * coverage_factor(5.0))
    assert np.isnan(low[1])


def test_interval_of_a_sample_s_mean_covers_at_its_level() -> None:
    rng = np.random.default_rng(20260301)
    sample = rng.normal(3.0, 2.0, size=(5, 20_000))
    low, high = coverage_interval(sample.mean(axis=0), sample.std(axis=0, ddof=1) / np.sqrt(5.0), 4.0)
    assert abs(np.mean((low <= 3.0) & (high >= 3.0)) - 0.95) < 0.006
