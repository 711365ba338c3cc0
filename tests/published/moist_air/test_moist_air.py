"""Density, its sensitivities, and sound in moist air: CIPM-2007, OIML R 111-1, NPL, Cramer; a property library.

The CIPM-2007 paper prints no worked density. The values for it here are its equations (1) to (4) evaluated outside the
project, with constants read in two public implementations.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.air import (
    air_density,
    air_density_sensitivities,
    air_density_validity,
    air_viscosity,
    saturation_vapour_pressure,
    speed_of_sound,
    speed_of_sound_humid,
)
from support.validation import Printed

CIPM = "CIPM-2007, equations (1) to (4), evaluated outside the project"

# t [degC], p [Pa], h [%], density [kg/m3], within the stated range
DENSITIES = [
    (20, 101325, 50, "1.199314", True),
    (20, 101325, 0, "1.204557", True),
    (23, 101325, 40, "1.187330", True),
    (25, 101325, 60, "1.175922", True),
    (35, 84000, 20, "0.945017", False),
    (40, 70000, 20, "0.772630", False),
    (30, 100000, 90, "1.132946", False),
]
PLACES = [(t + 273.15, float(p), h / 100.0) for t, p, h, _, _ in DENSITIES]


@pytest.mark.parametrize(("t", "p", "h", "density", "valid"), DENSITIES)
def test_density_of_moist_air(printed: Printed, t: float, p: float, h: float, density: str, valid: bool) -> None:
    where = (t + 273.15, p, h / 100.0)
    printed(
        air_density(*where), density, source=CIPM, what=f"density at {t} degC, {p} Pa, {h} % [kg/m3]", relative=1e-6
    )
    assert bool(air_density_validity(*where)) is valid


def test_saturation_vapour_pressure(printed: Printed) -> None:
    printed(
        saturation_vapour_pressure(293.15), "2339.163", source=CIPM, what="vapour pressure at saturation, 20 degC [Pa]"
    )


@pytest.mark.parametrize("place", PLACES)
def test_density_agrees_with_a_property_library(place: tuple[float, float, float]) -> None:
    from CoolProp.HumidAirProp import HAPropsSI

    t, p, h = place
    by_mass_of_dry_air = HAPropsSI("Vha", "T", t, "P", p, "R", h)  # volume per mass of humid air
    assert_allclose(air_density(t, p, h), 1.0 / by_mass_of_dry_air, rtol=1e-4)


def test_density_by_the_approximation_for_weights(printed: Printed) -> None:
    source = "OIML R 111-1:2004, annex E, equation (E.3-1) (from memory)"
    what = "density at 20 degC, 1013.25 hPa, 50 % [kg/m3]"
    printed(air_density(293.15, 101325.0, 0.5), "1.19929", source=source, what=what, relative=2e-4)
    p, t, h = np.meshgrid(np.linspace(900.0, 1100.0, 5), np.linspace(15.0, 27.0, 5), np.linspace(0.0, 80.0, 5))
    approximation = (0.34848 * p - 0.009 * h * np.exp(0.061 * t)) / (273.15 + t)
    assert_allclose(air_density(t + 273.15, p * 100.0, h / 100.0), approximation, rtol=2e-4)


def test_density_by_the_approximation_for_buoyancy(printed: Printed) -> None:
    source = "NPL good practice guidance note on buoyancy correction and air density"
    what = "density at 20 degC, 1013.25 hPa, 50 % [kg/m3]; 4e-4 stated"
    printed(air_density(293.15, 101325.0, 0.5), "1.19928", source=source, what=what, relative=4e-4)


@pytest.mark.parametrize(
    ("field", "step", "what", "published", "computed"),
    [
        ("temperature", -0.1, "-0.1 K", "360", "369"),
        ("pressure", 50.0, "+0.5 hPa", "500", "496"),
        ("humidity", -0.05, "-5 % relative humidity", "350", "436"),
        ("carbon_dioxide", 50e-6, "+50 ppm carbon dioxide", "21", "20.6"),
    ],
)
def test_sensitivity_of_density(
    printed: Printed, field: str, step: float, what: str, published: str, computed: str
) -> None:
    at = (293.15, 101325.0, 0.5)
    change = 1e6 * step * float(getattr(air_density_sensitivities(*at), field) / air_density(*at))
    source = "NPL, How is air density determined? (rounded, state of the air not named)"
    printed(change, published, source=source, what=f"change of density for {what} [ppm]", relative=0.25)
    printed(change, computed, source=CIPM, what=f"change of density for {what} at 20 degC, 50 % [ppm]", relative=0.01)


@pytest.mark.parametrize(("humidity", "speed"), [(0.0, "343.36"), (0.5, "343.99"), (1.0, "344.61")])
def test_speed_of_sound_in_moist_air(printed: Printed, humidity: float, speed: str) -> None:
    printed(
        speed_of_sound_humid(293.15, 101325.0, humidity),
        speed,
        source="Cramer, J. Acoust. Soc. Am. 93 (1993) 2510, equation (15) (coefficients from memory)",
        what=f"speed of sound at 20 degC, 101 325 Pa, {100 * humidity:.0f} % [m/s]",
        absolute=0.05,
    )


def test_speed_of_sound_in_moist_air_by_a_property_library(printed: Printed) -> None:
    source, what = "CoolProp 8, humid air", "speed of sound at 20 degC, 101 325 Pa, 50 % [m/s]"
    printed(speed_of_sound_humid(293.15, 101325.0, 0.5), "343.963", source=source, what=what, absolute=0.05)


def test_speed_of_sound_at_twenty_degrees(printed: Printed) -> None:
    source, what = "ISO 9613-1:1993", "speed of sound at 20 degC [m/s]"
    printed(speed_of_sound(293.15), "343.2", source=source, what=what)


def test_viscosity_agrees_with_a_property_library() -> None:
    from CoolProp.CoolProp import PropsSI

    for t in (273.15, 293.15, 313.15):
        assert_allclose(air_viscosity(t), PropsSI("V", "T", t, "P", 101325.0, "Air"), rtol=6e-3)


def test_leaving_humidity_out_costs_what_it_is_said_to_cost(printed: Printed) -> None:
    # Deters, Ananda, Selig (AIAA 2014-2151) equation (1) is the dry gas law with R = 287.0.
    dry = 101325.0 / (287.0 * 293.15)
    excess = 100.0 * (dry / float(air_density(293.15, 101325.0, 0.5)) - 1.0)
    source = "AIAA 2014-2151, equation (1), against CIPM-2007, evaluated outside the project"
    printed(excess, "0.42", source=source, what="dry gas law above moist air at 20 degC, 50 % [%]")
