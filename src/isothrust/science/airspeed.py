"""Bounds of the airspeed a craft can reach: what a static test and a propeller's pitch can say of forward flight.

A static test says nothing of a propeller that moves. What is known is how thrust falls off in published tunnel
tests of 160 small propellers, that the air takes at least the ideal power of momentum theory, and the motor's line.
Between the bounds that follow lies the truth; neither is a prediction.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.rotor import disc_area

__all__ = ["Craft", "Line", "climb_bounds", "level_flight_bounds", "thrust_lapse"]

_GRAVITY = 9.80665
_LOWER_REACH = 0.9
_UPPER_REACH = 1.6
_UPPER_START = 1.07
_TRANSLATION = 1.5
_STEPS = 60
"""Of bisection: the bracket shrinks below a part in 1e15."""
_FASTEST = 400.0
"""Where no craft of this kind flies any more [m/s]: the end of the bracket."""


class Craft(NamedTuple):
    """Mass [kg], how many rotors carry it, drag area S CD [m2] (nil: none), air density [kg/m3]."""

    mass: float
    rotors: float
    drag_area: float
    density: float


class Line(NamedTuple):
    """One rotor at full throttle: static at the first speed, then along the motor's line towards no load.

    Speeds [rad/s], static thrust at each [N], shaft power that the motor gives there [W], each (g,); diameter and
    pitch [m].
    """

    speed: Floats
    thrust: Floats
    power: Floats
    diameter: float
    pitch: float


def thrust_lapse(pitch_advance: ArrayLike) -> tuple[Floats, Floats]:
    """Return the least and greatest share of the static thrust that is left at an airspeed, at equal speed of rotation.

    Parameters
    ----------
    pitch_advance
        Airspeed along the axis over pitch speed, V/(n pitch) = J D/pitch, any shape [1].

    Returns
    -------
    tuple of numpy.ndarray
        Lower and upper bound, each of the same shape, nil where no thrust is left [1].

    Validity
    --------
    Fixed pitch, pitch/diameter 0.4 to 1.

    Source
    ------
    Envelope of the advancing rows of [BrandtSelig2011] and [Deters2014], of propellers with a static sweep at the same
    speed: 1 - x/0.9 and 1.07 (1 - (x/1.6)^2); 99 of 100 rows lie between. Thrust ends beyond the pitch speed,
    since a cambered blade lifts at no incidence, and a blade that is stalled when static loses nothing at first.

    Examples
    --------
    >>> [f"{bound:.3f}" for bound in thrust_lapse(0.5)]
    ['0.444', '0.966']
    """
    x = floats(pitch_advance)
    lower = np.clip(1.0 - x / _LOWER_REACH, 0.0, 1.0)
    upper = np.clip(_UPPER_START * (1.0 - (x / _UPPER_REACH) ** 2), 0.0, None)
    return floats(lower), floats(upper)


def climb_bounds(craft: Craft, line: Line) -> tuple[float, float]:
    """Return bounds of the steady vertical climb at full throttle.

    Parameters
    ----------
    craft
        The craft; the drag area is what it shows to air from above.
    line
        One of its rotors.

    Returns
    -------
    tuple of float
        Lower and upper [m/s]; nil where the craft cannot hold itself up.

    Source
    ------
    Thrust = weight + drag, with `thrust_lapse`; the lower bound at the static speed of rotation, the upper at any speed
    of the motor's line whose power is at least T (V + v) of [Leishman2006] chapter 2, climb.

    Examples
    --------
    >>> speed = np.array([1000.0, 1200.0])
    >>> line = Line(speed, np.array([3.0, 4.32]), np.array([40.0, 0.0]), 0.127, 0.1)
    >>> [round(bound, 1) for bound in climb_bounds(Craft(0.7, 4, 0.0, 1.2), line)]
    [6.1, 20.9]
    """

    def lower(airspeed: float) -> bool:
        share, _ = thrust_lapse(_pitch_advance(airspeed, line.speed[:1], line.pitch))
        return bool(share[0] * line.thrust[0] >= _climb_thrust(craft, airspeed))

    def upper(airspeed: float) -> bool:
        thrust = _climb_thrust(craft, airspeed)
        v_hover = np.sqrt(thrust / (2.0 * craft.density * disc_area(line.diameter)))
        induced = float(np.hypot(airspeed / 2.0, v_hover) - airspeed / 2.0)
        _, share = thrust_lapse(_pitch_advance(airspeed, line.speed, line.pitch))
        return _somewhere(share * line.thrust >= thrust, line.power >= thrust * (airspeed + induced))

    return _fastest(lower), _fastest(upper)


def level_flight_bounds(craft: Craft, line: Line) -> tuple[float, float]:
    """Return bounds of the level-flight top speed at full throttle.

    Parameters
    ----------
    craft
        The craft; its drag area is taken as constant and its body as without lift.
    line
        One of its rotors.

    Returns
    -------
    tuple of float
        Lower and upper [m/s]; nil where the craft cannot hold itself up.

    Source
    ------
    T^2 = (m g)^2 + D^2 with D = rho V^2 S/2; the disc meets V D/T along its axis, and `thrust_lapse` holds there. The
    lower bound at the static speed of rotation; the upper with half as much thrust again, since air across a disc
    takes away induced velocity ([Leishman2006] chapter 2, forward flight), at any speed of the motor's line whose power
    is at least D V.

    Examples
    --------
    >>> speed = np.array([1000.0, 1200.0])
    >>> line = Line(speed, np.array([3.0, 4.32]), np.array([40.0, 0.0]), 0.127, 0.1)
    >>> [round(bound, 1) for bound in level_flight_bounds(Craft(0.7, 4, 0.01, 1.2), line)]
    [19.0, 29.9]
    """

    def lower(airspeed: float) -> bool:
        thrust, axial, _ = _level_thrust(craft, airspeed)
        share, _ = thrust_lapse(_pitch_advance(axial, line.speed[:1], line.pitch))
        return bool(share[0] * line.thrust[0] >= thrust)

    def upper(airspeed: float) -> bool:
        thrust, axial, drag = _level_thrust(craft, airspeed)
        _, share = thrust_lapse(_pitch_advance(axial, line.speed, line.pitch))
        return _somewhere(_TRANSLATION * share * line.thrust >= thrust, line.power >= drag * airspeed)

    return _fastest(lower), _fastest(upper)


def _climb_thrust(craft: Craft, airspeed: float) -> float:
    drag = 0.5 * craft.density * airspeed**2 * craft.drag_area
    return (craft.mass * _GRAVITY + drag) / craft.rotors


def _level_thrust(craft: Craft, airspeed: float) -> tuple[float, float, float]:
    """Return thrust a rotor [N], airspeed along its axis [m/s], drag a rotor [N]."""
    drag = 0.5 * craft.density * airspeed**2 * craft.drag_area / craft.rotors
    thrust = float(np.hypot(craft.mass * _GRAVITY / craft.rotors, drag))
    return thrust, airspeed * drag / thrust, drag


def _pitch_advance(airspeed: float, speed: Floats, pitch: float) -> Floats:
    return floats(airspeed * 2.0 * np.pi / (speed * pitch))


def _somewhere(pulls: Bools, powered: Bools) -> bool:
    """Say whether a speed of the line, or one between two, does both: thrust rises along it and power falls."""
    return bool(np.any(pulls[1:] & powered[:-1]) or np.any(pulls & powered))


def _fastest(flies: Callable[[float], bool]) -> float:
    """Return the greatest airspeed that is flown, by bisection: what is needed rises with it, what is there falls."""
    if not flies(0.0):
        return 0.0
    low, high = 0.0, _FASTEST
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if flies(middle) else (low, middle)
    return low
