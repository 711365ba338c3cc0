"""Dimensions: what kind of thing a unit measures, as exponents of seven bases.

Angle is a base of its own, so that a rate of events (Hz) is never taken for a speed of rotation (rad/s, rev/s, rpm);
count is one, so that raw converter counts cannot pass for a dimensionless figure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

__all__ = ["DIMENSIONLESS", "Dimension"]


@dataclass(frozen=True, slots=True)
class Dimension:
    """Exponents of the base dimensions."""

    length: int = 0
    mass: int = 0
    time: int = 0
    current: int = 0
    temperature: int = 0
    angle: int = 0
    count: int = 0

    def __mul__(self, other: Dimension) -> Dimension:
        """Return the dimension of a product."""
        return Dimension(*(mine + theirs for mine, theirs in zip(self.exponents, other.exponents, strict=True)))

    def __pow__(self, exponent: int) -> Dimension:
        """Return the dimension of a power."""
        return Dimension(*(mine * exponent for mine in self.exponents))

    @property
    def exponents(self) -> tuple[int, ...]:
        """The exponents in the order of the bases."""
        return tuple(getattr(self, base.name) for base in fields(self))

    @property
    def name(self) -> str:
        """The kind of thing in words, with its article: 'a force', 'a torque'; else its product of base units."""
        return _NAMES.get(self, f"a quantity in {self.si}")

    @property
    def si(self) -> str:
        """The SI unit in a form that the parser reads."""
        return _SI_UNITS.get(self) or _base_product(self)

    @property
    def words(self) -> str:
        """Name and SI unit together: 'a torque (N m)'."""
        if self not in _NAMES:
            return self.name
        return self.name if self == DIMENSIONLESS else f"{self.name} ({self.si})"


DIMENSIONLESS: Final = Dimension()

_BASE_UNITS: Final = ("m", "kg", "s", "A", "K", "rad", "count")

# (name, SI unit, length, mass, time, current, temperature, angle, count)
_NAMED: Final[tuple[tuple[str, str, Dimension], ...]] = (
    ("a dimensionless number", "1", DIMENSIONLESS),
    ("a length", "m", Dimension(length=1)),
    ("an area", "m2", Dimension(length=2)),
    ("a volume", "m3", Dimension(length=3)),
    ("a mass", "kg", Dimension(mass=1)),
    ("a time", "s", Dimension(time=1)),
    ("a rate of events", "Hz", Dimension(time=-1)),
    ("a velocity", "m/s", Dimension(length=1, time=-1)),
    ("an acceleration", "m/s2", Dimension(length=1, time=-2)),
    ("an angle", "rad", Dimension(angle=1)),
    ("a speed of rotation", "rad/s", Dimension(time=-1, angle=1)),
    ("a rate of change of speed", "rad/s2", Dimension(time=-2, angle=1)),
    ("a force", "N", Dimension(length=1, mass=1, time=-2)),
    ("a rate of change of force", "N/s", Dimension(length=1, mass=1, time=-3)),
    ("a torque", "N m", Dimension(length=2, mass=1, time=-2)),
    ("a moment of mass", "kg m", Dimension(length=1, mass=1)),
    ("a moment of inertia", "kg m2", Dimension(length=2, mass=1)),
    ("a density", "kg/m3", Dimension(length=-3, mass=1)),
    ("a pressure", "Pa", Dimension(length=-1, mass=1, time=-2)),
    ("a power", "W", Dimension(length=2, mass=1, time=-3)),
    ("a force per power", "N/W", Dimension(length=-1, time=1)),
    ("a current", "A", Dimension(current=1)),
    ("a charge", "A s", Dimension(time=1, current=1)),
    ("a voltage", "V", Dimension(length=2, mass=1, time=-3, current=-1)),
    ("a resistance", "ohm", Dimension(length=2, mass=1, time=-3, current=-2)),
    ("a speed of rotation per voltage", "rad/V s", Dimension(length=-2, mass=-1, time=2, current=1, angle=1)),
    ("a voltage per pressure", "V/Pa", Dimension(length=3, time=-1, current=-1)),
    ("a temperature", "K", Dimension(temperature=1)),
    ("a number of counts", "count", Dimension(count=1)),
)
_NAMES: Final[Mapping[Dimension, str]] = {dimension: name for name, _, dimension in _NAMED}
_SI_UNITS: Final[Mapping[Dimension, str]] = {dimension: si for _, si, dimension in _NAMED}


def _base_product(dimension: Dimension) -> str:
    above = _factors(dimension, sign=1)
    below = _factors(dimension, sign=-1)
    return (" ".join(above) or "1") + ("/" + " ".join(below) if below else "")


def _factors(dimension: Dimension, *, sign: int) -> list[str]:
    pairs = [(unit, sign * exponent) for unit, exponent in zip(_BASE_UNITS, dimension.exponents, strict=True)]
    return [unit if exponent == 1 else f"{unit}{exponent}" for unit, exponent in pairs if exponent > 0]
