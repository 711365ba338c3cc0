"""What every pointwise science function owes: scalar = vector, broadcasting, NaN carried through, a law of scaling."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science import advance, air, atmosphere, blade, flight, momentum, motor, rotor


class Case(NamedTuple):
    function: Callable[..., Any]
    at: tuple[float, ...]
    powers: tuple[float | None, ...]
    """Power by which the result scales with each argument; None where the law is no power."""


CASES = [
    Case(rotor.disc_area, (0.254,), (2,)),
    Case(rotor.thrust_coefficient, (7.8, 1.2, 108.0, 0.254), (1, -1, -2, -4)),
    Case(rotor.torque_coefficient, (0.13, 1.2, 108.0, 0.254), (1, -1, -2, -5)),
    Case(rotor.power_coefficient, (88.0, 1.2, 108.0, 0.254), (1, -1, -3, -5)),
    Case(rotor.power_coefficient_from_torque_coefficient, (0.008,), (1,)),
    Case(rotor.thrust_from_coefficient, (0.13, 1.2, 108.0, 0.254), (1, 1, 2, 4)),
    Case(rotor.torque_from_coefficient, (0.008, 1.2, 108.0, 0.254), (1, 1, 2, 5)),
    Case(rotor.power_from_coefficient, (0.053, 1.2, 108.0, 0.254), (1, 1, 3, 5)),
    Case(rotor.figure_of_merit, (7.8, 88.0, 1.2, 0.254), (1.5, -1, -0.5, -1)),
    Case(rotor.figure_of_merit_from_coefficients, (0.13, 0.053), (1.5, -1)),
    Case(rotor.tip_speed, (108.0, 0.254), (1, 1)),
    Case(rotor.tip_mach, (108.0, 0.254, 343.0), (1, 1, -1)),
    Case(blade.blade_reynolds_number, (1.2, 1.8e-5, 108.0, 0.254, 0.02), (1, -1, 1, 1, 1)),
    Case(advance.advance_ratio, (5.0, 108.0, 0.254), (1, -1, -1)),
    Case(advance.propulsive_efficiency, (0.12, 0.05, 0.1), (1, -1, 1)),
    Case(advance.ideal_propulsive_efficiency, (0.12, 0.3), (None, None)),
    Case(advance.tunnel_velocity_ratio, (1.0, 0.05), (None, None)),
    Case(momentum.rotor_thrust_coefficient, (0.13,), (1,)),
    Case(momentum.rotor_power_coefficient, (0.053,), (1,)),
    Case(momentum.disc_loading, (7.8, 0.254), (1, -2)),
    Case(momentum.induced_velocity, (7.8, 1.2, 0.254), (0.5, -0.5, -1)),
    Case(momentum.ideal_hover_power, (7.8, 1.2, 0.254), (1.5, -0.5, -1)),
    Case(momentum.inflow_ratio, (0.13,), (0.5,)),
    Case(momentum.inflow_advance_ratio, (0.13,), (0.5,)),
    Case(momentum.axial_induced_velocity, (3.0, 8.0), (None, None)),
    Case(momentum.slipstream_thrust_ratio, (0.002, 0.23), (None, None)),
    Case(flight.hover_thrust, (0.7, 4.0), (1, -1)),
    Case(flight.thrust_to_weight, (12.0, 0.7, 4.0), (1, -1, 1)),
    Case(flight.climb_speed, (90.0, 5.0, 8.0), (None, None, None)),
    Case(flight.battery_current, (200.0, 24.0, 0.03), (None, None, None)),
    Case(flight.rotor_time_constant, (2e-5, 1e-4, 150.0, 0.08), (1, None, None, None)),
    Case(flight.control_bandwidth, (0.03,), (-1,)),
    Case(air.saturation_vapour_pressure, (293.15,), (None,)),
    Case(air.air_density, (293.15, 101325.0, 0.5), (None, None, None)),
    Case(air.air_viscosity, (293.15,), (None,)),
    Case(air.speed_of_sound, (293.15,), (0.5,)),
    Case(air.speed_of_sound_humid, (293.15, 101325.0, 0.5), (None, None, None)),
    Case(atmosphere.geopotential_altitude, (1500.0,), (None,)),
    Case(motor.torque_constant, (100.0,), (-1,)),
    Case(motor.motor_speed, (11.1, 10.0, 104.7, 0.1), (None, None, 1, None)),
    Case(motor.motor_torque, (10.0, 0.5, 104.7), (None, None, -1)),
    Case(motor.motor_efficiency, (11.1, 10.0, 0.5, 0.1), (None, None, None, None)),
    Case(motor.most_efficient_current, (11.1, 0.5, 0.1), (0.5, 0.5, -0.5)),
    Case(motor.greatest_efficiency, (11.1, 0.5, 0.1), (None, None, None)),
    Case(motor.electromechanical_time_constant, (2e-5, 0.1, 104.7), (1, 1, 2)),
    Case(motor.spin_up_speed, (0.05, 0.1, 1e-6, 2e-5), (None, None, None, None)),
    Case(motor.spin_up_time, (200.0, 0.1, 1e-6, 2e-5), (None, None, None, 1)),
]
each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.function.__name__)


@each_case
def test_a_vector_gives_what_its_elements_give(case: Case) -> None:
    spread = [value * (1.0 + 0.01 * (i + 1) * np.array([-1.0, 0.0, 2.0])) for i, value in enumerate(case.at)]
    one_by_one = [float(case.function(*arguments)) for arguments in zip(*spread, strict=True)]
    assert_allclose(case.function(*spread), one_by_one, rtol=1e-14)
    assert len(set(one_by_one)) == 3, "the arguments ought to move the result"


@each_case
def test_arguments_broadcast_against_each_other(case: Case) -> None:
    shaped = [
        np.full([3 if axis == i else 1 for axis in range(len(case.at))], value) for i, value in enumerate(case.at)
    ]
    result = np.asarray(case.function(*shaped))
    assert result.shape == (3,) * len(case.at)
    assert_allclose(result, float(case.function(*case.at)), rtol=1e-14)


@each_case
def test_a_missing_argument_makes_a_missing_result_and_only_there(case: Case) -> None:
    for i in range(len(case.at)):
        arguments: list[Any] = list(case.at)
        arguments[i] = np.array([np.nan, case.at[i]])
        result = np.asarray(case.function(*arguments))
        assert np.isnan(result[0])
        assert np.isfinite(result[1])


@each_case
def test_the_result_scales_as_its_dimension_says(case: Case) -> None:
    for i, power in enumerate(case.powers):
        if power is not None:
            doubled = [2.0 * value if i == j else value for j, value in enumerate(case.at)]
            assert_allclose(case.function(*doubled), 2.0**power * case.function(*case.at), rtol=1e-13)


def test_every_public_pointwise_function_is_in_the_table() -> None:
    modules = (advance, air, atmosphere, blade, flight, momentum, motor, rotor)
    public = {name for module in modules for name in module.__all__ if name[0].islower()}
    # These return several arrays, truth values, or an integral over an axis, and have tests of their own.
    apart = {"air_density_sensitivities", "standard_atmosphere", "fit_first_order_motor", "constant_power_endurance"}
    assert {case.function.__name__ for case in CASES} == {n for n in public - apart if not n.endswith("_validity")}
