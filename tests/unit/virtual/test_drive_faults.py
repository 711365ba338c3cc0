"""What the simulated drive does when supply, leads or controller are not as they should be, held to its equations."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.virtual import Drive, RunPlan, Schedule, VirtualRun, holds, make_propeller, ramp, simulate, steps
from isothrust.virtual.sensors import Sensor, Sensors
from isothrust.virtual.stand import Stand

SEVEN = make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.4e-5)
TRUE = Stand(sensors=Sensors(*(Sensor() for _ in range(6))))
"""Every sensor reads what is there, at once."""
COOL = Drive(heat_capacity=1e6)


def run(drive: Drive, schedule: Schedule | None = None) -> VirtualRun:
    return simulate([RunPlan("r", SEVEN, drive, TRUE, schedule=schedule or ramp(rise=4.0))], 1)[0]


def test_a_limited_supply_gives_its_limit_and_its_voltage_is_what_the_motor_makes_of_it() -> None:
    columns = run(replace(COOL, supply_limit=20.0)).columns
    full = int(np.flatnonzero(columns["throttle"] == 1.0)[-50])
    assert columns["current"].max() == pytest.approx(20.0, rel=0.01)
    # At full duty the controller passes all of its voltage on: V = Kt omega + R i, and i = I but for what idling takes.
    wanted = COOL.torque_constant * columns["speed"][full] + COOL.resistance * columns["current"][full]
    assert columns["voltage"][full] == pytest.approx(wanted, rel=0.02)
    assert columns["voltage"][full] < 0.8 * COOL.supply_voltage


def test_thrust_falls_as_the_command_rises_beyond_the_limit() -> None:
    columns = run(replace(COOL, supply_limit=20.0)).columns
    at = {level: int(np.argmax(columns["throttle"] >= level)) for level in (0.8, 0.9, 0.999)}
    assert columns["thrust"][at[0.8]] > columns["thrust"][at[0.9]] > columns["thrust"][at[0.999]]


def test_a_supply_that_is_strong_enough_changes_nothing() -> None:
    free, ample = run(COOL), run(replace(COOL, supply_limit=500.0))
    for name, values in free.columns.items():
        assert ample.columns[name] == pytest.approx(values, rel=1e-9, abs=1e-9)


def test_voltage_ahead_of_a_lead_lacks_the_leads_own_drop() -> None:
    drive = replace(COOL, lead_resistance=0.08)
    columns = run(drive).columns
    assert columns["voltage"] == pytest.approx(24.0 - drive.source_resistance * columns["current"], abs=2e-3)
    bare = run(COOL).columns
    assert columns["speed"].max() < 0.95 * bare["speed"].max()


def test_steady_state_goes_through_source_and_leads() -> None:
    state = replace(COOL, lead_resistance=0.08).steady_state(np.array(2000.0), np.array(0.15))
    assert float(state.voltage) == pytest.approx(24.0 - 0.11 * float(state.current))


def test_a_controller_that_is_full_early_gives_full_duty_there_and_finds_its_throttle_again() -> None:
    drive = replace(COOL, full_from=0.9)
    assert drive.duty(np.array([0.9, 0.95, 1.0])) == pytest.approx(1.0)
    assert drive.duty(np.array([0.89]))[0] < 1.0
    for duty in (0.2, 0.6, 0.95):
        assert float(drive.duty(drive.throttle(np.array(duty)))) == pytest.approx(duty, abs=1e-3)
    columns = run(drive).columns
    at = [int(np.argmax(columns["throttle"] >= level)) for level in (0.95, 0.999)]
    assert columns["speed"][at[1]] == pytest.approx(columns["speed"][at[0]], rel=2e-3)


def test_a_controller_that_gets_hot_takes_duty_back_by_the_share_for_each_kelvin() -> None:
    long = holds((0.8,), stay=15.0)
    hot = replace(COOL, controller_capacity=0.6, controller_cooling=0.2, derating_from=5.0, derating=0.004)
    good, sunk = run(COOL, long).columns, run(hot, long).columns
    end = int(np.flatnonzero(good["throttle"] > 0.79)[-10])
    # Settled: loss_resistance i2 = cooling x warmth, and the warmth beyond 5 K takes 0.4 % each.
    motor = (sunk["torque"][end] + float(hot.friction_torque(sunk["speed"][end]))) / hot.torque_constant
    warmth = hot.loss_resistance * motor**2 / hot.controller_cooling
    duty = (hot.torque_constant * sunk["speed"][end] + hot.resistance * motor) / sunk["voltage"][end]
    asked = float(hot.duty(np.array(0.8)))
    assert warmth > 10.0
    assert duty / asked == pytest.approx(1.0 - 0.004 * (warmth - 5.0), abs=0.01)
    assert sunk["speed"][end] < 0.99 * good["speed"][end]


def test_a_rotor_out_of_step_is_not_driven_and_its_current_is_what_the_limit_lets() -> None:
    drive = replace(COOL, slips=((5.0, 0.1),))
    columns = run(drive).columns
    inside = slice(5020, 5090)
    # no torque on the mean: only friction is felt on the shaft
    friction = -drive.friction_torque(columns["speed"][inside])
    assert columns["torque"][inside] == pytest.approx(friction, rel=0.02)
    # all of the power is heat: of the winding at the current limit and of the controller
    heat = (drive.resistance + drive.loss_resistance) * drive.current_limit**2 + drive.idle_power
    assert columns["voltage"][inside] * columns["current"][inside] == pytest.approx(heat, rel=1e-3)
    # and the air alone slows it down
    rate = np.diff(columns["speed"][5040:5042])[0] / 1e-3
    true = simulate([RunPlan("r", SEVEN, drive, TRUE, schedule=ramp(rise=4.0))], 1)[0].truth
    torque = float(true.mounting.torque(columns["speed"][5040], RunPlan("r", SEVEN).air))
    wanted = -(torque + float(drive.friction_torque(columns["speed"][5040]))) / true.inertia
    assert rate == pytest.approx(wanted, rel=0.03)
    later = int(np.argmax(columns["throttle"] >= 0.999))
    assert columns["speed"][later] == pytest.approx(run(COOL).columns["speed"][later], rel=5e-3)


def test_a_supply_that_takes_nothing_back_gives_on_the_way_up_what_any_supply_gives() -> None:
    taking, keeping = run(COOL).columns, run(replace(COOL, sinks_current=False)).columns
    rising = (taking["throttle"] > 0.1) & (taking["throttle"] < 0.99) & (taking["time"] < 6.0)
    assert keeping["current"][rising] == pytest.approx(taking["current"][rising], rel=1e-6)


def test_what_a_brake_returns_lifts_the_bus_of_such_a_supply() -> None:
    columns = run(replace(COOL, sinks_current=False), steps(repeats=2)).columns
    assert columns["voltage"].max() == pytest.approx(24.0 * COOL.bus_limit, rel=1e-6)
    assert columns["current"].min() >= 0.0
