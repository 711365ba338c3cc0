"""Momentum theory, conventions of coefficients, slipstream and tunnel corrections."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.advance import tunnel_velocity_ratio
from isothrust.science.momentum import (
    axial_induced_velocity,
    ideal_hover_power,
    induced_velocity,
    rotor_power_coefficient,
    rotor_thrust_coefficient,
    slipstream_thrust_ratio,
)
from isothrust.science.rotor import figure_of_merit_from_coefficients, power_coefficient_from_torque_coefficient
from support.validation import Printed

LEISHMAN = "Leishman, Principles of Helicopter Aerodynamics, chapter 2"
HOUGHTON = "Houghton & Carpenter, Aerodynamics for Engineering Students (from memory)"
CLOSED = "closed form, worked out outside the project"


def test_coefficients_of_propellers_and_rotors(printed: Printed) -> None:
    thrust, power = rotor_thrust_coefficient(1.0), rotor_power_coefficient(1.0)
    printed(thrust, "0.12900614", source=LEISHMAN, what="CT of a rotor over CT of a propeller, 4/pi^3")
    printed(power, "0.04106393", source=LEISHMAN, what="CP of a rotor over CP of a propeller, 4/pi^4")
    half = 2.0 * thrust
    printed(half, "0.25801228", source="older texts, half-density convention", what="CT over CT of a propeller, 8/pi^3")
    torque = 1.0 / power_coefficient_from_torque_coefficient(1.0)
    printed(torque, "0.1591549", source="AIAA 2014-2151, equations (2) to (8)", what="CQ over CP")
    fm = figure_of_merit_from_coefficients(1.0, 1.0)
    printed(fm, "0.79788456", source=LEISHMAN, what="figure of merit over CT^1.5/CP, sqrt(2/pi)")


def test_hover(printed: Printed) -> None:
    v = induced_velocity(9.80665, 1.225, 0.254)
    printed(v, "8.887889", source=CLOSED, what="induced velocity of 9.80665 N on 254 mm [m/s]")
    printed(2.0 * v, "17.775779", source=CLOSED, what="far wake of 9.80665 N on 254 mm [m/s]")
    power = ideal_hover_power(9.80665, 1.225, 0.254)
    printed(power, "87.16042", source=CLOSED, what="ideal power of 9.80665 N on 254 mm [W]")


@pytest.mark.parametrize(
    ("x", "ratio"),
    [
        (0.0, "1"),
        (0.5, "0.7807764"),
        (1.0, "0.6180340"),
        (2.0, "0.4142136"),
        (-2.0, "1"),
        (-2.5, "0.5"),
        (-3.0, "0.3819660"),
    ],
)
def test_axial_flight(printed: Printed, x: float, ratio: str) -> None:
    what = f"induced velocity over that in hover, at {x:g} times it"
    printed(axial_induced_velocity(x, 1.0), ratio, source=LEISHMAN, what=what, relative=1e-7)


def test_slow_descent_is_refused() -> None:
    assert np.isnan(axial_induced_velocity([-1.999, -1.0, -0.001], 1.0)).all()


def test_tilt_rotor_in_hover(printed: Printed) -> None:
    source = f"{LEISHMAN}, worked example of a tilt rotor (from memory, recomputed)"
    foot, pound, slug = 0.3048, 4.4482216152605, 515.3788
    thrust, density, diameter = 30250.0 * pound, 0.002378 * slug, 38.0 * foot
    v = induced_velocity(thrust, density, diameter) / foot
    printed(v, "74.888", source=source, what="induced velocity, 30 250 lbf on 38 ft [ft/s]", relative=5e-4)
    power = ideal_hover_power(thrust, density, diameter) / (550.0 * foot * pound)
    printed(power, "4118.8", source=source, what="ideal power of one rotor [hp]", relative=5e-4)
    printed(
        power / 0.75,
        "5491.8",
        source=source,
        what="power of one rotor at a figure of merit of 0.75 [hp]",
        relative=5e-4,
    )


def test_airscrew_at_speed(printed: Printed) -> None:
    source = f"{HOUGHTON}, example 9.1"
    speed, thrust = 120.0, 4000.0
    v = axial_induced_velocity(speed, induced_velocity(thrust, 1.226, 2.5))
    printed(v / speed, "0.02257", source=source, what="inflow factor, 4000 N on 2.5 m at 120 m/s", relative=1e-3)
    printed(speed / (speed + v), "0.9779", source=source, what="ideal efficiency", relative=1e-3)
    printed(thrust * (speed + v) / 1e3, "491", source=source, what="least power [kW]", relative=1e-3)


def test_helicopter_climbing(printed: Printed) -> None:
    source = f"{HOUGHTON}, chapter 9, exercise"
    lift = 170.0 * np.pi / 4.0 * 16.0**2
    hover = induced_velocity(lift, 1.225, 16.0)
    climbs = np.linspace(0.0, 5.0, 5001)
    used = lift * (climbs + axial_induced_velocity(climbs, hover))
    climb = np.interp(0.53 * 600e3, used, climbs) * 60.0
    printed(climb, "110", source=source, what="climb on 53 % of 600 kW [m/min]", relative=0.01)


def test_stand_in_the_slipstream(printed: Printed) -> None:
    source = "Selig & Ananda, UILU ENG 15-0501 (2015), equations (5) to (15), iterated outside the project"
    thrust = 5.0 * slipstream_thrust_ratio(0.002, 0.2286)
    printed(thrust, "5.061662", source=source, what="thrust for 5 N read behind 20 cm2, 228.6 mm [N]")
    # Common practice, no published source: 20 cm2 costs 4 % at 5 inch and 2 % at 7 inch.
    assert 0.035 < float(slipstream_thrust_ratio(0.002, 0.127)) - 1.0 < 0.045
    assert 0.015 < float(slipstream_thrust_ratio(0.002, 0.1778)) - 1.0 < 0.025


def test_tunnel_walls(printed: Printed) -> None:
    source = "AIAA 2014-2151, equation (10), evaluated outside the project"
    printed(tunnel_velocity_ratio(1.0, 0.05), "0.985566", source=source, what="airspeed ratio at tau = 1, alpha = 0.05")
