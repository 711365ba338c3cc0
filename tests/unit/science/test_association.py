"""Rank correlation and exponents against closed forms and an independent witness."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.science.association import power_exponent, rank_correlation


def test_rank_correlation_agrees_with_scipy_with_and_without_ties() -> None:
    from scipy.stats import spearmanr

    rng = np.random.default_rng(4)
    for digits in (6, 0):
        x, y = np.round(rng.normal(size=(2, 300)) * 3, digits)
        assert rank_correlation(x, x + y) == pytest.approx(spearmanr(x, x + y).statistic, abs=1e-12)


@given(st.lists(st.integers(-1000, 1000), min_size=3, max_size=40, unique=True))
def test_rank_correlation_is_one_for_any_rising_function_and_changes_sign_when_turned(numbers: list[int]) -> None:
    x = np.array(numbers, dtype=float)
    assert rank_correlation(x, x**3) == pytest.approx(1.0)
    assert rank_correlation(x, -np.exp(x / 1000)) == pytest.approx(-1.0)


def test_rank_correlation_passes_over_gaps_and_says_nothing_of_a_still_column() -> None:
    x = np.array([1.0, np.nan, 2.0, 3.0, 4.0])
    assert rank_correlation(x, np.array([1.0, 9.0, 2.0, np.nan, 7.0])) == 1.0
    assert np.isnan(rank_correlation(x, np.ones(5)))
    assert np.isnan(rank_correlation(x[:2], x[:2]))


@pytest.mark.parametrize("exponent", [-1.0, 0.5, 1.0, 2.0, 3.0])
def test_exponent_comes_back_whatever_the_scale(exponent: float) -> None:
    x = np.linspace(0.2, 1.0, 30)
    assert power_exponent(1000 * x, 0.01 * x**exponent) == pytest.approx(exponent)


def test_no_exponent_without_a_span_or_positive_readings() -> None:
    assert np.isnan(power_exponent(np.linspace(1.0, 1.4, 30), np.ones(30)))
    assert np.isnan(power_exponent(np.linspace(1.0, 2.0, 30), -np.ones(30)))
    assert np.isnan(power_exponent(np.array([1.0, 2.0]), np.array([1.0, 4.0])))
