"""Responses of steps against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from isothrust.science.response import crossing_times, overshoot_of, settling_time, spin_up_speed
from isothrust.science.response_fit import FAMILIES, StepSamples, fit_shape, passages_of, weighed_passages
from isothrust.science.response_model import StepShape, passage_times, seen_through, step_response

# CHECKS C8: J dw/dt = Q0 - k w^2, known to 1e-6 from the closed form and an ODE solver.
J, Q0, K = 2e-5, 0.1, 1e-6
TAU, END = 63.24555e-3, 316.2278
T63, T90, ACROSS = 47.11415e-3, 93.11134e-3, 86.76557e-3
ONE_LESS = 1.0 - np.exp(-1.0)


def test_a_rotor_spun_up_by_a_constant_torque_follows_the_closed_form() -> None:
    assert float(spin_up_speed(TAU, torque=Q0, load=K, inertia=J)) == pytest.approx(240.83722, rel=1e-6)
    assert float(spin_up_speed(10.0, torque=Q0, load=K, inertia=J)) == pytest.approx(END, rel=1e-6)
    time = np.array([T63, T90])
    assert spin_up_speed(time, torque=Q0, load=K, inertia=J) / END == pytest.approx([ONE_LESS, 0.9], rel=1e-6)


def test_times_read_between_samples_of_that_rotor_are_those_of_the_closed_form() -> None:
    time = np.arange(-50, 8000) * 1e-4
    share = np.where(time < 0.0, 0.0, spin_up_speed(np.maximum(time, 0.0), torque=Q0, load=K, inertia=J) / END)
    t10, t63, t90 = crossing_times(time, share, (0.1, ONE_LESS, 0.9))
    assert (t63, t90) == pytest.approx((T63, T90), rel=1e-5)
    assert t90 - t10 == pytest.approx(ACROSS, rel=1e-5)


def test_the_model_holds_the_closed_form_of_constant_torque() -> None:
    # (1 - y)(1 + y) = 2 (1 - y)(1 - (1 - y)/2): lag tau/2, bend -1/2
    time, share = step_response(StepShape(0.5 * TAU, bend=-0.5), reach=6.0 * TAU)
    assert share == pytest.approx(np.tanh(time / TAU), abs=2e-4)
    t10, t90 = passage_times(time, share, (0.1, 0.9))
    assert t90 - t10 == pytest.approx(ACROSS, rel=1e-3)


@pytest.mark.parametrize(
    "shape",
    [
        StepShape(0.03),
        StepShape(0.03, ramp=0.045),
        StepShape(0.03, most=17.0),
        StepShape(0.04, bend=0.8),
        StepShape(0.03, ramp=0.04, most=15.0, bend=-0.3),
    ],
)
def test_the_model_is_the_solution_of_its_equation(shape: StepShape) -> None:
    def rate(t: float, y: np.ndarray) -> list[float]:
        u = 1.0 if t >= shape.ramp else t / shape.ramp
        return [min(shape.most, (u - y[0]) * (1.0 + shape.bend * (1.0 - y[0])) / shape.lag)]

    time, share = step_response(shape, reach=0.4)
    true = solve_ivp(rate, (0.0, 0.4), [0.0], t_eval=time, rtol=1e-9, atol=1e-10, max_step=1e-3).y[0]
    assert share == pytest.approx(true, abs=1e-3)


def test_a_window_delays_a_straight_line_by_half_its_width() -> None:
    time = np.linspace(0.0, 1.0, 101)
    seen = seen_through(time, time, window=0.2)
    assert seen[time > 0.2] == pytest.approx(time[time > 0.2] - 0.1)
    assert seen_through(time, time, window=0.0) == pytest.approx(time)


def _sampled(interval: float, noise: float, seed: int, *, window: float = 0.0) -> list[StepSamples]:
    """Seven repeats of the constant-torque rotor, each begun at a place of its own between two samples."""
    random = np.random.default_rng(seed)
    fine = np.arange(0.0, 1.0, 1e-4)
    course = seen_through(fine, np.tanh(fine / TAU), window=window)
    steps = []
    for begin in random.uniform(0.0, interval, 7):
        time = np.arange(-0.1, 0.35, interval)
        share = np.interp(time - begin, fine, course, left=0.0)
        steps.append(StepSamples(time, share + noise * random.standard_normal(time.size), 0.0))
    return steps


@pytest.mark.parametrize(("interval", "within"), [(0.005, 0.005), (0.01, 0.01), (0.02, 0.02), (0.03, 0.03)])
def test_a_fit_to_all_repeats_finds_the_rise_between_coarse_samples(interval: float, within: float) -> None:
    for seed in range(4):
        steps = _sampled(interval, 1e-3, seed)
        fits = [fit_shape(steps, window=0.0, guess=0.09, free=free) for free in FAMILIES]
        t10, t90 = weighed_passages(fits, (0.1, 0.9)).times
        assert t90 - t10 == pytest.approx(ACROSS, rel=within)


def test_reading_between_samples_of_50_hz_alone_would_cost_several_per_cent() -> None:
    steps = _sampled(0.02, 0.0, 3)
    read = [np.ptp(crossing_times(step.time, step.share, (0.1, 0.9))) for step in steps]
    assert max(abs(span / ACROSS - 1.0) for span in read) > 0.05


def test_a_window_of_the_sensor_is_taken_out_where_it_is_known() -> None:
    steps = _sampled(0.005, 2e-4, 5, window=0.02)
    blind = fit_shape(steps, window=0.0, guess=0.09, free=("lag", "bend"))
    knowing = fit_shape(steps, window=0.02, guess=0.09, free=("lag", "bend"))
    assert np.ptp(passages_of(knowing, (0.1, 0.9)).times) == pytest.approx(ACROSS, rel=2e-3)
    assert np.ptp(passages_of(blind, (0.1, 0.9)).times) > 1.01 * ACROSS
    assert knowing.residual_sd < blind.residual_sd


def test_the_uncertainty_of_a_fit_is_what_the_noise_scatters_it_by() -> None:
    spans, stated = [], []
    for seed in range(60):
        fit = fit_shape(_sampled(0.01, 4e-3, seed), window=0.0, guess=0.09, free=("lag", "bend"))
        found = passages_of(fit, (0.1, 0.9))
        spans.append(np.ptp(found.times))
        one = np.array([-1.0, 1.0])
        stated.append(np.sqrt(one @ found.covariance @ one))
    assert 0.75 < np.std(spans, ddof=1) / np.mean(stated) < 1.3


def test_noise_at_a_mark_moves_its_time_neither_way() -> None:
    random = np.random.default_rng(1)
    time = np.arange(0.0, 2.0, 1e-3)
    read = [
        float(crossing_times(time, time - 0.5 + 0.02 * random.standard_normal(time.size), (0.5,))[0])
        for _ in range(200)
    ]
    assert np.mean(read) == pytest.approx(1.0, abs=1.5e-3)


def test_what_never_happens_has_no_time() -> None:
    time = np.linspace(0.0, 1.0, 11)
    assert np.isnan(crossing_times(time, 0.5 * time, (0.9,))).all()
    assert np.isnan(crossing_times(time, time + 0.2, (0.1,))).all()
    assert np.isnan(passage_times(time, 0.5 * time, (0.9,))).all()
    assert np.isnan(settling_time(time, 0.5 * time, band=0.02))
    assert overshoot_of(0.9 * time) == 0.0


def test_times_scale_with_the_clock() -> None:
    time, share = step_response(StepShape(0.05, ramp=0.02), reach=0.5)
    slow = crossing_times(10.0 * time, share, (0.1, 0.5, 0.9))
    assert slow == pytest.approx(10.0 * crossing_times(time, share, (0.1, 0.5, 0.9)), rel=1e-12)
