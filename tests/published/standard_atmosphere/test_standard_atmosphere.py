"""ISO 2533 standard atmosphere, Sutherland's viscosity and the speed of sound; two programs for it as witnesses."""

from __future__ import annotations

import pytest
from numpy.testing import assert_allclose

from isothrust.science.air import air_viscosity, speed_of_sound
from isothrust.science.atmosphere import geopotential_altitude, standard_atmosphere
from support.validation import Printed

ISO = "ISO 2533:1975"


def test_sea_level(printed: Printed) -> None:
    state = standard_atmosphere(0.0)
    printed(state.density, "1.2250", source=ISO, what="density at sea level [kg/m3]", relative=1e-5)
    printed(speed_of_sound(288.15), "340.294", source=ISO, what="speed of sound at sea level [m/s]")
    printed(air_viscosity(288.15), "1.78938e-5", source=ISO, what="viscosity at sea level [Pa s]")
    kinematic = air_viscosity(288.15) / state.density
    printed(kinematic, "1.46072e-5", source=ISO, what="kinematic viscosity at sea level [m2/s]")


@pytest.mark.parametrize(
    ("altitude", "temperature", "pressure", "density"),
    [
        (1500, "278.4023", "84559.7", "1.05810"),
        (2500, None, "74691.7", "0.956954"),
        (5000, None, "54048.3", "0.736429"),
    ],
)
def test_geometric_altitude(
    printed: Printed, altitude: int, temperature: str | None, pressure: str, density: str
) -> None:
    state = standard_atmosphere(geopotential_altitude(altitude))
    at = f"at {altitude} m geometric"
    if temperature:
        printed(state.temperature, temperature, source=ISO, what=f"temperature {at} [K]")
    printed(state.pressure, pressure, source=ISO, what=f"pressure {at} [Pa]")
    printed(state.density, density, source=ISO, what=f"density {at} [kg/m3]", relative=1e-5)


def test_sound_and_viscosity_at_altitude(printed: Printed) -> None:
    t = standard_atmosphere(geopotential_altitude(1500.0)).temperature
    printed(speed_of_sound(t), "334.489", source=ISO, what="speed of sound at 1500 m geometric [m/s]")
    printed(air_viscosity(t), "1.74196e-5", source=ISO, what="viscosity at 1500 m geometric [Pa s]")


def test_geopotential_altitude_is_another_altitude(printed: Printed) -> None:
    state, at = standard_atmosphere(1500.0), "at 1500 m geopotential"
    printed(state.temperature, "278.400", source=ISO, what=f"temperature {at} [K]")
    printed(state.pressure, "84555.99", source=ISO, what=f"pressure {at} [Pa]")
    printed(state.density, "1.058067", source=ISO, what=f"density {at} [kg/m3]", relative=1e-6)


@pytest.mark.parametrize(
    ("temperature", "viscosity"),
    [(273.15, "1.716079e-5"), (288.15, "1.789380e-5"), (293.15, "1.813406e-5"), (313.15, "1.907574e-5")],
)
def test_viscosity(printed: Printed, temperature: float, viscosity: str) -> None:
    source = "U.S. Standard Atmosphere 1976, equation (51), evaluated outside the project"
    printed(
        air_viscosity(temperature), viscosity, source=source, what=f"viscosity at {temperature} K [Pa s]", relative=1e-6
    )


@pytest.mark.parametrize(("temperature", "speed"), [(273.15, "331.318"), (293.15, "343.234"), (298.15, "346.148")])
def test_speed_of_sound(printed: Printed, temperature: float, speed: str) -> None:
    source = f"{ISO}, sqrt(1.4 R T), evaluated outside the project"
    printed(
        speed_of_sound(temperature),
        speed,
        source=source,
        what=f"speed of sound at {temperature} K [m/s]",
        relative=2e-6,
    )


@pytest.mark.parametrize("altitude", [0.0, 500.0, 1500.0, 4000.0, 9000.0, 11_500.0, 15_000.0])
def test_two_other_programs_agree(altitude: float) -> None:
    from ambiance import Atmosphere
    from fluids.atmosphere import ATMOSPHERE_1976

    ours = standard_atmosphere(geopotential_altitude(altitude))
    one, other = Atmosphere(altitude), ATMOSPHERE_1976(altitude)
    assert_allclose(ours, [float(x[0]) for x in (one.temperature, one.pressure, one.density)], rtol=3e-6)
    assert_allclose(ours, [other.T, other.P, other.rho], rtol=2e-6)
    assert_allclose(air_viscosity(ours.temperature), other.mu, rtol=1e-6)
