"""Penalised smooth curves: against the dense Gaussian model, against known truths and closed forms."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.signal import lfilter
from scipy.stats import multivariate_normal

from isothrust.science.smoothing import SmoothFit, correlation_length, evaluate, fit_smooth, lag_pairs, make_penalty
from isothrust.science.splines import basis_matrix, knots_at_sites, uniform_knots

X = np.linspace(150.0, 1500.0, 400)
KNOTS = uniform_knots(150.0, 1500.0, 22)
BASIS = basis_matrix(X, KNOTS)
PENALTY = make_penalty(KNOTS, power=2.0)


def knee(x: np.ndarray) -> np.ndarray:
    """A thrust coefficient with separation below 600 rad/s and a slow rise above."""
    return 0.11 * (x / 1400.0) ** 0.045 * (1.0 - 0.12 * np.tanh(1.2 * np.maximum(0.0, np.log(600.0 / x))))


def kinked(x: np.ndarray) -> np.ndarray:
    """A power coefficient that flutters from 1200 rad/s on."""
    return 0.045 * (1.0 + 0.04 * np.sin(np.clip((x - 1200.0) / 250.0, 0.0, 1.0) * np.pi / 2))


def noisy_fit(y: np.ndarray, sigma: np.ndarray | float) -> SmoothFit:
    return fit_smooth(BASIS, y, np.broadcast_to(np.square(sigma), y.shape), PENALTY)


def test_a_constant_comes_back_exactly() -> None:
    fit = noisy_fit(np.full(X.size, 0.11), 1e-3)
    assert np.allclose(fit.coefficients, 0.11, rtol=1e-12)


def test_a_line_comes_back_far_within_its_uncertainty() -> None:
    line = 0.1 + 1e-5 * X
    fit = noisy_fit(line, 1e-3)
    value, u = evaluate(X, KNOTS, fit.coefficients, fit.covariance)
    assert np.all(np.abs(value - line) < 0.05 * u)
    assert fit.effective_parameters == pytest.approx(2.0, abs=0.6)


def test_gain_times_data_is_the_curve_and_a_common_shift_goes_through_whole() -> None:
    y = knee(X) + 1e-3 * np.random.default_rng(1).standard_normal(X.size)
    fit = noisy_fit(y, 1e-3 * (1.0 + X / 1500.0))
    assert np.allclose(fit.gain @ y, fit.coefficients, rtol=1e-10)
    assert np.allclose(fit.gain @ np.ones(X.size), 1.0, rtol=1e-10)


def test_gain_says_what_an_error_of_the_data_does() -> None:
    y = knee(X) + 1e-3 * np.random.default_rng(2).standard_normal(X.size)
    error = 1e-7 * np.sin(X / 200.0)
    before, after = noisy_fit(y, 1e-3), noisy_fit(y + error, 1e-3)
    assert before.stiffness == pytest.approx(after.stiffness)
    moved = after.coefficients - before.coefficients
    assert np.allclose(moved, before.gain @ error, atol=2e-3 * np.abs(moved).max())


def test_stiffness_and_curve_are_those_of_the_dense_gaussian_model() -> None:
    x = X[::8]
    basis = basis_matrix(x, KNOTS)
    sigma = 1.5e-3
    y = knee(x) + sigma * np.random.default_rng(3).standard_normal(x.size)
    fit = fit_smooth(basis, y, np.full(x.size, sigma**2), PENALTY)
    level = float(y.mean())
    anchor = PENALTY.anchor / level**2

    def prior(log_stiffness: float) -> np.ndarray:
        return basis @ np.linalg.solve(anchor + np.exp(log_stiffness) * PENALTY.rough, basis.T)

    def misfit(log_stiffness: float) -> float:
        covariance = prior(log_stiffness) + sigma**2 * np.eye(x.size)
        return -float(multivariate_normal.logpdf(y - level, cov=0.5 * (covariance + covariance.T)))

    near = float(np.log(fit.stiffness))
    best = minimize_scalar(misfit, bounds=(near - 3.0, near + 3.0), method="bounded").x
    assert near == pytest.approx(best, abs=0.26)  # the grid's step is 0.25
    shared = prior(near)
    kriged = level + shared @ np.linalg.solve(shared + sigma**2 * np.eye(x.size), y - level)
    assert np.allclose(basis @ fit.coefficients, kriged, rtol=1e-6)
    posterior = shared - shared @ np.linalg.solve(shared + sigma**2 * np.eye(x.size), shared)
    assert np.allclose(np.diag(basis @ fit.covariance @ basis.T), np.diag(posterior), rtol=1e-3)


def level(x: np.ndarray) -> np.ndarray:
    return np.full_like(x, 0.1)


# Noise in proportion at 1200 rad/s, each of 400 data: a corner that noise of 3 % buries is smoothed over, and no prior
# on curvature alone can know of it; the bins of a run have some 0.3 %.
@pytest.mark.parametrize(
    ("truth", "sigma"), [(knee, 0.003), (knee, 0.03), (kinked, 0.003), (kinked, 0.01), (level, 0.003), (level, 0.03)]
)
def test_covariance_is_calibrated_over_the_range_with_the_smoothing_bias_inside(
    truth: Callable[[np.ndarray], np.ndarray], sigma: float
) -> None:
    random = np.random.default_rng(11)
    spread = sigma * truth(X) * (1200.0 / X)  # noise of a force channel weighs more at low speed
    grid = np.linspace(150.0, 1500.0, 60)
    squares = []
    for _ in range(40):
        fit = noisy_fit(truth(X) + spread * random.standard_normal(X.size), spread)
        value, u = evaluate(grid, KNOTS, fit.coefficients, fit.covariance)
        squares.append(np.mean(((value - truth(grid)) / u) ** 2))
    assert 0.85 < np.sqrt(np.mean(squares)) < 1.15


def test_noise_free_holds_are_passed_through() -> None:
    sites = np.linspace(300.0, 1500.0, 9)
    x = np.repeat(sites, 20)
    knots = knots_at_sites(sites)
    fit = fit_smooth(basis_matrix(x, knots), knee(x), np.full(x.size, 1e-16), make_penalty(knots, power=2.0))
    assert np.allclose(basis_matrix(sites, knots) @ fit.coefficients, knee(sites), rtol=1e-6)


def test_a_single_speed_gives_its_mean_there_and_doubt_elsewhere() -> None:
    knots = uniform_knots(300.0, 1000.0, 3)
    basis = basis_matrix(np.full(50, 1000.0), knots)
    y = 0.1 + 1e-3 * np.random.default_rng(5).standard_normal(50)
    fit = fit_smooth(basis, y, np.full(50, 1e-6), make_penalty(knots, slope_doubt=0.5))
    value, u = evaluate([300.0, 1000.0], knots, fit.coefficients, fit.covariance)
    assert value[1] == pytest.approx(y.mean(), rel=1e-6)
    assert u[1] == pytest.approx(1e-3 / np.sqrt(50), rel=0.05)
    assert u[0] > 0.02  # half its level over the range is the doubt that was asked for


def test_the_fit_scales_with_the_unit_of_the_data() -> None:
    y = knee(X) + 1e-3 * np.random.default_rng(6).standard_normal(X.size)
    small, large = noisy_fit(y, 1e-3), noisy_fit(1e5 * y, 1e2)
    assert np.allclose(large.coefficients, 1e5 * small.coefficients, rtol=1e-8)
    assert np.allclose(large.covariance, 1e10 * small.covariance, rtol=1e-6, atol=1e-8 * large.covariance.max())


def length_of(residuals: np.ndarray, segments: np.ndarray, longest: int) -> float:
    return correlation_length(residuals, lag_pairs(segments, longest=longest))


def autoregressive(phi: float, n: int, seed: int) -> np.ndarray:
    white = np.random.default_rng(seed).standard_normal(n)
    white[0] /= np.sqrt(1 - phi**2)
    return np.asarray(lfilter([1.0], [1.0, -phi], white))


@pytest.mark.parametrize("phi", [0.0, 0.5, 0.8, 0.95])
def test_correlation_length_of_an_autoregressive_series_is_its_closed_form(phi: float) -> None:
    # variance of the mean of AR(1), n large: (1 + phi)/(1 - phi) times white noise's
    found = [length_of(autoregressive(phi, 20_000, k), np.zeros(20_000), 400) for k in range(8)]
    assert np.mean(found) == pytest.approx((1 + phi) / (1 - phi), rel=0.1)


def test_pairs_across_spells_do_not_count() -> None:
    # every spell the same short alternation: across spells it would look like a long memory
    spells = np.repeat(np.arange(500), 8)
    random = np.random.default_rng(8)
    r = np.concatenate([autoregressive(0.5, 8, 1000 + k) for k in range(500)])
    assert length_of(r, spells, 6) == pytest.approx(3.0, rel=0.2)
    order = random.permutation(4000)
    assert length_of(r[order], np.zeros(4000), 400) == pytest.approx(1.0, abs=0.2)


def test_an_alternating_series_counts_as_no_more_than_independent() -> None:
    r = np.tile([1.0, -1.0], 500)
    assert length_of(r, np.zeros(1000), 100) == 1.0


@pytest.mark.parametrize("r", [np.zeros(50), np.array([1.0, 2.0]), np.array([1.0])])
def test_too_few_or_no_residuals_count_as_independent(r: np.ndarray) -> None:
    assert length_of(r, np.zeros(r.size), 20) == 1.0
