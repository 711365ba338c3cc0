"""Every quantity once: its name, SI unit, symbol and the unit it is shown in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from isothrust.quantities.dimension import Dimension
from isothrust.quantities.grammar import read_unit

__all__ = ["CHANNELS", "QUANTITIES", "Quantity"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A kind of quantity that files, channels and tables speak of."""

    name: str
    dimension: Dimension
    si: str
    """SI unit, as the parser reads it."""
    symbol: str
    shown: str
    """Unit that people see."""
    description: str


def _quantity(name: str, si: str, symbol: str, shown: str, description: str) -> Quantity:
    return Quantity(name, read_unit(si).dimension, si, symbol, shown, description)


def _by_name(*quantities: Quantity) -> Mapping[str, Quantity]:
    return MappingProxyType({quantity.name: quantity for quantity in quantities})


CHANNELS: Final = _by_name(
    _quantity("time", "s", "t", "s", "time on the recording's own clock"),
    _quantity("throttle", "1", "δ", "%", "commanded throttle, from 0 at the range's low end to 1 at its high end"),
    _quantity("speed", "rad/s", "ω", "rpm", "mechanical speed of the rotor"),
    _quantity("thrust", "N", "T", "gf", "force along the axis, positive as the propeller pushes"),
    _quantity("torque", "N m", "Q", "N m", "reaction torque about the axis, positive as the motor drives"),
    _quantity("voltage", "V", "V", "V", "supply voltage where the rig senses it"),
    _quantity("current", "A", "I", "A", "supply current, positive into the controller"),
    _quantity("electrical-power", "W", "P_el", "W", "voltage times current into the controller"),
    _quantity("acceleration", "m/s2", "a", "gn", "acceleration of the stand, up to three axes"),
    _quantity("sound", "Pa", "p", "Pa", "sound pressure; without a stated sensitivity only its ratio to a named run"),
    _quantity("mark", "1", "m", "1", "once-per-revolution mark on the accelerometer's own clock"),
    _quantity("temperature", "K", "t", "degC", "temperature of the air"),
    _quantity("pressure", "Pa", "p_air", "hPa", "absolute pressure of the air at the stand, not reduced to sea level"),
    _quantity("humidity", "1", "h", "%", "relative humidity of the air"),
)
"""Quantities that a rig may record."""

_OTHERS: Final = _by_name(
    _quantity("force", "N", "F", "gf", "force on a cell, before it is made a torque by its arm"),
    _quantity("length", "m", "l", "mm", "diameter, pitch, arm, clearance or distance"),
    _quantity("angle", "rad", "φ", "deg", "angle about the axis, in the direction of rotation"),
    _quantity("area", "m2", "S", "cm2", "area of the stand that stands in the slipstream"),
    _quantity("mass", "kg", "m", "g", "mass of a propeller or a motor"),
    _quantity("inertia", "kg m2", "J", "g cm2", "moment of inertia about the axis"),
    _quantity("density", "kg/m3", "ρ", "kg/m3", "density of the air"),
    _quantity("temperature-difference", "K", "Δt", "K", "difference of two temperatures, or the uncertainty of one"),
    _quantity("resistance", "ohm", "R", "mohm", "electrical resistance, at a stated temperature"),
    _quantity("kv", "rad/V s", "KV", "rpm/V", "a motor's speed at no load per volt"),
    _quantity("rate", "Hz", "f_s", "Hz", "samples a second"),
    _quantity("duration", "s", "Δt", "ms", "length of a window, a lag or a rise"),
    _quantity("count", "count", "c", "count", "raw count of a converter, before its scale"),
    _quantity("ratio", "1", "r", "1", "a plain ratio: a lever, a proportion, a coefficient"),
    _quantity("speed-rate", "rad/s2", "dω/dt", "rpm/s", "rate of change of speed"),
    _quantity("thrust-rate", "N/s", "dT/dt", "gf/s", "rate of change of thrust"),
    _quantity("efficacy", "N/W", "T/P", "gf/W", "thrust per power"),
    _quantity("sensitivity", "V/Pa", "S_m", "mV/Pa", "sensitivity of a microphone"),
    _quantity("energy", "J", "E", "Wh", "energy that a battery holds or gives"),
    _quantity("charge", "A s", "C", "mAh", "electric charge"),
)

QUANTITIES: Final[Mapping[str, Quantity]] = MappingProxyType({**CHANNELS, **_OTHERS})
"""Every quantity that a unit may be asked for: the channels, and what tables and rig files state besides."""
