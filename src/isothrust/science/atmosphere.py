"""The standard atmosphere of ISO 2533, for defaults and altitude."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Bools, Floats, floats

__all__ = ["AirState", "geopotential_altitude", "standard_atmosphere", "standard_atmosphere_validity"]

# Constants that define it.
_GAS_CONSTANT_DRY = 287.05287
_GRAVITY = 9.80665
_EARTH_RADIUS = 6_356_766.0
_SEA_LEVEL_TEMPERATURE = 288.15
_SEA_LEVEL_PRESSURE = 101_325.0
_LAPSE = 6.5e-3
_TROPOPAUSE = 11_000.0


class AirState(NamedTuple):
    """Temperature [K], pressure [Pa] and density [kg/m3] of still air."""

    temperature: Floats
    pressure: Floats
    density: Floats


def geopotential_altitude(altitude: ArrayLike) -> Floats:
    """Return the geopotential altitude of a geometric one.

    Parameters
    ----------
    altitude
        Height above mean sea level as a tape would measure it, any shape [m].

    Returns
    -------
    numpy.ndarray
        Same shape [m].

    Source
    ------
    [ISO2533]: H = r h/(r + h), r = 6 356 766 m.

    Examples
    --------
    >>> f"{geopotential_altitude(1500.0):.2f}"
    '1499.65'
    """
    h = floats(altitude)
    return floats(_EARTH_RADIUS * h / (_EARTH_RADIUS + h))


def standard_atmosphere(geopotential: ArrayLike) -> AirState:
    """Return the standard atmosphere at a geopotential altitude.

    Parameters
    ----------
    geopotential
        Geopotential altitude, any shape [m]; see `geopotential_altitude` for a geometric one.

    Returns
    -------
    AirState
        Temperature [K], pressure [Pa] and density [kg/m3], each of the same shape.

    Validity
    --------
    -2 to 20 km: see `standard_atmosphere_validity`.

    Source
    ------
    [ISO2533]: 6.5 K/km below 11 km, then 216.65 K.

    Examples
    --------
    >>> state = standard_atmosphere(1500.0)
    >>> f"{state.temperature:.2f} {state.pressure:.2f} {state.density:.6f}"
    '278.40 84555.99 1.058067'
    """
    h = floats(geopotential)
    below = np.minimum(h, _TROPOPAUSE)
    temperature = floats(_SEA_LEVEL_TEMPERATURE - _LAPSE * below)
    exponent = _GRAVITY / (_LAPSE * _GAS_CONSTANT_DRY)
    at_layer = _SEA_LEVEL_PRESSURE * (temperature / _SEA_LEVEL_TEMPERATURE) ** exponent  # gradient layer
    pressure = floats(at_layer * np.exp(-_GRAVITY * (h - below) / (_GAS_CONSTANT_DRY * temperature)))  # isothermal
    return AirState(temperature, pressure, floats(pressure / (_GAS_CONSTANT_DRY * temperature)))


def standard_atmosphere_validity(geopotential: ArrayLike) -> Bools:
    """Return True where `standard_atmosphere` follows its source.

    Parameters
    ----------
    geopotential
        Geopotential altitude, any shape [m].

    Returns
    -------
    numpy.ndarray
        Same shape.

    Source
    ------
    [ISO2533]: the two lowest layers end at 20 km; its tables begin at -2 km.

    Examples
    --------
    >>> bool(standard_atmosphere_validity(1500.0)), bool(standard_atmosphere_validity(25_000.0))
    (True, False)
    """
    h = floats(geopotential)
    return np.asarray((h >= -2_000.0) & (h <= 20_000.0))
