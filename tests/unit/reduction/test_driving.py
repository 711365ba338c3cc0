"""Drive's loss, steady state and lags of the electrical channels, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.records.book import Motor
from isothrust.records.reduced import Estimate
from isothrust.reduction.driving import CopperLoss, copper_loss, electrical_lag, steady_state, throttle_lag
from isothrust.reduction.transients import Transients

KT = 60.0 / (2.0 * np.pi * 1400.0)
R, FRICTION = 0.12, 2.4e-3
W = np.linspace(300.0, 2700.0, 50)


def power(torque: np.ndarray, speed: np.ndarray = W) -> np.ndarray:
    """V I = w (Q + F) + R ((Q + F)/Kt)^2: the motor of DESIGN section 5 with a constant friction."""
    return (torque + FRICTION) * speed + R * ((torque + FRICTION) / KT) ** 2


@given(st.floats(-0.5, 0.5))
def test_a_loss_quadratic_in_torque_is_brought_to_another_torque_exactly(share: float) -> None:
    recorded = 0.3 * (W / 2700.0) ** 2
    wanted = recorded * (1.0 + share)
    copper = CopperLoss(R / KT**2, 0.0, FRICTION, "known")
    state = steady_state(power(recorded), W, recorded, wanted, copper)
    assert np.allclose(state.power, power(wanted), rtol=1e-12)
    assert np.allclose(state.extra_torque, wanted - recorded)


def test_the_marginal_power_is_the_slope_between_the_two_states() -> None:
    recorded, wanted = 0.2 * (W / 2700.0) ** 2, 0.25 * (W / 2700.0) ** 2
    state = steady_state(power(recorded), W, recorded, wanted, CopperLoss(R / KT**2, 0.0, FRICTION, "known"))
    assert np.allclose(state.marginal, (power(wanted) - power(recorded)) / (wanted - recorded))


def test_the_data_sheet_gives_loss_and_friction() -> None:
    motor = Motor("m", kv=1.0 / KT, resistance=R, no_load_current=FRICTION / KT)
    copper = copper_loss(motor, power(W * 0.0), 0.0 * W, W)
    assert copper.per_torque_squared == pytest.approx(R / KT**2)
    assert copper.friction == pytest.approx(FRICTION)
    assert copper.uncertainty == pytest.approx(0.2 * R / KT**2)


def test_without_a_data_sheet_the_loss_at_the_top_bounds_the_copper() -> None:
    torque = 0.3 * (W / 2700.0) ** 2
    copper = copper_loss(None, power(torque), torque, W)
    true = R / KT**2
    assert abs(copper.per_torque_squared - true) < 2.5 * copper.uncertainty
    free = copper_loss(None, torque * W, torque, W)
    assert free.per_torque_squared == pytest.approx(0.0, abs=1e-9)
    assert copper_loss(None, 0.5 * torque * W, torque, W).per_torque_squared == 0.0  # more out than in: no loss at all


T = np.arange(-0.08, 0.3, 1e-3)


def cut_at(delay: float) -> np.ndarray:
    return np.where(delay > T, 1.0, 0.0)


def transients(**channels: np.ndarray) -> Transients:
    return Transients(T, channels, np.ones(T.size, dtype=np.int64), 1e-3, {})


def filtered(step: np.ndarray, mean_delay: float) -> np.ndarray:
    """First-order answer, its closed form for a cut."""
    since = T - T[np.flatnonzero(step > 0.5)[-1] + 1]
    return np.where(since < 0.0, 1.0, np.exp(-np.maximum(since, 0.0) / mean_delay))


def test_the_lag_of_current_is_found_by_way_of_torque() -> None:
    speed = 2700.0 / (1.0 + np.maximum(T, 0.0) / 0.17)
    torque = 0.3 * filtered(cut_at(0.0), 0.016) - FRICTION * (1.0 - filtered(cut_at(0.0), 0.016))
    current = 33.0 * filtered(cut_at(0.0), 0.004)
    have = transients(speed=speed, torque=torque, voltage=np.full(T.size, 24.0), current=current)
    found = electrical_lag(have, Estimate(0.010, 7e-4, 10.0, "own transients"))
    # torque is 16 ms late in all, 10 ms of it behind speed; current is 4 ms late: 2 ms before speed
    assert found.value == pytest.approx(-0.002, abs=0.001)
    assert found.uncertainty < 0.003


def test_the_lag_of_the_command_is_found_from_a_cut() -> None:
    current = 33.0 * filtered(cut_at(0.002), 0.004)
    have = transients(throttle=cut_at(0.0), voltage=np.full(T.size, 24.0), current=current)
    found = throttle_lag(have, Estimate(-0.002, 1e-3, 10.0, "own transients"))
    # power follows the command by 6 ms and speed's clock by -2: the command is 8 ms early
    assert found.value == pytest.approx(-0.008, abs=0.001)


@pytest.mark.parametrize("missing", ["torque", "speed", "voltage", "current"])
def test_without_the_channels_the_electrical_lag_is_unknown_and_small(missing: str) -> None:
    ones = np.ones(T.size)
    have = {"speed": ones, "torque": ones, "voltage": ones, "current": ones}
    have.pop(missing)
    found = electrical_lag(transients(**have), Estimate(0.01, 1e-3, 10.0, "x"))
    assert (found.value, found.uncertainty) == (0.0, 0.005)


def test_steps_between_two_levels_tell_nothing_of_the_command() -> None:
    halfway = np.where(T < 0.0, 1.0, 0.4)
    found = throttle_lag(transients(throttle=halfway, current=30.0 * halfway), Estimate(0.0, 1e-3, 10.0, "x"))
    assert found.origin == "not known"
    assert throttle_lag(None, Estimate(0.0, 1e-3, 10.0, "x")).origin == "not known"
