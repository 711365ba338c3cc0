"""Cubic B-splines against scipy's own and against exact integrals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.polynomial.legendre import leggauss
from scipy.interpolate import BSpline

from isothrust.science.splines import (
    basis_matrix,
    knots_at_sites,
    local_cubic,
    roughness_matrix,
    slope_matrix,
    stretch_matrix,
    uniform_knots,
)

UNEVEN = np.array([1.0] * 4 + [1.3, 1.35, 2.0, 3.7] + [5.0] * 4)
ALL_KNOTS = [uniform_knots(2.0, 9.0, 1), uniform_knots(100.0, 1500.0, 22), UNEVEN, knots_at_sites([3.0, 4.0, 8.0])]


def witness(knots: np.ndarray, coefficients: np.ndarray, x: np.ndarray, order: int) -> np.ndarray:
    """scipy's spline or its derivative."""
    return np.asarray(BSpline(knots, coefficients, 3)(x, order))


def exact(knots: np.ndarray, a: np.ndarray, b: np.ndarray, order: int, power: int) -> float:
    """Integral of (x / x_end)^power a^(order) b^(order) by a rule exact to degree 23 on every piece."""
    nodes, weights = leggauss(12)
    total = 0.0
    for low, high in zip(np.unique(knots)[:-1], np.unique(knots)[1:], strict=True):
        x = 0.5 * (high + low) + 0.5 * (high - low) * nodes
        f, g = witness(knots, a, x, order), witness(knots, b, x, order)
        total += float(0.5 * (high - low) * np.sum(weights * (x / knots[-1]) ** power * f * g))
    return total


@pytest.mark.parametrize("knots", ALL_KNOTS)
@pytest.mark.parametrize("order", [0, 1, 2])
def test_basis_and_its_derivatives_agree_with_scipy(knots: np.ndarray, order: int) -> None:
    inside = np.linspace(knots[0], knots[-1], 311)
    x = np.sort(np.concatenate([inside, np.unique(knots)]))
    coefficients = np.random.default_rng(4).standard_normal(knots.size - 4)
    ours = basis_matrix(x, knots, derivative=order) @ coefficients
    theirs = witness(knots, coefficients, x, order)
    assert np.allclose(ours, theirs, rtol=1e-10, atol=1e-11 * np.abs(theirs).max())


@given(st.lists(st.floats(0.01, 5.0), min_size=2, max_size=12), st.floats(0.0, 1.0))
def test_basis_sums_to_one_and_is_never_negative_on_any_knots(steps: list[float], share: float) -> None:
    knots = knots_at_sites(np.cumsum(steps))
    row = basis_matrix([knots[0] + share * (knots[-1] - knots[0])], knots)
    assert row.sum() == pytest.approx(1.0, abs=1e-12)
    assert row.min() >= -1e-12  # rounding only


def test_outside_the_knots_the_end_pieces_go_on_as_scipy_extrapolates() -> None:
    coefficients = np.random.default_rng(5).standard_normal(UNEVEN.size - 4)
    x = np.array([0.5, 5.5])
    theirs = BSpline(UNEVEN, coefficients, 3, extrapolate=True)(x)
    assert np.allclose(basis_matrix(x, UNEVEN) @ coefficients, theirs, rtol=1e-10)


@pytest.mark.parametrize("knots", ALL_KNOTS)
@pytest.mark.parametrize("power", [0, 1, 2, 3])
def test_roughness_is_the_exact_integral_of_the_weighted_squared_second_derivative(
    knots: np.ndarray, power: int
) -> None:
    c = np.random.default_rng(6).standard_normal(knots.size - 4)
    ours = c @ roughness_matrix(knots, power=float(power)) @ c
    assert ours == pytest.approx(exact(knots, c, c, 2, power), rel=1e-10)


@pytest.mark.parametrize("knots", ALL_KNOTS)
def test_slope_matrix_is_the_exact_integral_of_the_squared_first_derivative(knots: np.ndarray) -> None:
    a, b = np.random.default_rng(7).standard_normal((2, knots.size - 4))
    assert a @ slope_matrix(knots) @ b == pytest.approx(exact(knots, a, b, 1, 0), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("knots", ALL_KNOTS)
def test_a_straight_line_has_no_roughness(knots: np.ndarray) -> None:
    greville = (knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3  # coefficients of the line x itself
    inside = np.linspace(knots[0], knots[-1], 7)
    assert np.allclose(basis_matrix(inside, knots) @ greville, inside, rtol=1e-12)
    bent = greville**2
    rough = roughness_matrix(knots)
    assert abs(greville @ rough @ greville) < 1e-9 * (bent @ rough @ bent)


def test_stretch_makes_x_times_the_slope_of_any_cubic() -> None:
    knots = uniform_knots(2.0, 5.0, 6)
    x = np.linspace(2.0, 5.0, 40)
    cubic = np.polynomial.Polynomial([3.0, -1.0, 0.5, 0.2])
    c = np.linalg.lstsq(basis_matrix(x, knots), cubic(x), rcond=None)[0]
    assert np.allclose(basis_matrix(x, knots) @ stretch_matrix(knots) @ c, x * cubic.deriv()(x), rtol=1e-9)


def test_stretch_of_a_smooth_curve_is_good_to_a_thousandth_of_the_curve() -> None:
    knots = uniform_knots(100.0, 1500.0, 22)
    x = np.linspace(100.0, 1500.0, 400)
    f, slope = 1.0 + 0.2 * np.tanh((x - 500.0) / 200.0), 0.2 / 200.0 / np.cosh((x - 500.0) / 200.0) ** 2
    c = np.linalg.lstsq(basis_matrix(x, knots), f, rcond=None)[0]
    assert np.abs(basis_matrix(x, knots) @ stretch_matrix(knots) @ c - x * slope).max() < 1e-3


def test_knots_at_sites_let_a_spline_pass_through_any_values() -> None:
    sites = np.array([200.0, 310.0, 450.0, 460.0, 900.0])
    values = np.array([1.0, -2.0, 5.0, 5.5, 0.0])
    basis = basis_matrix(sites, knots_at_sites(sites))
    assert np.linalg.matrix_rank(basis) == 5
    assert np.allclose(basis @ np.linalg.lstsq(basis, values, rcond=None)[0], values, atol=1e-10)


@pytest.mark.parametrize("bad", [(1.0, 1.0, 3), (2.0, 1.0, 3), (0.0, 1.0, 0), (np.nan, 1.0, 3)])
def test_an_empty_range_or_no_segment_is_refused(bad: tuple[float, float, int]) -> None:
    with pytest.raises(ValueError, match="need low < high"):
        uniform_knots(*bad)


@pytest.mark.parametrize("sites", [[1.0], [1.0, 1.0], [2.0, 1.0], [1.0, np.nan]])
def test_sites_that_do_not_rise_are_refused(sites: list[float]) -> None:
    with pytest.raises(ValueError, match="rising sites"):
        knots_at_sites(sites)


@pytest.mark.parametrize("knots", ALL_KNOTS)
def test_a_local_cubic_is_the_spline_within_its_piece(knots: np.ndarray) -> None:
    coefficients = np.random.default_rng(3).normal(size=knots.size - 4)
    for x in np.linspace(knots[0], knots[-1], 40):
        piece = local_cubic(float(x), knots, coefficients)
        assert piece.left <= x <= piece.left + piece.width
        t = (x - piece.left) / piece.width
        value = sum(a * t**power for power, a in enumerate(piece.coefficients))
        assert value == pytest.approx(float(witness(knots, coefficients, np.array([x]), 0)[0]), rel=1e-12, abs=1e-12)


def test_a_knot_belongs_to_the_piece_on_its_right_and_the_last_to_that_on_its_left() -> None:
    knots = uniform_knots(0.0, 4.0, 4)
    coefficients = np.arange(7.0)
    assert local_cubic(2.0, knots, coefficients).left == 2.0
    assert local_cubic(0.0, knots, coefficients).left == 0.0
    assert local_cubic(4.0, knots, coefficients).left == 3.0
