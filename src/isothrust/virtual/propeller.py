"""Simulated propellers: coefficients from tables with a Reynolds knee, blades that twist, and flutter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.virtual.air import STANDARD_AIR, TrueAir
from isothrust.virtual.monotone import Floats, Monotone

__all__ = ["Factors", "Flutter", "Propeller", "coefficient_table", "make_propeller"]

_SPEED_STEPS = (12, 13, 15, 15, 15, 14, 14, 14, 16, 17, 20, 21, 22, 23, 24, 26, 27, 29, 31, 34, 36, 42, 50, 70, 100)
"""Steps between the speeds of the tables [rev/s], from 0 to 700: closer together where the flow changes."""
_REFERENCE = 14_000 / 60
"""Speed [rev/s] at which the coefficients are named."""


@dataclass(frozen=True, slots=True)
class Flutter:
    """Blades that flutter beyond a speed: more power, a little less thrust, and both wander."""

    onset: float
    """[rev/s]"""
    power_rise: float = 0.05
    """Greatest rise of CP [1], reached `width` beyond the onset."""
    thrust_loss: float = 0.0
    """Greatest loss of CT [1]."""
    width: float = 60.0
    """[rev/s]"""
    wander: float = 0.3
    """Standard deviation of the excess, in proportion to it."""
    wander_time: float = 0.15
    """Correlation time of the wander [s]."""

    def growth(self, n: Floats) -> Floats:
        """How far flutter has grown at n [rev/s]: 0 up to the onset, with a corner there, 1 from `width` beyond."""
        return np.asarray(np.sin(np.clip((n - self.onset) / self.width, 0.0, 1.0) * np.pi / 2), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Factors:
    """Factors on CT and CP: of a sample or of a mounting."""

    thrust: float = 1.0
    power: float = 1.0

    def times(self, other: Factors) -> Factors:
        """Return both at once."""
        return Factors(self.thrust * other.thrust, self.power * other.power)


@dataclass(frozen=True, slots=True, eq=False)
class Propeller:
    """A design's truth. Coefficients are by revolutions and diameter: T = CT rho n2 D4, P = CP rho n3 D5."""

    name: str
    diameter: float
    """[m]"""
    pitch: float
    """[m]"""
    blades: int
    ct: Monotone
    """Against Reynolds-equivalent speed [rev/s]: the speed times rho mu0/(rho0 mu)."""
    cp: Monotone
    thrust_twist: float = 0.03
    """Part of CT lost to twisting blades at 400 rev/s in standard air."""
    power_twist: float = 0.04
    flutter: Flutter | None = None
    inertia: float = 1.2e-5
    """Of the propeller alone [kg m2]."""
    mass: float = 7e-3
    """[kg]"""
    maker: str = ""
    note: str = ""

    def thrust_coefficient(self, n: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """CT at n [rev/s], mean over the wander of flutter."""
        equivalent, loaded, speed = self._scaled(n, air)
        value = self.ct(equivalent) * (1 - self.thrust_twist * (loaded / 400) ** 1.8)
        if self.flutter is not None:
            value = value * (1 - self.flutter.thrust_loss * self.flutter.growth(speed))
        return np.asarray(value, dtype=np.float64)

    def power_coefficient(self, n: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """CP at n [rev/s], mean over the wander of flutter."""
        equivalent, loaded, speed = self._scaled(n, air)
        value = self.cp(equivalent) * (1 - self.power_twist * (loaded / 400) ** 1.8)
        if self.flutter is not None:
            value = value * (1 + self.flutter.power_rise * self.flutter.growth(speed))
        return np.asarray(value, dtype=np.float64)

    @staticmethod
    def _scaled(n: Floats | float, air: TrueAir) -> tuple[Floats, Floats, Floats]:
        speed = np.asarray(n, dtype=np.float64)
        ratio = air.density / STANDARD_AIR.density
        equivalent = speed * ratio * STANDARD_AIR.viscosity / air.viscosity
        return equivalent, speed * np.sqrt(ratio), speed


def coefficient_table(value: float, *, power: float, depth: float, knee: float = 95.0) -> Monotone:
    """Return a table of CT or CP that is `value` at 14 000 rpm, against Reynolds-equivalent speed [rev/s].

    Above `knee` [rev/s] it follows a power of speed; below, where the flow separates, it bends away and loses
    (negative: gains) the part `depth` of itself.
    """
    speed = np.unique(np.append(np.cumsum((0.0, *_SPEED_STEPS)), knee))
    trend = (np.maximum(speed, 20.0) / _REFERENCE) ** power
    below = np.tanh(1.2 * np.maximum(0.0, np.log(knee / np.maximum(speed, 1.0))))
    return Monotone.through(speed, value * trend * (1 - depth * below))


def make_propeller(
    name: str, *, diameter: float, pitch: float, blades: int, ct: float, cp: float, inertia: float = 1.2e-5
) -> Propeller:
    """Make a propeller from its CT and CP at 14 000 rpm, before twist; `dataclasses.replace` for the rest."""
    thrust = coefficient_table(ct, power=0.045, depth=0.12)
    power = coefficient_table(cp, power=-0.02, depth=-0.10)
    return Propeller(name, diameter, pitch, blades, thrust, power, inertia=inertia)
