"""Operating points against a root finder, closed forms and limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from isothrust.science.operating import DriveConstants, LoadCurve, SupplyLine, drive_state, solve_operating_point

MOTOR = DriveConstants(157.0, 0.10, 0.008, 2.4e-3, 1.2e-6, 0.9)
SPEED = np.linspace(200.0, 3200.0, 200)
LOAD = LoadCurve(SPEED, 4.2e-8 * SPEED**2)


def power_wanted(omega: float, duty: float, warmth: float = 0.0) -> float:
    """Voltage that is there less voltage that is needed, written anew from the equations."""
    kv, r, rc, friction, viscous, idle = (float(np.asarray(value)) for value in MOTOR)
    current = kv * (4.2e-8 * omega**2 + friction + viscous * omega)
    winding = omega / kv + r * (1 + 0.0039 * warmth) * current
    power = winding * current + rc * current**2 + idle
    supply = np.roots([1.0, -24.0, 0.03 * power])
    return float(duty * np.max(np.real(supply)) - winding)


@pytest.mark.parametrize("duty", [0.2, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("warmth", [0.0, 40.0])
def test_speed_is_that_of_a_root_finder_on_the_equations(duty: float, warmth: float) -> None:
    wanted = brentq(lambda omega: power_wanted(omega, duty, warmth), 50.0, 3200.0, xtol=1e-12)
    point = solve_operating_point(MOTOR, LOAD, duty, SupplyLine(24.0, 0.03), warmth=warmth)
    assert point.speed[0] == pytest.approx(wanted, rel=1e-5)
    assert point.duty[0] == pytest.approx(duty, rel=1e-9)
    assert not point.motor_limited[0]
    assert not point.supply_limited[0]


def test_many_cases_at_once_give_what_each_gives_alone() -> None:
    duties = np.array([0.3, 0.6, 1.0])
    rows = np.stack([LOAD.torque, 1.3 * LOAD.torque, 0.7 * LOAD.torque])
    together = solve_operating_point(MOTOR, LoadCurve(SPEED, rows[0]), duties, SupplyLine(24.0, 0.03))
    apart = solve_operating_point(MOTOR, LoadCurve(np.tile(SPEED, (3, 1)), rows), duties, SupplyLine(24.0, 0.03))
    assert together.speed[0] == apart.speed[0]
    for k, torque in enumerate(rows):
        alone = solve_operating_point(MOTOR, LoadCurve(SPEED, torque), duties[k], SupplyLine(24.0, 0.03))
        assert apart.speed[k] == pytest.approx(float(alone.speed[0]), rel=1e-12)


def test_without_friction_and_resistance_of_the_source_the_speed_is_the_root_of_a_quadratic() -> None:
    kv, r, c = 100.0, 0.1, 4e-8
    point = solve_operating_point(DriveConstants(kv, r), LoadCurve(SPEED, c * SPEED**2), 1.0, SupplyLine(20.0))
    a = r * kv * c
    wanted = (-1 / kv + np.sqrt(1 / kv**2 + 4 * a * 20.0)) / (2 * a)
    assert point.speed[0] == pytest.approx(wanted, rel=1e-6)


def test_a_motor_current_limit_holds_the_speed_back_and_says_so() -> None:
    free = solve_operating_point(MOTOR, LOAD, 1.0, SupplyLine(24.0, 0.03))
    most = 0.6 * float(free.motor_current[0])
    held = solve_operating_point(MOTOR, LOAD, 1.0, SupplyLine(24.0, 0.03), current_limit=most)
    assert held.motor_current[0] == pytest.approx(most, rel=1e-9)
    assert held.motor_limited[0]
    assert not held.supply_limited[0]
    assert held.duty[0] < 1.0
    assert held.speed[0] < free.speed[0]


def test_a_supply_limit_holds_the_speed_back_and_says_so() -> None:
    free = solve_operating_point(MOTOR, LOAD, 1.0, SupplyLine(24.0, 0.03))
    most = 0.5 * float(free.current[0])
    held = solve_operating_point(MOTOR, LOAD, 1.0, SupplyLine(24.0, 0.03, most))
    assert held.current[0] == pytest.approx(most, rel=1e-9)
    assert held.supply_limited[0]
    assert not held.motor_limited[0]


def test_torque_that_the_rotor_itself_takes_lowers_the_speed() -> None:
    still = solve_operating_point(MOTOR, LOAD, 0.6, SupplyLine(24.0, 0.03))
    rising = solve_operating_point(MOTOR, LOAD._replace(added=5e-3), 0.6, SupplyLine(24.0, 0.03))
    assert rising.speed[0] < still.speed[0]
    wanted = 4.2e-8 * float(rising.speed[0]) ** 2 + 5e-3
    assert rising.torque[0] == pytest.approx(wanted, rel=1e-4)


def test_what_is_not_known_gives_not_a_number_for_its_case_alone() -> None:
    point = solve_operating_point(MOTOR._replace(kv=np.array([157.0, np.nan])), LOAD, 1.0, SupplyLine(24.0, 0.03))
    assert np.isfinite(point.speed[0])
    assert np.isnan(point.speed[1])
    assert np.isnan(point.current[1])


def test_a_load_that_the_source_cannot_carry_has_no_voltage() -> None:
    state = drive_state(MOTOR, [3000.0], [5.0], SupplyLine(24.0, 0.5))
    assert np.isnan(state.voltage[0])
    assert np.isinf(state.duty[0])


def test_the_state_at_a_solved_speed_keeps_the_energy_balance() -> None:
    point = solve_operating_point(MOTOR, LOAD, np.linspace(0.2, 1.0, 9), SupplyLine(24.0, 0.03), warmth=30.0)
    w, i = point.speed, point.motor_current
    heat = 0.10 * (1 + 0.0039 * 30.0) * i**2 + 0.008 * i**2 + 0.9
    assert point.voltage * point.current == pytest.approx(w * (point.torque + 2.4e-3 + 1.2e-6 * w) + heat, rel=1e-9)
