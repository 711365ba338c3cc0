"""Craft that hover on several rotors: thrust, weight, climb, what a battery lasts, and how fast a rotor answers.

Rotors are alike, share the load evenly and do not disturb each other; `rotors` of them carry the craft.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Bools, Floats, floats

__all__ = [
    "battery_current",
    "climb_speed",
    "climb_speed_validity",
    "constant_power_endurance",
    "control_bandwidth",
    "hover_thrust",
    "rotor_time_constant",
    "thrust_to_weight",
]

_GRAVITY = 9.80665
"""Standard gravity [m/s2]."""


def hover_thrust(mass: ArrayLike, rotors: ArrayLike) -> Floats:
    """Return the thrust of each rotor that carries a craft in still air, m g/N.

    Parameters
    ----------
    mass
        Of the whole craft, any shape [kg].
    rotors
        How many carry it, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [N].

    Source
    ------
    [Leishman2006] chapter 2: in hover thrust equals weight; standard gravity 9.80665 m/s2.

    Examples
    --------
    >>> f"{hover_thrust(0.7, 4):.5f}"
    '1.71616'
    """
    return floats(floats(mass) * _GRAVITY / floats(rotors))


def thrust_to_weight(thrust: ArrayLike, mass: ArrayLike, rotors: ArrayLike) -> Floats:
    """Return the thrust of all rotors over the weight.

    Parameters
    ----------
    thrust
        Of each rotor, any shape [N].
    mass
        Of the whole craft, broadcastable [kg].
    rotors
        How many carry it, broadcastable [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Leishman2006] chapter 2, as a ratio.

    Examples
    --------
    >>> f"{thrust_to_weight(12.0, 0.7, 4):.3f}"
    '6.992'
    """
    return floats(floats(thrust) / hover_thrust(mass, rotors))


def climb_speed(power: ArrayLike, thrust: ArrayLike, hover_induced_velocity: ArrayLike) -> Floats:
    """Return the axial climb that a power handed to the air allows at a constant thrust.

    Parameters
    ----------
    power
        That goes into the flow through the disc, what the blades' own drag takes left out, any shape [W].
    thrust
        Of the same disc, broadcastable [N].
    hover_induced_velocity
        v_h of that thrust, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape; not a number where the power does not hold the craft up [m/s].

    Validity
    --------
    Climb: see `climb_speed_validity`.

    Source
    ------
    [Leishman2006] chapter 2: P = T (V + v) with v = -V/2 + sqrt(V^2/4 + v_h^2); solved, V = c - v_h^2/c, c = P/T.

    Examples
    --------
    >>> f"{climb_speed(318e3, 170.0 * 201.06193, 8.329931):.3f}"
    '1.845'
    """
    through = floats(power) / floats(thrust)
    v_h = floats(hover_induced_velocity)
    lifted = np.where(through >= v_h, through, np.nan)
    return floats(lifted - v_h**2 / lifted)


def climb_speed_validity(power: ArrayLike, thrust: ArrayLike, hover_induced_velocity: ArrayLike) -> Bools:
    """Return True where the power holds the craft up at least.

    Parameters
    ----------
    power
        That goes into the flow through the disc, any shape [W].
    thrust
        Of the same disc, broadcastable [N].
    hover_induced_velocity
        v_h of that thrust, broadcastable [m/s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape.

    Source
    ------
    [Leishman2006] chapter 2.

    Examples
    --------
    >>> bool(climb_speed_validity(10.0, 1.0, 8.0)), bool(climb_speed_validity(7.0, 1.0, 8.0))
    (True, False)
    """
    return np.asarray(floats(power) >= floats(thrust) * floats(hover_induced_velocity))


def battery_current(power: ArrayLike, voltage: ArrayLike, resistance: ArrayLike) -> Floats:
    """Return the current of a battery whose voltage sags under a constant power.

    Parameters
    ----------
    power
        Taken at the battery's terminals, any shape [W].
    voltage
        Without load, broadcastable [V].
    resistance
        Of the battery, broadcastable; nil for none [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape; not a number where the battery cannot give the power (more than V^2/(4 R)) [A].

    Source
    ------
    P = (V - R I) I, the lesser root, written so that R = 0 needs no case of its own: I = 2 P/(V + sqrt(V^2 - 4 R P)).

    Examples
    --------
    >>> f"{battery_current(200.0, 24.0, 0.03):.4f}", f"{battery_current(200.0, 24.0, 0.0):.4f}"
    ('8.4220', '8.3333')
    """
    p, v = floats(power), floats(voltage)
    under = v**2 - 4.0 * floats(resistance) * p
    return floats(2.0 * p / (v + np.sqrt(np.where(under >= 0.0, under, np.nan))))


def constant_power_endurance(power: ArrayLike, energy: ArrayLike, voltage: ArrayLike, resistance: ArrayLike) -> Floats:
    """Return how long a battery lasts under a constant power, its voltage sagging as current flows.

    Energy is what the cells give without load, the integral of open-circuit voltage over charge; what the battery's
    own resistance heats away is taken from it.

    Parameters
    ----------
    power
        Taken at the battery's terminals, any shape [W].
    energy
        Usable, broadcastable [J].
    voltage
        Without load, broadcastable; a last axis more than the others: at the middle of equal parts of the charge, from
        full to empty, over which the endurance is integrated [V].
    resistance
        Of the battery, broadcastable [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape without the axis of the voltages; not a number where the battery cannot give the power [s].

    Source
    ------
    dE = V I dt with I of `battery_current`: t = E/(V I) at a constant voltage. Over equal parts of the charge, each
    holds energy in proportion to its voltage: t = (E/sum V) sum 1/I.

    Examples
    --------
    >>> f"{constant_power_endurance(200.0, 72e3, [24.0], 0.03):.3f}", f"{72e3 / 200.0:.1f}"
    ('356.210', '360.0')
    """
    v = floats(voltage)
    current = battery_current(floats(power)[..., None], v, floats(resistance)[..., None])
    charge = floats(energy) / np.sum(v, axis=-1)
    return floats(charge * np.sum(1.0 / current, axis=-1))


def rotor_time_constant(
    inertia: ArrayLike, torque_slope: ArrayLike, kv: ArrayLike, resistance: ArrayLike, *, viscous: ArrayLike = 0.0
) -> Floats:
    """Return how fast a rotor follows a small change of duty: J/(dQ/domega + viscous + Kt^2/R).

    Parameters
    ----------
    inertia
        Of all that turns, any shape [kg m2].
    torque_slope
        dQ/domega of the propeller at the speed it turns at, broadcastable [N m s].
    kv
        Speed constant of the motor, 1/Kt, broadcastable [rad/s/V].
    resistance
        Between the duty's voltage and the winding's, the supply's as the duty makes it seem inside, broadcastable
        [ohm].
    viscous
        Friction of the motor in proportion to speed, broadcastable [N m s].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [s].

    Source
    ------
    Small changes about a point of J domega/dt = Kt i - Q - friction and d V = Kt omega + R i of [Drela2007]. Without
    air and friction it is `motor.electromechanical_time_constant`.

    Examples
    --------
    >>> f"{rotor_time_constant(2e-5, 0.0, 104.719755, 0.1) * 1e3:.3f}"
    '21.932'
    """
    line = 1.0 / (floats(kv) ** 2 * floats(resistance))
    return floats(floats(inertia) / (floats(torque_slope) + floats(viscous) + line))


def control_bandwidth(time_constant: ArrayLike) -> Floats:
    """Return the frequency at which a first-order lag lets 71 % of a small change through, 1/(2 pi tau).

    Parameters
    ----------
    time_constant
        Any shape [s].

    Returns
    -------
    numpy.ndarray
        Same shape [Hz].

    Source
    ------
    Closed form of a first-order lag: half the power at omega tau = 1.

    Examples
    --------
    >>> f"{control_bandwidth(0.0219324):.3f}"
    '7.257'
    """
    return floats(1.0 / (2.0 * np.pi * floats(time_constant)))
