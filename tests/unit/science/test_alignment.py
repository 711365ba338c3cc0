"""Delays from the moments of a response: known filters, and errors that must not pass for a delay."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lsim

from isothrust.science.alignment import DelayFit, cumulative_integral, fit_delay, smoothed_slope

T = np.arange(-0.1, 0.9, 1e-3)


def spin_down(t: np.ndarray) -> np.ndarray:
    """Thrust of a rotor that is cut at t = 0: w = w0/(1 + t/theta), thrust with its square, 20 N at first."""
    return np.where(t < 0.0, 20.0, 20.0 / (1.0 + np.maximum(t, 0.0) / 0.25) ** 2)


def spin_up(t: np.ndarray) -> np.ndarray:
    return 2.0 + 10.0 * np.tanh(np.maximum(t, 0.0) / 0.12) ** 2


def filtered(x: np.ndarray, numerator: list[float], denominator: list[float]) -> np.ndarray:
    """scipy's answer of a linear filter of gain 1, settled at the first value."""
    return np.asarray(lsim((numerator, denominator), x - x[0], T - T[0])[1] + x[0])


def delayed(shape: object, delay: float) -> np.ndarray:
    assert callable(shape)
    return np.asarray(shape(T - delay))


def second_order(mean_delay: float, damping: float) -> tuple[list[float], list[float]]:
    natural = 2.0 * damping / mean_delay  # mean delay of a second-order low-pass is 2 zeta / omega_n
    return [natural**2], [1.0, 2.0 * damping * natural, natural**2]


def fit(measured: np.ndarray, expected: np.ndarray, segments: np.ndarray | None = None) -> DelayFit:
    numbers = np.ones(T.size, dtype=np.int64) if segments is None else segments
    return fit_delay(T, measured, expected, numbers, half_width=5)


@pytest.mark.parametrize("shape", [spin_down, spin_up])
@pytest.mark.parametrize("delay", [0.004, 0.008, 0.016])
def test_a_pure_delay_is_found_within_three_per_cent(shape: object, delay: float) -> None:
    found = fit(delayed(shape, delay), delayed(shape, 0.0))
    assert found.delay == pytest.approx(delay, rel=0.03)
    assert found.u_delay < 0.1 * delay


@pytest.mark.parametrize("shape", [spin_down, spin_up])
@pytest.mark.parametrize("delay", [0.025, 0.040])
def test_a_long_pure_delay_is_short_by_no_more_than_its_uncertainty_covers(shape: object, delay: float) -> None:
    # two moments describe a filter exactly and dead time to second order: 5 % is what the reduction adds for the shape
    found = fit(delayed(shape, delay), delayed(shape, 0.0))
    assert abs(found.delay - delay) < 2.0 * np.hypot(found.u_delay, 0.05 * delay)


@pytest.mark.parametrize("shape", [spin_down, spin_up])
@pytest.mark.parametrize("tau", [0.006, 0.020])
def test_a_first_order_filter_is_found_by_its_time_constant(shape: object, tau: float) -> None:
    x = delayed(shape, 0.0)
    assert fit(filtered(x, [1.0], [tau, 1.0]), x).delay == pytest.approx(tau, rel=0.03)


@pytest.mark.parametrize("shape", [spin_down, spin_up])
@pytest.mark.parametrize("damping", [0.5, 0.7, 1.0])
@pytest.mark.parametrize("mean_delay", [0.012, 0.036])
def test_a_second_order_filter_is_found_by_its_mean_delay(shape: object, damping: float, mean_delay: float) -> None:
    x = delayed(shape, 0.0)
    measured = filtered(x, *second_order(mean_delay, damping))
    assert fit(measured, x).delay == pytest.approx(mean_delay, rel=0.03)


def test_dead_time_and_filter_add_up() -> None:
    x = delayed(spin_down, 0.0)
    measured = filtered(delayed(spin_down, 0.006), *second_order(0.02, 0.7))
    assert fit(measured, x).delay == pytest.approx(0.026, rel=0.03)


@pytest.mark.parametrize("scale", [0.97, 1.03])
@pytest.mark.parametrize("offset", [-0.3, 0.0, 0.3])
def test_errors_of_scale_and_zero_do_not_pass_for_a_delay(scale: float, offset: float) -> None:
    x = delayed(spin_down, 0.0)
    measured = filtered(x, *second_order(0.02, 0.8))
    found = fit(measured, scale * x + offset)
    assert found.delay == pytest.approx(0.02, rel=0.03)
    assert fit(x + 1e-9, scale * x + offset).delay == pytest.approx(0.0, abs=2e-4)


def test_a_negative_delay_is_found_as_such() -> None:
    assert fit(delayed(spin_down, 0.0), delayed(spin_down, 0.004)).delay == pytest.approx(-0.004, rel=0.05)


def test_the_stated_uncertainty_fits_the_scatter_under_noise() -> None:
    random = np.random.default_rng(3)
    x = delayed(spin_down, 0.0)
    true = delayed(spin_down, 0.015)
    found = [fit(true + 0.5 * random.standard_normal(T.size), x) for _ in range(60)]
    z = np.array([(f.delay - 0.015) / f.u_delay for f in found])
    assert 0.5 < np.sqrt(np.mean(z**2)) < 1.5
    assert np.median([f.u_delay for f in found]) < 0.003


def test_each_transient_starts_from_its_own_level() -> None:
    half = T.size // 2
    segments = np.where(np.arange(T.size) < half, 1, 2)
    measured, expected = delayed(spin_down, 0.02), delayed(spin_down, 0.0)
    up_measured, up = 30.0 + delayed(spin_up, 0.02), 30.0 + delayed(spin_up, 0.0)
    joined = fit_delay(
        np.concatenate([T, T]),
        np.concatenate([measured, up_measured]),
        np.concatenate([expected, up]),
        np.repeat([1, 2], T.size),
        half_width=5,
    )
    assert joined.delay == pytest.approx(0.02, rel=0.03)
    assert np.isfinite(fit(measured, expected, segments).delay)


@pytest.mark.parametrize(
    ("measured", "expected"),
    [(np.zeros(T.size), np.zeros(T.size)), (np.full(T.size, 3.0), np.full(T.size, 3.0)), (T, T)],
    ids=["nothing", "constant", "straight"],
)
def test_what_does_not_bend_fixes_no_delay(measured: np.ndarray, expected: np.ndarray) -> None:
    found = fit(measured, expected)
    assert not np.isfinite(found.u_delay) or found.u_delay > 0.01


def test_transients_of_a_few_samples_are_passed_over() -> None:
    assert fit_delay(T[:6], T[:6], T[:6], np.ones(6), half_width=2).u_delay == np.inf


def test_the_running_integral_is_exact_for_straight_lines_on_any_clock() -> None:
    t = np.sort(np.random.default_rng(1).uniform(0.0, 5.0, 50))
    total = cumulative_integral(t, 2.0 * t + 1.0)
    assert np.allclose(total, t**2 + t - (t[0] ** 2 + t[0]), rtol=1e-12)
    both = cumulative_integral(t, np.stack([t, 1.0 + 0.0 * t], axis=1))
    assert np.allclose(both[:, 1], t - t[0])


def test_the_slope_of_a_parabola_is_exact_in_the_middle_of_an_even_window() -> None:
    t = np.arange(0.0, 2.0, 0.01) + 1e6  # far from zero: no cancellation may hurt
    u = t - t[0]
    slope = smoothed_slope(t, u**2 + 5.0, half_width=4)
    assert np.allclose(slope[4:-4], 2.0 * u[4:-4], rtol=1e-6, atol=1e-6)


def test_the_slope_agrees_with_a_straight_line_through_each_window() -> None:
    random = np.random.default_rng(2)
    t, v = np.cumsum(random.uniform(0.5, 1.5, 40)), random.standard_normal(40)
    slope = smoothed_slope(t, v, half_width=3)
    for i in range(40):
        window = slice(max(i - 3, 0), i + 4)
        assert slope[i] == pytest.approx(np.polyfit(t[window], v[window], 1)[0], rel=1e-9)


def test_the_slope_is_zero_where_there_is_no_time() -> None:
    assert smoothed_slope([1.0], [5.0], half_width=2).tolist() == [0.0]
    assert smoothed_slope([1.0, 1.0, 1.0], [5.0, 6.0, 7.0], half_width=2).tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize("n", [2, 3, 5, 9, 10, 11, 40])
@pytest.mark.parametrize("half_width", [1, 5])
def test_an_even_clock_gives_what_straight_lines_through_each_window_give(n: int, half_width: int) -> None:
    t = 0.5 + 0.02 * np.arange(n)
    v = np.random.default_rng(n).standard_normal(n)
    slope = smoothed_slope(t, v, half_width=half_width)
    for i in range(n):
        window = slice(max(i - half_width, 0), i + half_width + 1)
        assert slope[i] == pytest.approx(np.polyfit(t[window] - t[0], v[window], 1)[0], rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("share", [0.3, 0.9, 1.0, 1.1])
def test_the_share_that_a_channel_showed_of_what_was_expected_is_told(share: float) -> None:
    x = delayed(spin_down, 0.0)
    assert fit(share * filtered(x, *second_order(0.02, 0.8)), x).share == pytest.approx(share, abs=0.01)
