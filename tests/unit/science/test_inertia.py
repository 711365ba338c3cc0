"""Rotor inertia against motions whose closed form is known."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.signal import lsim

from isothrust.science.inertia import MomentumFit, TransientSeries, fit_momentum

# CHECKS C8: spin-up under a constant torque with a load k w^2, w = sqrt(Q0/k) tanh(t/tau), tau = J/sqrt(Q0 k)
J, Q0, K = 2e-5, 0.1, 1e-6
TAU = J / np.sqrt(Q0 * K)
KC, W0 = 1.2e-7, 1200.0  # for coasts: 0.17 N m at 1200 rad/s, as a seven-inch propeller
FRICTION = 2.5e-3
T = np.arange(-80, 420) * 1e-3


def second_order(x: np.ndarray, mean_delay: float, damping: float = 0.85) -> np.ndarray:
    natural = 2.0 * damping / mean_delay
    fine = np.arange(T[0], T[-1] + 1e-3, 1e-4)
    held = x[np.minimum(np.searchsorted(T, fine, side="right") - 1, T.size - 1)]
    passed = lsim(([natural**2], [1.0, 2 * damping * natural, natural**2]), held - held[0], fine - fine[0])[1]
    return np.asarray(passed[::10][: T.size] + held[0])


def spin_up(mean_delay: float) -> tuple[np.ndarray, np.ndarray]:
    """Speed, and the cell's reading of the motor's torque, which jumps from nothing to Q0 at t = 0."""
    w = np.sqrt(Q0 / K) * np.tanh(np.maximum(T, 0.0) / TAU)
    return w, second_order(np.where(T < 0.0, 0.0, Q0), mean_delay)


def coast(mean_delay: float) -> tuple[np.ndarray, np.ndarray]:
    """Cut from a steady w0 with no friction: w = w0/(1 + t/theta), theta = J/(k w0); the cell falls to nothing."""
    w = W0 / (1.0 + np.maximum(T, 0.0) / (J / (KC * W0)))
    return w, second_order(np.where(T < 0.0, KC * W0**2, 0.0), mean_delay)


def braked_coast(mean_delay: float) -> tuple[np.ndarray, np.ndarray]:
    """The same with a constant friction: J w' = -(k w^2 + F), w = sqrt(F/k) tan(...); the cell reads -F."""
    b = np.sqrt(FRICTION / KC)
    w = b * np.tan(np.arctan(W0 / b) - b * KC / J * np.maximum(T, 0.0))
    return w, second_order(np.where(T < 0.0, KC * W0**2, -FRICTION), mean_delay)


def series(w: np.ndarray, q: np.ndarray, aero: np.ndarray) -> TransientSeries:
    return TransientSeries(T, w, q, aero, np.zeros(T.size), np.ones(T.size, dtype=np.int64))


def joined(*parts: TransientSeries) -> TransientSeries:
    numbers = np.repeat(np.arange(len(parts)), T.size)
    names = ("time", "speed", "torque", "aero", "aero_per_inertia")
    return TransientSeries(*(np.concatenate([getattr(p, n) for p in parts]) for n in names), numbers)


def fit(given: TransientSeries, nuisance: np.ndarray | None = None) -> MomentumFit:
    return fit_momentum(given, half_width=5, nuisance=nuisance)


def test_the_closed_form_spin_up_has_the_printed_times() -> None:
    # CHECKS C8, computed there with an ODE solver: guards this file's own shape
    assert np.sqrt(Q0 / K) == pytest.approx(316.2278, abs=5e-5)
    assert pytest.approx(63.24555e-3, abs=5e-9) == TAU
    assert np.sqrt(Q0 / K) * np.tanh(1.0) == pytest.approx(240.83722, abs=5e-6)


@pytest.mark.parametrize(("motion", "load"), [(spin_up, K), (coast, KC), (braked_coast, KC)])
@pytest.mark.parametrize("mean_delay", [0.006, 0.014, 0.030])
def test_inertia_and_the_torque_channels_delay_come_back_from_one_transient(
    motion: Callable[[float], tuple[np.ndarray, np.ndarray]], load: float, mean_delay: float
) -> None:
    w, q = motion(mean_delay)
    found = fit(series(w, q, load * w**2))
    assert found.inertia == pytest.approx(J, rel=0.01)
    assert found.delay == pytest.approx(mean_delay, rel=0.04)
    assert found.u_inertia < 0.02 * J


def test_up_and_down_together_tell_the_same_inertia() -> None:
    (up, q_up), (down, q_down) = spin_up(0.014), coast(0.014)
    found = fit(joined(series(up, q_up, K * up**2), series(down, q_down, KC * down**2)))
    assert found.inertia == pytest.approx(J, rel=0.005)
    assert found.delay == pytest.approx(0.014, rel=0.03)
    assert -1.0 <= found.correlation <= 1.0


def test_a_delay_of_the_speed_channel_counts_against_the_torques() -> None:
    late = W0 / (1.0 + np.maximum(T - 0.006, 0.0) / (J / (KC * W0)))
    _, q = coast(0.014)
    found = fit(series(late, q, KC * late**2))
    assert found.delay == pytest.approx(0.008, abs=0.001)
    assert found.inertia == pytest.approx(J, rel=0.02)


def test_inertia_still_inside_the_aerodynamic_torque_is_allowed_for() -> None:
    w, q = coast(0.014)
    share = 40.0 + 0.05 * w  # what a ramp's own acceleration put into the curve, per unit of inertia
    given = TransientSeries(T, w, q, KC * w**2 + J * share, share, np.ones(T.size, dtype=np.int64))
    assert fit(given).inertia == pytest.approx(J, rel=0.01)
    assert abs(fit(series(w, q, given.aero)).inertia / J - 1.0) > 0.02


def test_an_aerodynamic_torque_known_at_one_speed_is_fitted_along() -> None:
    def true_aero(w: np.ndarray) -> np.ndarray:
        return np.asarray(KC * w**2 * (1.0 - 0.15 * np.log(np.maximum(w, 1.0) / W0)))

    solved = solve_ivp(lambda _, w: -true_aero(w) / J, (0.0, T[-1]), [W0], t_eval=T[T >= 0.0], rtol=1e-10, atol=1e-8)
    w = np.concatenate([np.full(np.count_nonzero(T < 0.0), W0), solved.y[0]])
    q = second_order(np.where(T < 0.0, KC * W0**2, 0.0), 0.014)
    guess = KC * w**2
    blind = fit(series(w, q, guess))
    helped = fit(series(w, q, guess), nuisance=guess * np.log(w / W0))
    assert helped.inertia == pytest.approx(J, rel=0.01)
    assert abs(blind.inertia / J - 1.0) > 0.03


def test_leaving_the_delay_out_would_bias_inertia_as_the_design_says() -> None:
    # I_apparent = I - (tau_torque - tau_speed) dQ/dw: the momentum balance by hand, no delay in it
    w, q = coast(0.016)
    apparent = float(np.trapezoid(q - KC * w**2, T)) / (w[-1] - w[0])
    assert apparent == pytest.approx(J - 0.016 * (0.0 - KC * W0**2) / (w[-1] - w[0]), rel=0.01)
    assert abs(apparent / J - 1.0) > 0.07
    assert fit(series(w, q, KC * w**2)).inertia == pytest.approx(J, rel=0.01)


def test_the_stated_uncertainty_fits_the_scatter_under_noise() -> None:
    random = np.random.default_rng(9)
    w, q = coast(0.014)
    found = [
        fit(
            series(
                noisy := w + 0.6 * random.standard_normal(T.size),
                q + 3e-3 * random.standard_normal(T.size),
                KC * noisy**2,
            )
        )
        for _ in range(60)
    ]
    z = np.array([(f.inertia - J) / f.u_inertia for f in found])
    assert 0.5 < np.sqrt(np.mean(z**2)) < 1.6


@pytest.mark.parametrize("w", [np.full(T.size, 900.0), np.zeros(T.size)])
def test_a_rotor_that_does_not_change_speed_fixes_no_inertia(w: np.ndarray) -> None:
    assert fit(series(w, K * w**2, K * w**2)).u_inertia == np.inf


def test_transients_of_a_few_samples_are_passed_over() -> None:
    few = TransientSeries(T[:6], T[:6], T[:6], T[:6], T[:6], np.ones(6, dtype=np.int64))
    found = fit(few)
    assert found.u_inertia == np.inf
    assert np.isnan(found.inertia)
