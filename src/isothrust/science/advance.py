"""Propellers that move through the air along their axis: advance ratio, efficiency, and its limit."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = [
    "advance_ratio",
    "ideal_propulsive_efficiency",
    "propulsive_efficiency",
    "tunnel_velocity_ratio",
]


def advance_ratio(airspeed: ArrayLike, n: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return J = V/(n D).

    Parameters
    ----------
    airspeed
        Along the axis, any shape [m/s].
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
    >>> f"{advance_ratio(5.0, 100.0, 0.254):.4f}"
    '0.1969'
    """
    return floats(floats(airspeed) / (floats(n) * floats(diameter)))


def propulsive_efficiency(
    thrust_coefficient: ArrayLike, power_coefficient: ArrayLike, advance_ratio: ArrayLike
) -> Floats:
    """Return eta = CT J/CP.

    Parameters
    ----------
    thrust_coefficient
        CT, any shape [1].
    power_coefficient
        CP, broadcastable [1].
    advance_ratio
        J, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equations (2) to (8).

    Examples
    --------
    >>> f"{propulsive_efficiency(0.1201, 0.0523, 0.089):.5f}"
    '0.20438'
    """
    return floats(floats(thrust_coefficient) * floats(advance_ratio) / floats(power_coefficient))


def ideal_propulsive_efficiency(thrust_coefficient: ArrayLike, advance_ratio: ArrayLike) -> Floats:
    """Return the greatest T V/P that momentum theory allows, 2/(1 + sqrt(1 + 8 CT/(pi J^2))).

    Parameters
    ----------
    thrust_coefficient
        CT = T/(rho n^2 D^4), any shape; not a number where it is negative [1].
    advance_ratio
        J = V/(n D), broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Leishman2006] chapter 2, climb, written with propeller coefficients.

    Examples
    --------
    >>> f"{ideal_propulsive_efficiency(0.0562, 0.445):.4f}"
    '0.8649'
    """
    ct, j = floats(thrust_coefficient), floats(advance_ratio)
    # The form J/(J + sqrt(...)) is the same and stays finite at J = 0.
    root = np.sqrt(j**2 + 8.0 / np.pi * np.where(ct >= 0.0, ct, np.nan))
    return floats(2.0 * j / (j + root))


def tunnel_velocity_ratio(thrust_loading: ArrayLike, blockage: ArrayLike) -> Floats:
    """Return V_c/V: the airspeed that would give the same thrust in free air over the airspeed in the tunnel.

    Parameters
    ----------
    thrust_loading
        tau = T/(rho A V^2), any shape [1].
    blockage
        alpha = disc area over tunnel cross-section, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Deters2014] equation (10), after Glauert.

    Examples
    --------
    >>> f"{tunnel_velocity_ratio(1.0, 0.05):.6f}"
    '0.985566'
    """
    tau = floats(thrust_loading)
    return floats(1.0 - tau * floats(blockage) / (2.0 * np.sqrt(1.0 + 2.0 * tau)))
