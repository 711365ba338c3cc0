"""Momentum theory of a disc: the helicopter's coefficients, induced velocity, inflow, ideal power, climb, slipstream.

The disc is uniform, the flow axial and free of swirl. Disc area A = pi D^2/4.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.rotor import disc_area

__all__ = [
    "axial_induced_velocity",
    "axial_induced_velocity_validity",
    "disc_loading",
    "ideal_hover_power",
    "induced_velocity",
    "inflow_advance_ratio",
    "inflow_ratio",
    "rotor_power_coefficient",
    "rotor_thrust_coefficient",
    "slipstream_thrust_ratio",
]


def rotor_thrust_coefficient(thrust_coefficient: ArrayLike) -> Floats:
    """Return the helicopter's T/(rho A (Omega R)^2) from the propeller's CT.

    Parameters
    ----------
    thrust_coefficient
        CT = T/(rho n^2 D^4), any shape [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    [Leishman2006] chapter 2 for the definition; the ratio 4/pi^3 follows.

    Examples
    --------
    >>> f"{rotor_thrust_coefficient(0.1299):.6f}"
    '0.016758'
    """
    return floats(4.0 / np.pi**3 * floats(thrust_coefficient))


def rotor_power_coefficient(power_coefficient: ArrayLike) -> Floats:
    """Return the helicopter's P/(rho A (Omega R)^3) from the propeller's CP; it equals Q/(rho A (Omega R)^2 R).

    Parameters
    ----------
    power_coefficient
        CP = P/(rho n^3 D^5), any shape [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    [Leishman2006] chapter 2 for the definition; the ratio 4/pi^4 follows.

    Examples
    --------
    >>> f"{rotor_power_coefficient(0.0531):.6f}"
    '0.002180'
    """
    return floats(4.0 / np.pi**4 * floats(power_coefficient))


def disc_loading(thrust: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return thrust per disc area.

    Parameters
    ----------
    thrust
        Any shape [N].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [N/m2].

    Source
    ------
    [Leishman2006] chapter 2.

    Examples
    --------
    >>> f"{disc_loading(7.840394, 0.254):.3f}"
    '154.732'
    """
    return floats(floats(thrust) / disc_area(diameter))


def induced_velocity(thrust: ArrayLike, density: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return the velocity induced at the disc in still air, v = sqrt(T/(2 rho A)); the far wake moves at twice that.

    Parameters
    ----------
    thrust
        Any shape; not a number where it is negative [N].
    density
        Air density, broadcastable [kg/m3].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [m/s].

    Source
    ------
    [Leishman2006] chapter 2, hover.

    Examples
    --------
    >>> f"{induced_velocity(9.80665, 1.225, 0.254):.6f}"
    '8.887889'
    """
    t = floats(thrust)
    lifting = np.where(t >= 0.0, t, np.nan)
    return floats(np.sqrt(lifting / (2.0 * floats(density) * disc_area(diameter))))


def ideal_hover_power(thrust: ArrayLike, density: ArrayLike, diameter: ArrayLike) -> Floats:
    """Return the least power that gives this thrust in still air, P = T v.

    Parameters
    ----------
    thrust
        Any shape; not a number where it is negative [N].
    density
        Air density, broadcastable [kg/m3].
    diameter
        Broadcastable [m].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [W].

    Source
    ------
    [Leishman2006] chapter 2, hover.

    Examples
    --------
    >>> f"{ideal_hover_power(9.80665, 1.225, 0.254):.5f}"
    '87.16042'
    """
    return floats(floats(thrust) * induced_velocity(thrust, density, diameter))


def inflow_ratio(thrust_coefficient: ArrayLike) -> Floats:
    """Return lambda = v/(Omega R) = sqrt(CT_rotor/2) in still air, uniform ideal inflow.

    Parameters
    ----------
    thrust_coefficient
        CT = T/(rho n^2 D^4), any shape; not a number where it is negative [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    [Leishman2006] chapter 2, hover.

    Examples
    --------
    >>> f"{inflow_ratio(0.1299):.6f}"
    '0.091537'
    """
    ct = floats(thrust_coefficient)
    return floats(np.sqrt(rotor_thrust_coefficient(np.where(ct >= 0.0, ct, np.nan)) / 2.0))


def inflow_advance_ratio(thrust_coefficient: ArrayLike) -> Floats:
    """Return v/(n D) = pi lambda in still air: the same figure as `inflow_ratio`, scaled as an advance ratio.

    Parameters
    ----------
    thrust_coefficient
        CT = T/(rho n^2 D^4), any shape; not a number where it is negative [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    Follows from [Leishman2006] chapter 2, with Omega R = pi n D.

    Examples
    --------
    >>> f"{inflow_advance_ratio(0.1299):.6f}"
    '0.287571'
    """
    return floats(np.pi * inflow_ratio(thrust_coefficient))


def axial_induced_velocity(climb: ArrayLike, hover_induced_velocity: ArrayLike) -> Floats:
    """Return the velocity induced at the disc in axial flight at the same thrust.

    Parameters
    ----------
    climb
        Axial velocity, positive when the disc moves the way it pulls, any shape [m/s].
    hover_induced_velocity
        v_h of the same thrust, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape; not a number for a descent slower than 2 v_h, where momentum theory has no answer [m/s].

    Validity
    --------
    Climb, or descent faster than 2 v_h: see `axial_induced_velocity_validity`.

    Source
    ------
    [Leishman2006] chapter 2: v/v_h = -x/2 + sqrt(x^2/4 + 1) in climb, -x/2 - sqrt(x^2/4 - 1) in the windmill state.

    Examples
    --------
    >>> [f"{axial_induced_velocity(x, 1.0):.7f}" for x in (0.0, 1.0, -2.5, -1.0)]
    ['1.0000000', '0.6180340', '0.5000000', 'nan']
    """
    v_hover = floats(hover_induced_velocity)
    half = floats(climb) / 2.0
    with np.errstate(invalid="ignore"):
        windmill = -half - np.sqrt(half**2 - v_hover**2)
    return floats(np.where(half >= 0.0, np.sqrt(half**2 + v_hover**2) - half, np.where(half < 0.0, windmill, np.nan)))


def axial_induced_velocity_validity(climb: ArrayLike, hover_induced_velocity: ArrayLike) -> Bools:
    """Return True where momentum theory has an answer in axial flight.

    Parameters
    ----------
    climb
        Axial velocity, positive when the disc moves the way it pulls, any shape [m/s].
    hover_induced_velocity
        v_h of the same thrust, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape.

    Source
    ------
    [Leishman2006] chapter 2.

    Examples
    --------
    >>> [bool(axial_induced_velocity_validity(x, 1.0)) for x in (1.0, -1.0, -2.0)]
    [True, False, True]
    """
    v = floats(climb)
    return np.asarray((v >= 0.0) | (v <= -2.0 * floats(hover_induced_velocity)))


def slipstream_thrust_ratio(
    obstruction: ArrayLike, diameter: ArrayLike, *, drag_coefficient: ArrayLike = 1.0
) -> Floats:
    """Return T/T': the thrust of the propeller alone over the reading of a stand that stands in its slipstream.

    Parameters
    ----------
    obstruction
        Frontal area of the stand in the far wake, any shape [m2].
    diameter
        Broadcastable [m].
    drag_coefficient
        Of that area, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Validity
    --------
    Static, obstruction small against the disc: from S CD = 4A on, the stand would drag as hard as the propeller pulls.

    Source
    ------
    [SeligAnanda2015] equations (5) to (15); static closed form T = T'/(1 - S CD/(4A)), from the far wake at twice the
    induced velocity and the quarter of its dynamic pressure that [SeligAnanda2015] puts on the stand.

    Examples
    --------
    >>> f"{5.0 * slipstream_thrust_ratio(0.002, 0.2286):.6f}"
    '5.061662'
    """
    blocked = floats(obstruction) * floats(drag_coefficient) / (4.0 * disc_area(diameter))
    return floats(1.0 / (1.0 - np.where(blocked < 1.0, blocked, np.nan)))
