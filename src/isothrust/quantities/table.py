"""The unit table: about sixty units with exact factors, and the other spellings that logs and people use.

Factors are exact by definition (NIST SP 811; ISO 80000), save the two mercury columns, which are conventional.
There are no automatic prefixes: a unit that is not listed is refused by name rather than guessed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from isothrust.quantities.dimension import DIMENSIONLESS, Dimension

__all__ = ["ALIASES", "FORCE_OF_MASS", "OFFSETS", "STANDARD_GRAVITY", "UNITS"]

STANDARD_GRAVITY: Final = 9.80665  # m/s2, exact (3rd CGPM, 1901)

_INCH: Final = 0.0254
_FOOT: Final = 12 * _INCH
_POUND: Final = 0.45359237
_OUNCE: Final = _POUND / 16
_POUND_FORCE: Final = _POUND * STANDARD_GRAVITY
_MINUTE: Final = 60.0
_HOUR: Final = 3600.0

_LENGTH: Final = Dimension(length=1)
_MASS: Final = Dimension(mass=1)
_TIME: Final = Dimension(time=1)
_RATE: Final = Dimension(time=-1)
_CURRENT: Final = Dimension(current=1)
_TEMPERATURE: Final = Dimension(temperature=1)
_ANGLE: Final = Dimension(angle=1)
_COUNT: Final = Dimension(count=1)
_VELOCITY: Final = _LENGTH * _RATE
_ACCELERATION: Final = _VELOCITY * _RATE
_FORCE: Final = _MASS * _ACCELERATION
_TORQUE: Final = _FORCE * _LENGTH
_PRESSURE: Final = _FORCE * _LENGTH**-2
_POWER: Final = _TORQUE * _RATE
_VOLTAGE: Final = _POWER * _CURRENT**-1
_RESISTANCE: Final = _VOLTAGE * _CURRENT**-1

UNITS: Final[Mapping[str, tuple[float, Dimension]]] = MappingProxyType(
    {
        "1": (1.0, DIMENSIONLESS),
        "%": (0.01, DIMENSIONLESS),
        "ppm": (1e-6, DIMENSIONLESS),
        "count": (1.0, _COUNT),
        "m": (1.0, _LENGTH),
        "cm": (0.01, _LENGTH),
        "mm": (0.001, _LENGTH),
        "um": (1e-6, _LENGTH),
        "km": (1000.0, _LENGTH),
        "in": (_INCH, _LENGTH),
        "ft": (_FOOT, _LENGTH),
        "kg": (1.0, _MASS),
        "g": (0.001, _MASS),
        "mg": (1e-6, _MASS),
        "lb": (_POUND, _MASS),
        "oz": (_OUNCE, _MASS),
        "slug": (_POUND_FORCE / _FOOT, _MASS),
        "s": (1.0, _TIME),
        "ms": (0.001, _TIME),
        "us": (1e-6, _TIME),
        "ns": (1e-9, _TIME),
        "min": (_MINUTE, _TIME),
        "h": (_HOUR, _TIME),
        "Hz": (1.0, _RATE),
        "kHz": (1000.0, _RATE),
        "rad": (1.0, _ANGLE),
        "deg": (math.pi / 180, _ANGLE),
        "rev": (2 * math.pi, _ANGLE),
        "rpm": (2 * math.pi / _MINUTE, _ANGLE * _RATE),
        "knot": (1852 / _HOUR, _VELOCITY),
        "mph": (0.44704, _VELOCITY),
        "gn": (STANDARD_GRAVITY, _ACCELERATION),
        "N": (1.0, _FORCE),
        "mN": (0.001, _FORCE),
        "kN": (1000.0, _FORCE),
        "gf": (0.001 * STANDARD_GRAVITY, _FORCE),
        "kgf": (STANDARD_GRAVITY, _FORCE),
        "lbf": (_POUND_FORCE, _FORCE),
        "ozf": (_OUNCE * STANDARD_GRAVITY, _FORCE),
        "Nm": (1.0, _TORQUE),
        "mNm": (0.001, _TORQUE),
        "Nmm": (0.001, _TORQUE),
        "Ncm": (0.01, _TORQUE),
        "Pa": (1.0, _PRESSURE),
        "hPa": (100.0, _PRESSURE),
        "kPa": (1000.0, _PRESSURE),
        "mbar": (100.0, _PRESSURE),
        "bar": (1e5, _PRESSURE),
        "atm": (101325.0, _PRESSURE),
        "psi": (_POUND_FORCE / _INCH**2, _PRESSURE),
        "mmHg": (133.322387415, _PRESSURE),
        "inHg": (3386.389, _PRESSURE),
        "A": (1.0, _CURRENT),
        "mA": (0.001, _CURRENT),
        "Ah": (_HOUR, _CURRENT * _TIME),
        "mAh": (0.001 * _HOUR, _CURRENT * _TIME),
        "V": (1.0, _VOLTAGE),
        "mV": (0.001, _VOLTAGE),
        "uV": (1e-6, _VOLTAGE),
        "ohm": (1.0, _RESISTANCE),
        "mohm": (0.001, _RESISTANCE),
        "W": (1.0, _POWER),
        "mW": (0.001, _POWER),
        "kW": (1000.0, _POWER),
        "hp": (550 * _FOOT * _POUND_FORCE, _POWER),
        "PS": (75 * STANDARD_GRAVITY, _POWER),
        "J": (1.0, _TORQUE),
        "Wh": (_HOUR, _TORQUE),
        "K": (1.0, _TEMPERATURE),
        "degC": (1.0, _TEMPERATURE),
        "degF": (5 / 9, _TEMPERATURE),
    }
)
"""Unit -> (SI units in one of it, dimension)."""

OFFSETS: Final[Mapping[str, float]] = MappingProxyType({"degC": 273.15, "degF": 459.67 * 5 / 9})
"""SI value [K] of a reading of zero in the units that may only stand alone."""

FORCE_OF_MASS: Final[Mapping[str, str]] = MappingProxyType(
    {"g": "gf", "kg": "kgf", "lb": "lbf", "oz": "ozf", "slug": "lbf"}
)
"""The force unit that people mean when they write a mass for a force."""

ALIASES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pct": "%",
        "percent": "%",
        "counts": "count",
        "inch": "in",
        "inches": "in",
        '"': "in",
        "feet": "ft",
        "lbs": "lb",
        "gram": "g",
        "grams": "g",
        "sec": "s",
        "secs": "s",
        "second": "s",
        "seconds": "s",
        "usec": "us",
        "msec": "ms",
        "minute": "min",
        "minutes": "min",
        "hour": "h",
        "hours": "h",
        "hr": "h",
        "hz": "Hz",
        "khz": "kHz",
        "turn": "rev",
        "turns": "rev",
        "RPM": "rpm",
        "Rpm": "rpm",
        "kn": "knot",
        "kt": "knot",
        "grf": "gf",
        "pascal": "Pa",
        "amp": "A",
        "amps": "A",
        "Amp": "A",
        "Amps": "A",
        "ampere": "A",
        "volt": "V",
        "volts": "V",
        "Volt": "V",
        "Volts": "V",
        "watt": "W",
        "watts": "W",
        "Watt": "W",
        "Watts": "W",
        "Ohm": "ohm",
        "ohms": "ohm",
        "mOhm": "mohm",
        "kelvin": "K",
        "celsius": "degC",
        "Celsius": "degC",
        "DegC": "degC",
        "DegF": "degF",
        "fahrenheit": "degF",
        "Fahrenheit": "degF",
    }
)
"""Other spellings of the same units. Never a change of meaning: `kV` is not here, and `g` stays a mass."""
