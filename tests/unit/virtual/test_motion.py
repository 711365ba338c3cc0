"""The simulated rotor against closed forms and a general-purpose solver."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from isothrust.virtual import Drive, RunPlan, Schedule, TrueAir, coast, holds, steps
from isothrust.virtual.dynamics import integrate
from unit.virtual.motors import five_inch, flat_propeller, seven_inch


def plans() -> dict[str, RunPlan]:
    """All runs that the tests below look at: integrated together, once."""
    five, seven = five_inch(), seven_inch()
    warm = Drive(cooling=0.0, heat_capacity=4.0)
    gentle = Drive(duty_slope=1.5)
    made = [
        RunPlan("steps five", five, schedule=steps(repeats=2)),
        RunPlan("holds five", five, schedule=holds((0.3, 0.7, 1.0), stay=0.6)),
        RunPlan("coast", seven, schedule=coast()),
        RunPlan("hold", five, schedule=holds((0.6,), stay=1.5), drive=Drive(bend=0.4, dead_zone=0.06)),
        RunPlan("warm", five, schedule=holds((1.0,), stay=2.0), drive=warm),
        RunPlan("sinks", seven, schedule=steps(repeats=2)),
        RunPlan("rises", seven, schedule=steps(repeats=2), drive=Drive(sinks_current=False)),
        RunPlan("free", seven, schedule=steps(repeats=2), drive=Drive(brakes=False)),
        RunPlan("gentle", five, schedule=steps(repeats=2), drive=gentle),
    ]
    return {plan.name: plan for plan in made}


@dataclass(frozen=True)
class Course:
    """One lane of the motion."""

    plan: RunPlan
    time: np.ndarray
    omega: np.ndarray
    motor_current: np.ndarray
    shaft_torque: np.ndarray
    voltage: np.ndarray
    current: np.ndarray
    warmth: np.ndarray

    def aero(self) -> np.ndarray:
        """Torque that the air takes, from the propeller's own table."""
        n = self.omega / (2 * np.pi)
        propeller, air = self.plan.propeller, self.plan.air
        return propeller.power_coefficient(n, air) * air.density * n**2 * propeller.diameter**5 / (2 * np.pi)


@pytest.fixture(scope="module")
def courses() -> dict[str, Course]:
    asked = plans()
    motion = integrate(list(asked.values()), [np.random.default_rng(0)] * len(asked))
    arrays = (motion.omega, motion.motor_current, motion.shaft_torque, motion.voltage, motion.current)
    return {
        name: Course(plan, motion.time, *(a[:, k] for a in (*arrays, motion.winding_temperature)))
        for k, (name, plan) in enumerate(asked.items())
    }


def spin_up(step: float) -> tuple[np.ndarray, np.ndarray]:
    """Constant torque of 0.1 N m by the current limit, load 1e-6 omega2, inertia 2e-5 kg m2: CHECKS C8."""
    air = TrueAir()
    diameter = 0.2
    cp = 1e-6 * (2 * math.pi) ** 3 / (air.density * diameter**5)
    drive = Drive(kv=60 / (2 * math.pi * 0.01), friction=0.0, viscous=0.0, rotor_inertia=0.0)
    drive = replace(drive, current_limit=10.0, duty_slope=math.inf, latency=0.0, idle_power=0.0, source_resistance=1e-3)
    schedule = Schedule("steps", (0.0, 0.1, 0.101, 0.6), (0.0, 0.0, 1.0, 1.0))
    propeller = flat_propeller(cp=cp, diameter=diameter, inertia=2e-5)
    plan = RunPlan("c8", propeller, drive=drive, schedule=schedule, air=air)
    motion = integrate([plan], [np.random.default_rng(0)], step=step)
    return motion.time, motion.omega[:, 0]


def test_spin_up_under_constant_torque_follows_the_closed_form() -> None:
    # CHECKS C8, closed form: w = 316.2278 tanh(t / 63.24555 ms), 10-90 % in 86.76557 ms.
    time, omega = spin_up(2.5e-4)
    assert omega[-1] == pytest.approx(316.2278, rel=1e-6)
    rising = (omega > 0.1 * 316.2278) & (omega < 0.9 * 316.2278)
    straight = np.arctanh(omega[rising] / 316.22776602)
    slope, start = np.polyfit(time[rising], straight, 1)
    assert 1 / slope == pytest.approx(63.24555e-3, rel=2e-5)
    assert -start / slope == pytest.approx(0.1, abs=2e-4)
    assert (math.atanh(0.9) - math.atanh(0.1)) / slope == pytest.approx(86.76557e-3, rel=2e-5)


def test_halving_the_step_leaves_a_quarter_of_the_error() -> None:
    errors = []
    for step in (1e-3, 5e-4, 2.5e-4):
        time, omega = spin_up(step)
        rising = (omega > 0.3 * 316.2278) & (omega < 0.9 * 316.2278)
        slope, _ = np.polyfit(time[rising], np.arctanh(omega[rising] / 316.22776602), 1)
        errors.append(abs(1 / slope - 63.245553e-3))
    assert errors[0] / errors[1] > 3.0
    assert errors[1] / errors[2] > 3.0


@pytest.mark.parametrize("name", ["steps five", "holds five", "sinks", "free"])
def test_power_in_is_power_on_the_shaft_and_the_losses(courses: dict[str, Course], name: str) -> None:
    run = courses[name]
    drive = run.plan.drive
    friction = run.omega * (drive.friction * np.minimum(run.omega / 5, 1) + drive.viscous * run.omega)
    heat = 0.10 * (1 + 0.0039 * (run.warmth - 293.15)) * run.motor_current**2
    controller = drive.idle_power + drive.loss_resistance * run.motor_current**2
    taken = run.voltage * run.current
    spent = run.omega * run.shaft_torque + friction + heat + controller
    assert np.max(np.abs(taken - spent)) < 1e-6 * np.max(taken)
    np.testing.assert_allclose(run.voltage, drive.supply_voltage - drive.source_resistance * run.current, rtol=1e-9)


def test_kinetic_energy_is_the_work_that_the_air_did_not_take(courses: dict[str, Course]) -> None:
    run = courses["coast"]
    before = run.time < run.plan.schedule.times[-2]
    power = ((run.shaft_torque - run.aero()) * run.omega)[before]
    work = np.concatenate(([0.0], np.cumsum(0.5 * (power[1:] + power[:-1])))) * 1e-3
    kinetic = 0.5 * run.plan.inertia * run.omega[before] ** 2
    assert kinetic.max() > 20.0
    np.testing.assert_allclose(work, kinetic, atol=5e-4 * np.max(kinetic))


def test_coast_agrees_with_a_general_purpose_solver(courses: dict[str, Course]) -> None:
    run = courses["coast"]
    drive, propeller, air = run.plan.drive, run.plan.propeller, run.plan.air
    cut = run.plan.schedule.times[-2]
    first = int(np.searchsorted(run.time, cut + 0.01))

    def slow(_time: float, speed: np.ndarray) -> np.ndarray:
        n = speed / (2 * np.pi)
        taken = propeller.power_coefficient(n, air) * air.density * n**2 * propeller.diameter**5 / (2 * np.pi)
        return -(taken + drive.friction + drive.viscous * speed) / run.plan.inertia

    end = int(np.argmax((run.time > cut) & (run.omega < 40)))
    span, start = (run.time[first], run.time[end]), [run.omega[first]]
    solved = solve_ivp(slow, span, start, method="DOP853", t_eval=run.time[first:end], rtol=1e-9, atol=1e-7)
    np.testing.assert_allclose(run.omega[first:end], solved.y[0], rtol=2e-5, atol=2e-3)
    assert run.omega[-1] < 1e-3


def test_a_long_hold_settles_at_the_drive_s_steady_state(courses: dict[str, Course]) -> None:
    run = courses["hold"]
    row = 3600
    torque = run.aero()[row]
    state = run.plan.drive.steady_state(run.omega[row], torque, run.warmth[row])
    np.testing.assert_allclose(run.shaft_torque[row], torque, rtol=1e-4)
    np.testing.assert_allclose(run.current[row], state.current, rtol=2e-4)
    np.testing.assert_allclose(run.voltage[row], state.voltage, rtol=1e-5)
    np.testing.assert_allclose(state.throttle, 0.6, rtol=1e-4)


def test_winding_grows_warm_as_the_heat_that_stays_in_it(courses: dict[str, Course]) -> None:
    run = courses["warm"]
    resistance = 0.10 * (1 + 0.0039 * (run.warmth - 293.15))
    heat = np.cumsum(resistance * run.motor_current**2) * 1e-3
    rise = run.warmth - 293.15
    assert rise[-1] > 3.0
    np.testing.assert_allclose(rise[1:], heat[:-1] / 4.0, rtol=1e-6, atol=1e-9)


def test_a_supply_that_takes_current_back_shows_it_negative(courses: dict[str, Course]) -> None:
    run = courses["sinks"]
    assert run.current.min() < -1.0
    assert run.voltage.max() > 24.0


def test_a_supply_that_takes_nothing_back_lets_the_bus_rise_to_its_clamp(courses: dict[str, Course]) -> None:
    run = courses["rises"]
    assert run.current.min() >= 0.0
    assert 24.5 < run.voltage.max() <= 24.0 * 1.12 + 1e-9


def test_a_free_wheeling_controller_falls_no_faster_than_a_coast(courses: dict[str, Course]) -> None:
    row = int(1e3 * (2 + 0.3 + 0.9 + 0.9 + 0.15))
    assert courses["free"].motor_current.min() >= 0.0
    assert courses["free"].omega[row] > courses["sinks"].omega[row] + 100


def test_a_controller_with_a_gentle_slope_flattens_the_steps(courses: dict[str, Course]) -> None:
    row = int(1e3 * (2 + 0.3 + 0.9 + 0.08))
    assert courses["gentle"].omega[row] < 0.7 * courses["steps five"].omega[row]
