"""Craft on several rotors: endurance, climb, response, and their limits."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.flight import (
    battery_current,
    climb_speed,
    climb_speed_validity,
    constant_power_endurance,
    control_bandwidth,
    hover_thrust,
    rotor_time_constant,
    thrust_to_weight,
)
from isothrust.science.momentum import axial_induced_velocity
from isothrust.science.motor import electromechanical_time_constant


def test_a_hovering_craft_has_thrust_to_weight_one() -> None:
    assert_allclose(thrust_to_weight(hover_thrust(0.73, 6), 0.73, 6), 1.0, rtol=1e-15)


def test_sagging_battery_gives_the_power_asked_for() -> None:
    power, voltage, resistance = np.array([10.0, 200.0, 900.0]), 24.0, 0.05
    current = battery_current(power, voltage, resistance)
    assert_allclose((voltage - resistance * current) * current, power, rtol=1e-12)


def test_battery_that_cannot_give_the_power_has_no_current() -> None:
    assert np.isnan(battery_current(2881.0, 24.0, 0.05))
    assert np.isfinite(battery_current(2879.0, 24.0, 0.05))


def test_endurance_without_resistance_is_energy_over_power() -> None:
    assert_allclose(constant_power_endurance(180.0, 36e3, [16.8, 15.0, 13.0], 0.0), 200.0, rtol=1e-12)


def test_endurance_agrees_with_a_discharge_followed_in_time() -> None:
    power, resistance, energy = 400.0, 0.04, 90e3
    parts = np.linspace(25.2, 19.8, 400, endpoint=False) - (25.2 - 19.8) / 800.0
    charge = energy / 22.5
    drawn = time = 0.0
    step = 0.02
    while drawn < charge:
        open_circuit = 25.2 - 5.4 * drawn / charge
        drawn += step * power / (0.5 * open_circuit + np.sqrt(0.25 * open_circuit**2 - resistance * power))
        time += step
    assert_allclose(constant_power_endurance(power, energy, parts, resistance), time, rtol=5e-4)
    assert time < energy / power


def test_endurance_of_many_draws_is_that_of_each() -> None:
    power, voltage = np.array([100.0, 200.0]), np.array([[16.0, 15.0], [15.5, 14.5]])
    together = constant_power_endurance(power, 50e3, voltage, np.array([0.01, 0.03]))
    apart = [constant_power_endurance(power[k], 50e3, voltage[k], (0.01, 0.03)[k]) for k in range(2)]
    assert_allclose(together, apart, rtol=1e-14)


def test_climb_gives_back_the_power_through_the_disc() -> None:
    v_h, thrust, power = 8.0, 5.0, 90.0
    climb = climb_speed(power, thrust, v_h)
    assert_allclose(thrust * (climb + axial_induced_velocity(climb, v_h)), power, rtol=1e-12)


def test_hover_power_climbs_at_nil_and_less_power_not_at_all() -> None:
    assert_allclose(climb_speed(40.0, 5.0, 8.0), 0.0, atol=1e-12)
    assert np.isnan(climb_speed(39.0, 5.0, 8.0))
    assert climb_speed_validity(40.0, 5.0, 8.0)
    assert not climb_speed_validity(39.0, 5.0, 8.0)


def test_rotor_without_air_answers_as_the_motor_alone() -> None:
    assert_allclose(rotor_time_constant(2e-5, 0.0, 150.0, 0.08), electromechanical_time_constant(2e-5, 0.08, 150.0))


def test_rotor_answers_as_its_equation_of_motion_followed_in_time() -> None:
    inertia, kv, resistance, drag, viscous, voltage = 2.5e-5, 180.0, 0.12, 9e-8, 1.2e-6, 9.0

    def torque(omega: float, volts: float) -> float:
        return (volts - omega / kv) / resistance / kv - viscous * omega - drag * omega**2

    omega = 900.0
    for _ in range(200):  # settles by Newton's method
        slope = -1.0 / (kv**2 * resistance) - viscous - 2.0 * drag * omega
        omega -= torque(omega, voltage) / slope
    end = omega
    for _ in range(200):
        slope = -1.0 / (kv**2 * resistance) - viscous - 2.0 * drag * end
        end -= torque(end, 1.001 * voltage) / slope
    tau, step, time, now = (
        rotor_time_constant(inertia, 2.0 * drag * omega, kv, resistance, viscous=viscous),
        1e-6,
        0.0,
        omega,
    )
    while now < omega + (1.0 - np.exp(-1.0)) * (end - omega):
        now += step * torque(now, 1.001 * voltage) / inertia
        time += step
    assert time == pytest.approx(float(tau), rel=2e-3)


def test_bandwidth_lets_half_the_power_through() -> None:
    tau = 0.03
    assert_allclose(1.0 / np.hypot(1.0, 2.0 * np.pi * control_bandwidth(tau) * tau), np.sqrt(0.5), rtol=1e-12)
