"""Curves through bins: what they pass through, what they ignore, how sure they are."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lfilter

from isothrust.reduction.fitting import fit_curve
from isothrust.reduction.site import Site, make_site
from isothrust.science.smoothing import evaluate

X = np.linspace(200.0, 2700.0, 480)
ONE = np.ones(480, dtype=np.int64)


def knee(x: np.ndarray) -> np.ndarray:
    return np.asarray(3e-6 * (x / 1500.0) ** 0.045 * (1.0 - 0.12 * np.tanh(1.2 * np.maximum(0.0, np.log(600.0 / x)))))


def site_of(x: np.ndarray = X, segment: np.ndarray = ONE) -> Site:
    return make_site(x, segment, longest=50)


def holds(levels: np.ndarray, each: int = 80, spread: float = 0.5) -> tuple[np.ndarray, np.ndarray]:
    random = np.random.default_rng(3)
    x = np.repeat(levels, each) + spread * random.standard_normal(levels.size * each)
    return x, np.repeat(np.arange(1, levels.size + 1), each)


def coloured(seed: int, phi: float) -> np.ndarray:
    """First-order autoregressive noise of unit variance."""
    white = np.random.default_rng(seed).standard_normal(X.size + 100)
    return np.asarray(lfilter([np.sqrt(1.0 - phi**2)], [1.0, -phi], white)[100:])


def test_a_ramp_has_equal_segments_and_holds_have_a_knot_a_level() -> None:
    assert not site_of().by_level
    x, segment = holds(np.array([500.0, 900.0, 1400.0, 2000.0, 2600.0]))
    held = site_of(x, segment)
    assert held.by_level
    assert not held.sparse
    assert np.allclose(held.knots[4:-4], [900.0, 1400.0, 2000.0], atol=1.0)


def test_levels_that_repeat_are_one_level() -> None:
    x, segment = holds(np.array([500.0, 1400.0, 501.0, 1402.0, 2600.0]))
    assert site_of(x, segment).knots.size == 3 + 6


@pytest.mark.parametrize("noise", [0.01, 0.06])
def test_the_knee_of_a_coefficient_is_followed_within_the_stated_uncertainty(noise: float) -> None:
    size, site = 1.2 * X**2, site_of()
    squares = []
    for seed in range(25):
        random = np.random.default_rng(seed)
        reading = knee(X) * size + noise * (0.2 + knee(X) * size / 10.0) * random.standard_normal(X.size)
        curve = fit_curve(site, reading, size)
        grid = np.linspace(250.0, 2690.0, 40)
        value, u = evaluate(grid, site.knots, curve.fit.coefficients, curve.fit.covariance)
        squares.append(np.mean(((value - knee(grid)) / u) ** 2))
        assert curve.left_out <= 2
    assert 0.8 < np.sqrt(np.mean(squares)) < 1.2


@pytest.mark.parametrize("phi", [0.3, 0.5, 0.7])
def test_coloured_noise_counts_as_fewer_readings(phi: float) -> None:
    size, site = 1.2 * X**2, site_of()
    noise = 0.01 * (0.2 + knee(X) * size / 3.0)
    squares, lengths = [], []
    for seed in range(25):
        curve = fit_curve(site, knee(X) * size + noise * coloured(seed, phi), size)
        grid = np.linspace(400.0, 2600.0, 30)
        value, u = evaluate(grid, site.knots, curve.fit.coefficients, curve.fit.covariance)
        squares.append(np.mean(((value - knee(grid)) / u) ** 2))
        lengths.append(curve.correlation)
    assert 0.55 < np.mean(lengths) / ((1.0 + phi) / (1.0 - phi)) < 1.4  # a flexible curve takes the slowest part along
    assert 0.8 < np.sqrt(np.mean(squares)) < 1.25


@pytest.mark.parametrize("places", [[50], [50, 51], [50, 51, 52], [50, 120, 200, 330], [50, 51, 200, 201, 330]])
@pytest.mark.parametrize("seed", [1, 3])
def test_wild_bins_are_left_out_and_counted(places: list[int], seed: int) -> None:
    size, site = 1.2 * X**2, site_of()
    clean = knee(X) * size + 0.03 * np.random.default_rng(seed).standard_normal(X.size)
    wild = clean.copy()
    wild[places] += np.resize([3.0, 3.0, -2.0, 8.0, 40.0], len(places))
    plain, robust = fit_curve(site, clean, size), fit_curve(site, wild, size)
    assert robust.left_out == len(places)
    before, u = evaluate(X, site.knots, plain.fit.coefficients, plain.fit.covariance)
    assert np.all(np.abs(site.basis @ robust.fit.coefficients - before) < 1.0 * u)
    assert robust.residual_sd == pytest.approx(0.03, rel=0.15)


def test_the_gain_says_what_a_common_error_of_the_readings_does() -> None:
    size, site = 1.2 * X**2, site_of()
    curve = fit_curve(site, knee(X) * size + 0.02 * np.random.default_rng(2).standard_normal(X.size), size)
    assert np.allclose(curve.fit.gain @ np.ones(X.size), 1.0, rtol=1e-9)


def test_noise_free_holds_are_met_at_their_levels() -> None:
    levels = np.linspace(400.0, 2600.0, 8)
    x, segment = holds(levels, spread=0.0)
    site = site_of(x, segment)
    curve = fit_curve(site, knee(x) * 1.2 * x**2, 1.2 * x**2)
    value, _ = evaluate(levels, site.knots, curve.fit.coefficients, curve.fit.covariance)
    assert np.allclose(value, knee(levels), rtol=1e-5)


@pytest.mark.parametrize("spread", [0.0, 1e-9, 0.3, 5.0])
def test_a_single_speed_gives_its_mean_and_no_slope_of_its_own(spread: float) -> None:
    random = np.random.default_rng(4)
    x = 1500.0 + spread * random.standard_normal(200)
    site = site_of(x, np.ones(200, dtype=np.int64))
    assert site.sparse
    reading = 3e-6 * 1.2 * x**2 * (1.0 + 0.002 * random.standard_normal(200))
    curve = fit_curve(site, reading, 1.2 * x**2)
    value, u = evaluate([1500.0], site.knots, curve.fit.coefficients, curve.fit.covariance)
    assert value[0] == pytest.approx(3e-6, rel=5e-4)
    assert 0.9 < u[0] / (3e-6 * 0.002 / np.sqrt(200)) < 2.5  # a level, and beside it a slope and a bend at most
    elasticity = site.basis @ (site.stretch @ curve.fit.coefficients) / (site.basis @ curve.fit.coefficients)
    assert np.abs(np.median(elasticity)) < 0.5


def test_two_levels_and_a_narrow_range_are_sparse() -> None:
    x, segment = holds(np.array([500.0, 1500.0]))
    assert site_of(x, segment).sparse
    assert site_of(np.linspace(1000.0, 1200.0, 300), np.ones(300, dtype=np.int64)).sparse
    assert not site_of().sparse


def test_digits_that_are_finer_than_the_reading_do_not_make_it_certain() -> None:
    size, site = 1.2 * X**2, site_of()
    curve = fit_curve(site, 3e-6 * size, size)
    assert np.all(np.diag(curve.fit.covariance) > 0.0)
    assert np.allclose(site.basis @ curve.fit.coefficients, 3e-6, rtol=1e-6)
