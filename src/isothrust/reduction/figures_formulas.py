"""Every figure of a run as a formula of its fitted curves.

Each formula is written once. Asked at a speed, the speed is a constant; asked at a thrust, the speed is itself a
function of the thrust curve (`figures_thrust`), and `Sensitive` carries the difference into the gradient.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures_sensitive import Sensitive, curve_at
from isothrust.science.air import speed_of_sound

__all__ = ["AT_ROOT_THRUST", "AT_SPEED_POINT", "STANDARD_SPEED_OF_SOUND", "Formula", "Point"]

STANDARD_SPEED_OF_SOUND = float(speed_of_sound(288.15))
"""[m/s] of dry air at the sea-level temperature of ISO 2533:1975: tip Mach is stated for that air."""


@dataclass(frozen=True, slots=True)
class Point:
    """Operating points (m,) of one run, in standard air; `x` is the speed [rad/s], or sqrt(T) [N^0.5] without one."""

    run: ReducedRun
    x: Sensitive
    diameter: float | None

    def curve(self, name: str) -> Sensitive:
        """Return a fitted curve at these points."""
        return curve_at(self.run.curves[name], self.x)

    @property
    def radius(self) -> float:
        """Nominal radius [m]."""
        assert self.diameter is not None
        return 0.5 * self.diameter

    @property
    def disc_area(self) -> float:
        """Nominal disc area [m2]."""
        return math.pi * self.radius**2


@dataclass(frozen=True, slots=True)
class Formula:
    """What a figure needs, and how it follows from it."""

    curves: tuple[str, ...]
    value: Callable[[Point], Sensitive]
    needs_diameter: bool = False
    needs_density: bool = False
    of_the_day: bool = False
    """True where a thrust is meant as it was pulled in the air of the day: nothing refers the figure elsewhere."""


def _thrust(point: Point) -> Sensitive:
    return point.curve("thrust") * point.x**2 * point.run.standard_density


def _torque(point: Point) -> Sensitive:
    return point.curve("torque") * point.x**2 * point.run.standard_density


def _shaft_power(point: Point) -> Sensitive:
    return _torque(point) * point.x


def _electrical_power(point: Point) -> Sensitive:
    return point.curve("electrical-power") * point.x**3 * point.run.standard_density


def _current(point: Point) -> Sensitive:
    return point.curve("current") * point.x**2


def _thrust_coefficient(point: Point) -> Sensitive:
    # CT = T/(rho n^2 D^4) with n = omega/(2 pi)
    assert point.diameter is not None
    return point.curve("thrust") * ((2.0 * math.pi) ** 2 / point.diameter**4)


def _power_coefficient(point: Point) -> Sensitive:
    # CP = 2 pi CQ, CQ = Q/(rho n^2 D^5)
    assert point.diameter is not None
    return point.curve("torque") * ((2.0 * math.pi) ** 3 / point.diameter**5)


def _figure_of_merit(point: Point) -> Sensitive:
    # FM = T^1.5/(sqrt(2 rho A) P); density and speed cancel
    return point.curve("thrust") ** 1.5 / point.curve("torque") / math.sqrt(2.0 * point.disc_area)


def _inflow_ratio(point: Point) -> Sensitive:
    # lambda = v/(Omega R), v = sqrt(T/(2 rho A)); density and speed cancel
    return point.curve("thrust") ** 0.5 / (math.sqrt(2.0 * point.disc_area) * point.radius)


def _tip_mach(point: Point) -> Sensitive:
    return point.x * (point.radius / STANDARD_SPEED_OF_SOUND)


def _speed(point: Point) -> Sensitive:
    return point.x


def _throttle(point: Point) -> Sensitive:
    return point.curve("throttle")


def _vibration(point: Point) -> Sensitive:
    # the curve is ln(a^2/omega^4)
    return (point.curve("vibration") * 0.5).exp() * point.x**2


def _as_fitted(name: str) -> Formula:
    """Return the formula of a figure that is a curve itself."""
    return Formula((name,), lambda point: point.curve(name), of_the_day=True)


_SOUND: Mapping[str, Formula] = MappingProxyType(
    {
        name: _as_fitted(name)
        for name in (
            "sound-level",
            "c-weighted-level",
            "blade-passing-level",
            "tonal-balance",
            "tone-to-noise-ratio",
            "prominence-ratio",
            "loudness",
            "sharpness",
        )
    }
)
"""Levels, in the air of the day, whatever the abscissa is."""


AT_SPEED_POINT: Mapping[str, Formula] = MappingProxyType(
    {
        **_SOUND,
        "speed": Formula(("thrust",), _speed),
        "thrust": Formula(("thrust",), _thrust),
        "torque": Formula(("torque",), _torque),
        "shaft-power": Formula(("torque",), _shaft_power),
        "electrical-power": Formula(("electrical-power",), _electrical_power),
        "current": Formula(("current",), _current),
        "throttle": Formula(("throttle",), _throttle),
        "shaft-efficiency": Formula(("thrust", "torque"), lambda point: _thrust(point) / _shaft_power(point)),
        "electrical-efficiency": Formula(
            ("thrust", "electrical-power"), lambda point: _thrust(point) / _electrical_power(point)
        ),
        "drive-efficiency": Formula(
            ("torque", "electrical-power"), lambda point: _shaft_power(point) / _electrical_power(point)
        ),
        "thrust-coefficient": Formula(("thrust",), _thrust_coefficient, needs_diameter=True, needs_density=True),
        "power-coefficient": Formula(("torque",), _power_coefficient, needs_diameter=True, needs_density=True),
        "figure-of-merit": Formula(("thrust", "torque"), _figure_of_merit, needs_diameter=True, needs_density=True),
        "inflow-ratio": Formula(("thrust",), _inflow_ratio, needs_diameter=True, needs_density=True),
        "tip-mach": Formula((), _tip_mach, needs_diameter=True),
        "vibration": Formula(("vibration",), _vibration, of_the_day=True),
    }
)
"""Formulas where the abscissa is speed."""


def _root_power(point: Point) -> Sensitive:
    return point.curve("electrical-power") * point.x**3


AT_ROOT_THRUST: Mapping[str, Formula] = MappingProxyType(
    {
        **_SOUND,
        "electrical-power": Formula(("electrical-power",), _root_power),
        "electrical-efficiency": Formula(("electrical-power",), lambda point: point.x**2 / _root_power(point)),
        "current": Formula(("current",), _current),
        "throttle": Formula(("throttle",), _throttle),
        "vibration": Formula(("vibration",), _vibration, of_the_day=True),
    }
)
"""Formulas where the run has no speed channel and the abscissa is sqrt(T), in the air of the day."""
