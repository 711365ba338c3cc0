"""Rotor coefficients in the propeller's convention, figure of merit, tip speed and tip Mach number.

Here `n` is in rev/s and the diameter in m. Disc area A = pi D^2/4. `momentum` has the helicopter's convention.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = [
    "disc_area",
    "figure_of_merit",
    "figure_of_merit_from_coefficients",
    "power_coefficient",
    "power_coefficient_from_torque_coefficient",
    "power_from_coefficient",
    "thrust_coefficient",
    "thrust_from_coefficient",
    "tip_mach",
    "tip_speed",
    "torque_coefficient",
    "torque_from_coefficient",
]


def disc_area(diameter: ArrayLike) -> Floats:
    """Return the area swept by the blades.

    Parameters
    ----------
    diameter
        Propeller diameter, any shape [m].

    Returns
    -------
    numpy.ndarray
        Same shape [m2].

    Source
    ------
    Definition.

    Examples
    --------
    >>> f"{disc_area(0.254):.6f}"
    '0.050671'
    """
    return floats(np.pi / 4.0 * floats(diameter) ** 2)


def thrust_coefficient(thrust: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return CT = T/(rho n^2 D^4).

    Parameters
    ----------
    thrust
        Any shape [N].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equation (2).

    Examples
    --------
    >>> f"{thrust_coefficient(7.840394, 1.225, 108.8, 0.254):.4f}"
    '0.1299'
    """
    return floats(floats(thrust) / (floats(density) * floats(n) ** 2 * floats(diameter) ** 4))


def torque_coefficient(torque: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return CQ = Q/(rho n^2 D^5).

    Parameters
    ----------
    torque
        Any shape [N m].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equations (2) to (8).

    Examples
    --------
    >>> f"{torque_coefficient(0.129562, 1.225, 108.8, 0.254):.6f}"
    '0.008451'
    """
    return floats(floats(torque) / (floats(density) * floats(n) ** 2 * floats(diameter) ** 5))


def power_coefficient(power: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return CP = P/(rho n^3 D^5).

    Parameters
    ----------
    power
        Shaft power, any shape [W].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equations (2) to (8).

    Examples
    --------
    >>> f"{power_coefficient(88.56984, 1.225, 108.8, 0.254):.4f}"
    '0.0531'
    """
    return floats(floats(power) / (floats(density) * floats(n) ** 3 * floats(diameter) ** 5))


def power_coefficient_from_torque_coefficient(torque_coefficient: ArrayLike) -> Floats:
    """Return CP = 2 pi CQ.

    Parameters
    ----------
    torque_coefficient
        CQ, any shape [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    [Deters2014]: P = 2 pi n Q.

    Examples
    --------
    >>> f"{power_coefficient_from_torque_coefficient(0.1591549):.6f}"
    '1.000000'
    """
    return floats(2.0 * np.pi * floats(torque_coefficient))


def thrust_from_coefficient(coefficient: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return T = CT rho n^2 D^4.

    Parameters
    ----------
    coefficient
        CT, any shape [1].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [N].

    Source
    ------
    [Deters2014] equation (2).

    Examples
    --------
    >>> f"{thrust_from_coefficient(0.1299, 1.225, 108.8, 0.254):.6f}"
    '7.840394'
    """
    return floats(floats(coefficient) * floats(density) * floats(n) ** 2 * floats(diameter) ** 4)


def torque_from_coefficient(coefficient: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return Q = CQ rho n^2 D^5.

    Parameters
    ----------
    coefficient
        CQ, any shape [1].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [N m].

    Source
    ------
    [Deters2014] equations (2) to (8).

    Examples
    --------
    >>> f"{torque_from_coefficient(0.0531 / 6.283185307, 1.225, 108.8, 0.254):.6f}"
    '0.129562'
    """
    return floats(floats(coefficient) * floats(density) * floats(n) ** 2 * floats(diameter) ** 5)


def power_from_coefficient(coefficient: ArrayLike, density: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return P = CP rho n^3 D^5.

    Parameters
    ----------
    coefficient
        CP, any shape [1].
    density
        Air density, broadcastable [kg/m3].
    n
        Speed of rotation, broadcastable [rev/s].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [W].

    Source
    ------
    [Deters2014] equations (2) to (8).

    Examples
    --------
    >>> f"{power_from_coefficient(0.0531, 1.225, 108.8, 0.254):.4f}"
    '88.5698'
    """
    return floats(floats(coefficient) * floats(density) * floats(n) ** 3 * floats(diameter) ** 5)


def figure_of_merit(thrust: ArrayLike, power: ArrayLike, density: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return the ideal power to hover over the shaft power used, FM = T^1.5/(sqrt(2 rho A) P).

    Parameters
    ----------
    thrust
        Any shape; not a number where it is negative, since no ideal power belongs to it [N].
    power
        Shaft power, broadcastable [W].
    density
        Air density, broadcastable [kg/m3].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Leishman2006] chapter 2.

    Examples
    --------
    >>> f"{figure_of_merit(7.840394, 88.56984, 1.225, 0.254):.6f}"
    '0.703492'
    """
    t = floats(thrust)
    lifting = np.where(t >= 0.0, t, np.nan)
    return floats(lifting**1.5 / (np.sqrt(2.0 * floats(density) * disc_area(diameter)) * floats(power)))


def figure_of_merit_from_coefficients(thrust_coefficient: ArrayLike, power_coefficient: ArrayLike) -> Floats:
    """Return FM = sqrt(2/pi) CT^1.5/CP.

    Parameters
    ----------
    thrust_coefficient
        CT, any shape; not a number where it is negative [1].
    power_coefficient
        CP, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    Follows from [Deters2014] and [Leishman2006] chapter 2.

    Examples
    --------
    >>> f"{figure_of_merit_from_coefficients(0.1299, 0.0531):.6f}"
    '0.703492'
    """
    ct = floats(thrust_coefficient)
    lifting = np.where(ct >= 0.0, ct, np.nan)
    return floats(np.sqrt(2.0 / np.pi) * lifting**1.5 / floats(power_coefficient))


def tip_speed(n: ArrayLike, diameter: ArrayLike, *, airspeed: ArrayLike = 0.0) -> Floats:
    """Return the speed of the blade tips through the air.

    Parameters
    ----------
    n
        Speed of rotation, any shape [rev/s].
    diameter
        Broadcastable [m].
    airspeed
        Along the axis, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [m/s].

    Source
    ------
    Definition: pi n D, with the airspeed at a right angle to it.

    Examples
    --------
    >>> f"{tip_speed(20000 / 60, 0.127):.3f}"
    '132.994'
    """
    return floats(np.hypot(np.pi * floats(n) * floats(diameter), floats(airspeed)))


def tip_mach(n: ArrayLike, diameter: ArrayLike, speed_of_sound: ArrayLike, *, airspeed: ArrayLike = 0.0) -> Floats:
    """Return the Mach number of the blade tips.

    Parameters
    ----------
    n
        Speed of rotation, any shape [rev/s].
    diameter
        Broadcastable [m].
    speed_of_sound
        Broadcastable [m/s].
    airspeed
        Along the axis, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    Definition.

    Examples
    --------
    >>> f"{tip_mach(20000 / 60, 0.127, 343.2):.3f}"
    '0.388'
    """
    return floats(tip_speed(n, diameter, airspeed=airspeed) / floats(speed_of_sound))
