"""Air: density by CIPM-2007, viscosity, speed of sound."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Bools, Floats, floats

__all__ = [
    "DensitySensitivities",
    "air_density",
    "air_density_sensitivities",
    "air_density_validity",
    "air_viscosity",
    "air_viscosity_validity",
    "saturation_vapour_pressure",
    "speed_of_sound",
    "speed_of_sound_humid",
    "speed_of_sound_humid_validity",
]

_ZERO_CELSIUS = 273.15
_STANDARD_CARBON_DIOXIDE = 4e-4

# Molar gas constant as CIPM-2007 was fixed with it, not as the SI has it since 2019.
_GAS_CONSTANT = 8.314472
_MOLAR_MASS_WATER = 18.01528e-3

# Dry air as ISO 2533 defines it.
_GAS_CONSTANT_DRY = 287.05287
_HEAT_RATIO = 1.4

# The formulae of density are analytic, so they are evaluated on complex numbers as well: their derivatives then come
# out to the last digit without a difference of nearly equal numbers.
_Numbers = NDArray[Any]
_COMPLEX_STEP = 1e-30


class DensitySensitivities(NamedTuple):
    """Partial derivatives of density, by [K], by [Pa], by relative humidity [1] and by mole fraction [1]."""

    temperature: Floats
    pressure: Floats
    humidity: Floats
    carbon_dioxide: Floats


def saturation_vapour_pressure(temperature: ArrayLike) -> Floats:
    """Return the saturation pressure of water vapour over water.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].

    Returns
    -------
    numpy.ndarray
        Same shape [Pa].

    Validity
    --------
    See `air_density_validity`.

    Source
    ------
    [CIPM2007] appendix, "vapour pressure at saturation".

    Examples
    --------
    >>> f"{saturation_vapour_pressure(293.15):.3f}"
    '2339.163'
    """
    return floats(_saturation_vapour_pressure(floats(temperature)))


def air_density(
    temperature: ArrayLike,
    pressure: ArrayLike,
    humidity: ArrayLike,
    *,
    carbon_dioxide: ArrayLike = _STANDARD_CARBON_DIOXIDE,
) -> Floats:
    """Return the density of moist air.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].
    pressure
        Absolute pressure, broadcastable [Pa].
    humidity
        Relative humidity, 0 to 1, broadcastable [1].
    carbon_dioxide
        Mole fraction of carbon dioxide, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [kg/m3].

    Validity
    --------
    The equation is stated for 600 to 1100 hPa and 15 to 27 degC: see `air_density_validity`. Outside it still computes.

    Source
    ------
    [CIPM2007] equations (1) to (4) and appendix, with the molar gas constant 8.314472 J/mol/K of that paper.

    Examples
    --------
    >>> f"{air_density(293.15, 101325.0, 0.5):.6f}"
    '1.199314'
    """
    return floats(_density(floats(temperature), floats(pressure), floats(humidity), floats(carbon_dioxide)))


def air_density_validity(temperature: ArrayLike, pressure: ArrayLike, humidity: ArrayLike) -> Bools:
    """Return True where the equation of `air_density` is stated to hold.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].
    pressure
        Absolute pressure, broadcastable [Pa].
    humidity
        Relative humidity, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape; False where a value is not a number.

    Source
    ------
    [CIPM2007]: 600 to 1100 hPa, 15 to 27 degC.

    Examples
    --------
    >>> bool(air_density_validity(293.15, 101325.0, 0.5)), bool(air_density_validity(308.15, 84000.0, 0.2))
    (True, False)
    """
    celsius, p, h = floats(temperature) - _ZERO_CELSIUS, floats(pressure), floats(humidity)
    # A thermometer's 15 degC must not fail by the last bit of 288.15 - 273.15.
    within = (celsius >= 15.0 - 1e-9) & (celsius <= 27.0 + 1e-9) & (p >= 60_000.0) & (p <= 110_000.0)
    return np.asarray(within & (h >= 0.0) & (h <= 1.0))


def air_density_sensitivities(
    temperature: ArrayLike,
    pressure: ArrayLike,
    humidity: ArrayLike,
    *,
    carbon_dioxide: ArrayLike = _STANDARD_CARBON_DIOXIDE,
) -> DensitySensitivities:
    """Return the partial derivatives of `air_density` by each of its arguments.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].
    pressure
        Absolute pressure, broadcastable [Pa].
    humidity
        Relative humidity, broadcastable [1].
    carbon_dioxide
        Mole fraction of carbon dioxide, broadcastable [1].

    Returns
    -------
    DensitySensitivities
        Each of broadcast shape [kg/m3/K], [kg/m3/Pa], [kg/m3], [kg/m3].

    Source
    ------
    [CIPM2007], differentiated by the complex-step method [SquireTrapp1998].

    Examples
    --------
    >>> by = air_density_sensitivities(293.15, 101325.0, 0.5)
    >>> f"{by.temperature:.6f} {by.pressure:.4e} {by.humidity:.6f}"
    '-0.004428 1.1892e-05 -0.010470'
    """
    arguments = [floats(value) for value in (temperature, pressure, humidity, carbon_dioxide)]

    def derivative(which: int) -> Floats:
        stepped: list[_Numbers] = [*arguments]
        stepped[which] = arguments[which] + 1j * _COMPLEX_STEP
        with np.errstate(invalid="ignore"):  # a missing reading is no fault, but complex division would warn of it
            return floats(np.imag(_density(*stepped)) / _COMPLEX_STEP)

    return DensitySensitivities(derivative(0), derivative(1), derivative(2), derivative(3))


def air_viscosity(temperature: ArrayLike) -> Floats:
    """Return the dynamic viscosity of dry air.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].

    Returns
    -------
    numpy.ndarray
        Same shape [Pa s].

    Validity
    --------
    See `air_viscosity_validity`. Humid air is up to 1 % less viscous than this at 30 degC.

    Source
    ------
    [ISO2533], Sutherland's equation with 1.458e-6 kg/m/s/K^0.5 and 110.4 K; the same as [USSA1976] equation 51.

    Examples
    --------
    >>> f"{air_viscosity(288.15):.5e}"
    '1.78938e-05'
    """
    t = floats(temperature)
    return floats(1.458e-6 * t**1.5 / (t + 110.4))  # [USSA1976] eq. 51


def air_viscosity_validity(temperature: ArrayLike) -> Bools:
    """Return True where Sutherland's equation is used by its source: the lowest 86 km of the standard atmosphere.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].

    Returns
    -------
    numpy.ndarray
        Same shape.

    Source
    ------
    [USSA1976]: it fails for very high and very low temperatures; 180 to 330 K spans what it tabulates.

    Examples
    --------
    >>> bool(air_viscosity_validity(293.15)), bool(air_viscosity_validity(1000.0))
    (True, False)
    """
    t = floats(temperature)
    return np.asarray((t >= 180.0) & (t <= 330.0))


def speed_of_sound(temperature: ArrayLike) -> Floats:
    """Return the speed of sound in dry air, taken as an ideal gas.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].

    Returns
    -------
    numpy.ndarray
        Same shape [m/s].

    Source
    ------
    [ISO2533]: sqrt(1.4 R T) with R = 287.05287 J/kg/K.

    Examples
    --------
    >>> f"{speed_of_sound(288.15):.3f}"
    '340.294'
    """
    return floats(np.sqrt(_HEAT_RATIO * _GAS_CONSTANT_DRY * floats(temperature)))


def speed_of_sound_humid(
    temperature: ArrayLike,
    pressure: ArrayLike,
    humidity: ArrayLike,
    *,
    carbon_dioxide: ArrayLike = _STANDARD_CARBON_DIOXIDE,
) -> Floats:
    """Return the speed of sound in moist air.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].
    pressure
        Absolute pressure, broadcastable [Pa].
    humidity
        Relative humidity, 0 to 1, broadcastable [1].
    carbon_dioxide
        Mole fraction of carbon dioxide, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [m/s].

    Validity
    --------
    0 to 30 degC, 60 to 110 kPa, water vapour up to a mole fraction of 0.06: see `speed_of_sound_humid_validity`.

    Source
    ------
    [Cramer1993] equation (15) with table III. Deviation: the mole fraction of water comes from the vapour pressure of
    [CIPM2007], which is newer than the one in that paper.

    Examples
    --------
    >>> f"{speed_of_sound_humid(293.15, 101325.0, 0.5):.2f}"
    '343.99'
    """
    t_kelvin, p, h = floats(temperature), floats(pressure), floats(humidity)
    t, c = t_kelvin - _ZERO_CELSIUS, floats(carbon_dioxide)
    w = _water_fraction(t_kelvin, p, h)
    # [Cramer1993] eq. (15)
    still = 331.5024 + 0.603055 * t - 0.000528 * t**2
    by_water = (51.471935 + 0.1495874 * t - 0.000782 * t**2) * w - 2.835149 * w**2
    by_pressure = (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p - 2.15e-13 * p**2
    by_carbon_dioxide = (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * c + 29.179762 * c**2
    return floats(still + by_water + by_pressure + by_carbon_dioxide + 0.000486 * w * p * c)


def speed_of_sound_humid_validity(temperature: ArrayLike, pressure: ArrayLike, humidity: ArrayLike) -> Bools:
    """Return True where the polynomial of `speed_of_sound_humid` is stated to hold.

    Parameters
    ----------
    temperature
        Thermodynamic temperature, any shape [K].
    pressure
        Absolute pressure, broadcastable [Pa].
    humidity
        Relative humidity, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape.

    Source
    ------
    [Cramer1993]: 0 to 30 degC, 60 to 110 kPa, mole fraction of water up to 0.06.

    Examples
    --------
    >>> bool(speed_of_sound_humid_validity(293.15, 101325.0, 0.5))
    True
    """
    t, p, h = floats(temperature), floats(pressure), floats(humidity)
    celsius = t - _ZERO_CELSIUS
    within = (celsius >= -1e-9) & (celsius <= 30.0 + 1e-9) & (p >= 60_000.0) & (p <= 110_000.0)
    return np.asarray(within & (h >= 0.0) & (h <= 1.0) & (_water_fraction(t, p, h) <= 0.06))


def _saturation_vapour_pressure(t: _Numbers) -> _Numbers:
    exponent = 1.2378847e-5 * t**2 - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t
    return np.asarray(np.exp(exponent))  # [CIPM2007] appendix


def _water_fraction(t: _Numbers, p: _Numbers, h: _Numbers) -> _Numbers:
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * (t - _ZERO_CELSIUS) ** 2  # [CIPM2007] appendix
    return np.asarray(h * enhancement * _saturation_vapour_pressure(t) / p)  # [CIPM2007] appendix


def _compressibility(t: _Numbers, p: _Numbers, water: _Numbers) -> _Numbers:
    c = t - _ZERO_CELSIUS
    first = 1.58123e-6 - 2.9331e-8 * c + 1.1043e-10 * c**2
    first = first + (5.707e-6 - 2.051e-8 * c) * water + (1.9898e-4 - 2.376e-6 * c) * water**2
    second = 1.83e-11 - 0.765e-8 * water**2
    return np.asarray(1.0 - p / t * first + (p / t) ** 2 * second)  # [CIPM2007] appendix


def _density(t: _Numbers, p: _Numbers, h: _Numbers, carbon_dioxide: _Numbers) -> _Numbers:
    dry = (28.96546 + 12.011 * (carbon_dioxide - _STANDARD_CARBON_DIOXIDE)) * 1e-3  # [CIPM2007] eq. (3)
    water = _water_fraction(t, p, h)
    compressibility = _compressibility(t, p, water)
    moist = 1.0 - water * (1.0 - _MOLAR_MASS_WATER / dry)
    return np.asarray(p * dry / (compressibility * _GAS_CONSTANT * t) * moist)  # [CIPM2007] eq. (1)
