"""Limits and properties of air, momentum theory and the motor."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from isothrust.science import air, atmosphere, momentum, motor, rotor

kelvin = st.floats(263.0, 318.0)
pascal = st.floats(65_000.0, 108_000.0)
relative = st.floats(0.0, 1.0)


@given(kelvin, pascal, relative)
def test_density_lies_within_four_per_mille_of_the_ideal_mixture(t: float, p: float, h: float) -> None:
    # Dalton's law with the Magnus vapour pressure (from memory): another road, good to some per mille.
    vapour = h * 611.2 * np.exp(17.62 * (t - 273.15) / (243.12 + t - 273.15))
    ideal = (p - vapour) / (287.05 * t) + vapour / (461.5 * t)
    assert_allclose(air.air_density(t, p, h), ideal, rtol=4e-3)


@given(kelvin, pascal, relative)
def test_density_sensitivities_are_the_slopes_of_density(t: float, p: float, h: float) -> None:
    by = air.air_density_sensitivities(t, p, h)
    for slope, step, at in zip(by, (0.01, 10.0, 1e-3, 1e-5), range(4), strict=True):
        arguments = [t, p, h, 4e-4]
        up, down = [list(arguments) for _ in range(2)]
        up[at] += step
        down[at] -= step
        rise = air.air_density(*up[:3], carbon_dioxide=up[3]) - air.air_density(*down[:3], carbon_dioxide=down[3])
        assert_allclose(slope, rise / (2.0 * step), rtol=2e-5, atol=1e-9 * 1.2 / step)


def test_sensitivities_take_arrays_and_carry_missing_readings() -> None:
    by = air.air_density_sensitivities([293.15, np.nan], 101_325.0, [[0.2], [0.5]])
    assert by.temperature.shape == (2, 2)
    assert np.isnan(by.pressure[:, 1]).all()
    assert np.isfinite(by.humidity[:, 0]).all()


def test_moist_air_is_lighter_warm_air_is_lighter_and_carbon_dioxide_makes_it_heavier() -> None:
    by = air.air_density_sensitivities(295.0, 100_000.0, 0.5)
    assert by.temperature < 0 < by.pressure
    assert by.humidity < 0 < by.carbon_dioxide


def test_validity_follows_the_stated_range_and_is_false_for_what_is_missing() -> None:
    assert air.air_density_validity([288.15, 300.15], [60_000.0, 110_000.0], [0.0, 1.0]).all()
    outside = air.air_density_validity([287.0, 301.0, 295.0, 295.0, np.nan], [1e5, 1e5, 59_000.0, 111_000.0, 1e5], 0.5)
    assert not outside.any()
    assert not air.air_density_validity(295.0, 1e5, 1.1)
    assert not air.air_viscosity_validity([100.0, 600.0, np.nan]).any()
    assert not air.speed_of_sound_humid_validity([310.0, 295.0], [1e5, 5e4], 0.5).any()


def test_the_two_speeds_of_sound_agree_in_dry_air() -> None:
    t = np.linspace(274.0, 302.0, 8)
    assert_allclose(air.speed_of_sound_humid(t, 101_325.0, 0.0), air.speed_of_sound(t), rtol=5e-4)


def test_standard_atmosphere_is_continuous_at_the_tropopause_and_isothermal_above() -> None:
    below, above = (atmosphere.standard_atmosphere(h) for h in (11_000.0 - 1e-6, 11_000.0 + 1e-6))
    for low, high in zip(below, above, strict=True):
        assert_allclose(low, high, rtol=1e-9)
    high = atmosphere.standard_atmosphere([12_000.0, 20_000.0])
    assert_allclose(high.temperature, 216.65)
    assert list(atmosphere.standard_atmosphere_validity([-2_500.0, 0.0, 20_000.0, 20_001.0])) == [
        False,
        True,
        True,
        False,
    ]


def test_standard_atmosphere_hangs_in_hydrostatic_balance() -> None:
    h = np.arange(-1_000.0, 15_000.0, 10.0)
    state = atmosphere.standard_atmosphere(h)
    slope = (state.pressure[2:] - state.pressure[:-2]) / 20.0
    smooth = np.abs(h[1:-1] - 11_000.0) > 10.0  # the lapse rate breaks at the tropopause
    assert_allclose(slope[smooth], -9.80665 * state.density[1:-1][smooth], rtol=2e-6)


@given(st.floats(0.001, 50.0), st.floats(0.9, 1.3), st.floats(0.05, 1.0))
def test_momentum_theory_conserves_momentum(thrust: float, density: float, diameter: float) -> None:
    v = momentum.induced_velocity(thrust, density, diameter)
    mass_flow = density * rotor.disc_area(diameter) * v
    assert_allclose(mass_flow * 2.0 * v, thrust, rtol=1e-12)


@given(st.floats(-6.0, 6.0, allow_subnormal=False))
def test_axial_flight_conserves_momentum_where_it_has_an_answer(x: float) -> None:
    v = momentum.axial_induced_velocity(x, 1.0)
    if momentum.axial_induced_velocity_validity(x, 1.0):
        assert_allclose(abs(x + v) * v, 1.0, rtol=1e-9)  # T = 2 rho A |V + v| v
    else:
        assert np.isnan(v)


def test_figure_of_merit_is_ideal_power_over_power_whichever_way_it_is_written() -> None:
    thrust, power, density, diameter, n = 6.0, 60.0, 1.18, 0.24, 110.0
    direct = rotor.figure_of_merit(thrust, power, density, diameter)
    ct = rotor.thrust_coefficient(thrust, density, n, diameter)
    cp = rotor.power_coefficient(power, density, n, diameter)
    assert_allclose(rotor.figure_of_merit_from_coefficients(ct, cp), direct, rtol=1e-13)
    assert_allclose(momentum.ideal_hover_power(thrust, density, diameter) / power, direct, rtol=1e-13)
    helicopter = momentum.rotor_thrust_coefficient(ct) ** 1.5 / (np.sqrt(2.0) * momentum.rotor_power_coefficient(cp))
    assert_allclose(helicopter, direct, rtol=1e-13)


def test_coefficients_and_forces_are_each_other_s_inverse() -> None:
    air_of_day, n, diameter = 1.1, np.array([20.0, 100.0, 300.0]), 0.2
    assert_allclose(
        rotor.thrust_from_coefficient(rotor.thrust_coefficient(3.0, air_of_day, n, diameter), air_of_day, n, diameter),
        3.0,
        rtol=1e-14,
    )
    assert_allclose(
        rotor.torque_from_coefficient(rotor.torque_coefficient(0.3, air_of_day, n, diameter), air_of_day, n, diameter),
        0.3,
        rtol=1e-14,
    )
    assert_allclose(
        rotor.power_from_coefficient(rotor.power_coefficient(30.0, air_of_day, n, diameter), air_of_day, n, diameter),
        30.0,
        rtol=1e-14,
    )


def test_thrust_below_zero_has_no_ideal_power() -> None:
    assert np.isnan(rotor.figure_of_merit(-1.0, 10.0, 1.2, 0.2))
    assert np.isnan(rotor.figure_of_merit_from_coefficients(-0.1, 0.05))
    assert np.isnan(momentum.induced_velocity(-1.0, 1.2, 0.2))
    assert np.isnan(momentum.inflow_ratio(-0.1))
    assert rotor.figure_of_merit(0.0, 10.0, 1.2, 0.2) == 0.0


def test_slipstream_correction_is_nothing_without_an_obstruction_and_refused_when_it_blocks_all() -> None:
    assert momentum.slipstream_thrust_ratio(0.0, 0.2) == 1.0
    assert np.isnan(momentum.slipstream_thrust_ratio(4.0 * float(rotor.disc_area(0.2)), 0.2))


def test_slipstream_correction_balances_the_drag_of_the_wake() -> None:
    thrust, density, diameter, area, drag = 5.0, 1.2, 0.2286, 0.002, 1.1
    # [SeligAnanda2015] puts the dynamic pressure of the induced velocity at the disc on the stand.
    wake = momentum.induced_velocity(thrust, density, diameter)
    read = thrust - 0.5 * density * wake**2 * area * drag
    assert_allclose(read * momentum.slipstream_thrust_ratio(area, diameter, drag_coefficient=drag), thrust, rtol=1e-13)


def test_tip_speed_adds_the_airspeed_at_a_right_angle() -> None:
    assert_allclose(rotor.tip_speed(100.0, 0.1 / np.pi, airspeed=10.0), np.sqrt(200.0), rtol=1e-14)
    assert_allclose(rotor.tip_mach(100.0, 0.1 / np.pi, 340.0, airspeed=10.0), np.sqrt(200.0) / 340.0, rtol=1e-14)


def test_spin_up_starts_with_torque_over_inertia_and_ends_at_balance() -> None:
    torque, drag, inertia = 0.1, 1e-6, 2e-5
    assert_allclose(motor.spin_up_speed(1e-7, torque, drag, inertia) / 1e-7, torque / inertia, rtol=1e-6)
    assert_allclose(motor.spin_up_speed(10.0, torque, drag, inertia), np.sqrt(torque / drag), rtol=1e-12)
    assert np.isnan(motor.spin_up_time(np.sqrt(torque / drag) * 1.001, torque, drag, inertia))
    t = np.linspace(0.001, 0.1, 9)
    assert_allclose(motor.spin_up_time(motor.spin_up_speed(t, torque, drag, inertia), torque, drag, inertia), t)


def test_motor_conserves_energy() -> None:
    voltage, current, none, resistance, kv = 11.1, np.array([2.0, 10.0, 30.0]), 0.5, 0.1, 104.7
    shaft = motor.motor_speed(voltage, current, kv, resistance) * motor.motor_torque(current, none, kv)
    assert_allclose(shaft / (voltage * current), motor.motor_efficiency(voltage, current, none, resistance), rtol=1e-13)
    best = motor.most_efficient_current(voltage, none, resistance)
    around = motor.motor_efficiency(voltage, best * np.array([0.99, 1.0, 1.01]), none, resistance)
    assert around[1] > max(around[0], around[2])
    assert_allclose(around[1], motor.greatest_efficiency(voltage, none, resistance), rtol=1e-13)


def test_motor_constants_are_refused_where_one_line_holds_all_readings() -> None:
    with pytest.raises(ValueError, match="cannot be told apart"):
        motor.fit_first_order_motor([2.0, 4.0, 6.0], [1.0, 2.0, 3.0], [100.0, 200.0, 300.0], [0.01, 0.02, 0.03])
    with pytest.raises(ValueError, match="cannot be told apart"):
        motor.fit_first_order_motor([2.0], [1.0], [100.0], [0.01])
