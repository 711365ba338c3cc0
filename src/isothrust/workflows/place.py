"""The air of the place where a craft is to fly."""

from __future__ import annotations

from isothrust.errors import UsageError, Where
from isothrust.records.prediction import Place
from isothrust.science.air import air_viscosity, speed_of_sound
from isothrust.science.atmosphere import geopotential_altitude, standard_atmosphere, standard_atmosphere_validity

__all__ = ["STANDARD_TEMPERATURE", "place_of"]

STANDARD_TEMPERATURE = 288.15
"""[K]"""
COLDEST, HOTTEST = 203.15, 333.15
"""Air temperatures that anybody flies in [K]."""


def place_of(density: float, altitude: float | None, temperature: float | None) -> Place:
    """Return the air at an altitude [m] and a temperature [K]; the book's standard air where neither is said.

    Raises
    ------
    UsageError
        `out-of-range` where the standard atmosphere does not reach there, or nobody flies in such air.
    """
    if altitude is None and temperature is None:
        words = f"standard air, {density:.4g} kg/m3"
        return _place(density, STANDARD_TEMPERATURE, words)
    height = geopotential_altitude(altitude or 0.0)
    if not standard_atmosphere_validity(height):
        raise _out(f"an altitude of {altitude:g} m", "--altitude", "-2000 m to 20 000 m")
    state = standard_atmosphere(height)
    warm = float(state.temperature) if temperature is None else temperature
    if not COLDEST <= warm <= HOTTEST:
        raise _out(f"air of {warm - 273.15:.1f} degC", "--temperature", "-70 degC to 60 degC")
    # The pressure of the altitude holds; the density goes as one over the temperature (ideal gas).
    there = float(state.density * state.temperature) / warm
    words = f"{altitude or 0.0:.0f} m, {warm - 273.15:.1f} degC, {there:.4g} kg/m3"
    return _place(there, warm, words)


def _place(density: float, temperature: float, words: str) -> Place:
    return Place(density, float(air_viscosity(temperature)), float(speed_of_sound(temperature)), temperature, words)


def _out(what: str, option: str, expected: str) -> UsageError:
    return UsageError(
        f"{what} is out of range", code="out-of-range", where=Where(option), expected=expected, fix="mend the value"
    )
