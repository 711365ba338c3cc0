"""Readings that a motor is found from, against the simulator's own drive."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.records.motor import DrivePoints
from isothrust.reduction import reduce_run
from isothrust.reduction.drivepoints import FULL
from isothrust.virtual import Drive, Setup, campaign, make_propeller, ramp_up_down, simulate, with_conditions
from support.simulated import job_of, recording_of
from unit.reduction.bench import KINDS, reduced, simulated, without

PROPELLER = make_propeller("six", diameter=0.152, pitch=0.1, blades=3, ct=0.14, cp=0.07, inertia=9e-6)
TURNING = [kind for kind in KINDS if kind != "zero"]


def points(kind: str) -> DrivePoints:
    found = reduced(kind).drive
    assert found is not None
    return found


def motor_current(drive: Drive, torque: np.ndarray, speed: np.ndarray) -> np.ndarray:
    return np.asarray((torque + drive.friction_torque(speed)) / drive.torque_constant)


@pytest.mark.parametrize("kind", TURNING)
def test_electrical_power_is_what_shaft_winding_friction_and_controller_take(kind: str) -> None:
    found, drive = points(kind), simulated(kind).plan.drive
    assert found.torque is not None
    assert found.voltage is not None
    assert found.current is not None
    assert found.torque_heat is not None
    assert found.temperature is not None
    current = motor_current(drive, found.torque, found.speed)
    warmth = drive.resistance / drive.torque_constant**2 * found.torque_heat / drive.heat_capacity
    winding = drive.winding_resistance(found.temperature + warmth)
    shaft = drive.torque_constant * found.speed * current
    wanted = shaft + (winding + drive.loss_resistance) * current**2 + drive.idle_power
    error = found.voltage * found.current - wanted
    fast = found.speed > 0.3 * found.speed.max()
    assert np.abs(error / wanted)[fast].max() < 0.02
    weight = (found.rows / wanted**2)[fast]
    assert abs(float(np.average((error / wanted)[fast], weights=weight))) < 0.006


def test_the_plateau_stands_apart_and_shows_the_motor_at_full_duty() -> None:
    found, drive = points("ramp"), simulated("ramp").plan.drive
    assert found.full is not None
    assert found.torque is not None
    assert found.voltage is not None
    assert found.throttle is not None
    assert found.torque_heat is not None
    assert found.temperature is not None
    assert np.count_nonzero(found.full) == 1
    (at,) = np.flatnonzero(found.full)
    assert found.throttle[at] >= FULL
    current = float(motor_current(drive, found.torque, found.speed)[at])
    warmth = drive.resistance / drive.torque_constant**2 * found.torque_heat[at] / drive.heat_capacity
    winding = float(drive.winding_resistance(found.temperature + warmth))
    assert found.voltage[at] == pytest.approx(drive.torque_constant * found.speed[at] + winding * current, rel=0.004)


def test_legs_up_and_down_are_not_mixed_and_heat_only_grows() -> None:
    plan = campaign([PROPELLER], seed=3, mountings=1, schedules=[ramp_up_down()], rig_errors=False)[0]
    run = simulate([plan], 4)[0]
    found = reduce_run(recording_of(run), job_of(plan)).drive
    assert found is not None
    assert found.acceleration is not None
    assert found.torque_heat is not None
    down = np.flatnonzero(found.acceleration < -50.0)
    up = np.flatnonzero(found.acceleration > 50.0)
    assert len(down) > 15
    assert len(up) > 15
    assert found.torque_heat[down].min() > found.torque_heat[up].max()


def test_groups_of_near_speed_carry_no_bias_from_the_bend_within() -> None:
    setup = with_conditions(Setup(), "low-noise")
    plan = campaign([PROPELLER], seed=3, setup=setup, mountings=1, rig_errors=False)[0]
    run = simulate([plan], 4)[0]
    found = reduce_run(recording_of(run), job_of(plan)).drive
    assert found is not None
    assert found.torque is not None
    assert found.acceleration is not None
    true = run.truth.mounting.torque(found.speed, plan.air) + run.truth.inertia * found.acceleration
    fixed = plan.torque_zero.running
    fast = found.speed > 0.25 * found.speed.max()
    assert np.abs((found.torque - fixed) / true - 1.0)[fast].max() < 0.004


@pytest.mark.parametrize("missing", ["torque", "voltage", "current", "throttle"])
def test_a_channel_that_is_missing_is_missing_here_and_nothing_else_is(missing: str) -> None:
    run = simulated("ramp")
    found = reduce_run(without(recording_of(run), missing), job_of(run.plan)).drive
    assert found is not None
    assert getattr(found, missing) is None
    others = {"torque", "voltage", "current", "throttle"} - {missing}
    assert all(getattr(found, other) is not None for other in others)


def test_without_speed_there_are_no_points() -> None:
    run = simulated("ramp")
    assert reduce_run(without(recording_of(run), "speed"), job_of(run.plan)).drive is None
