"""First-order motor: speed and torque by voltage and current, efficiency, spin-up, and its constants from readings.

KV is in rad/s/V here, so the torque constant is 1/KV in N m/A. The voltage is what the windings get: duty times supply.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = [
    "FirstOrderMotor",
    "electromechanical_time_constant",
    "fit_first_order_motor",
    "greatest_efficiency",
    "most_efficient_current",
    "motor_efficiency",
    "motor_speed",
    "motor_torque",
    "spin_up_speed",
    "spin_up_time",
    "torque_constant",
]


class FirstOrderMotor(NamedTuple):
    """Speed constant [rad/s/V], winding resistance [ohm], no-load current [A]."""

    kv: float
    resistance: float
    no_load_current: float


def torque_constant(kv: ArrayLike) -> Floats:
    """Return Kt = 1/KV, which is 60/(2 pi KV) with KV in rpm/V.

    Parameters
    ----------
    kv
        Speed constant, any shape [rad/s/V].

    Returns
    -------
    numpy.ndarray
        Same shape [N m/A].

    Source
    ------
    [Drela2007].

    Examples
    --------
    >>> f"{torque_constant(1000 * 2 * 3.141592653589793 / 60):.9f}"
    '0.009549297'
    """
    return floats(1.0 / floats(kv))


def motor_speed(voltage: ArrayLike, current: ArrayLike, kv: ArrayLike, resistance: ArrayLike) -> Floats:
    """Return Omega = KV (V - I R).

    Parameters
    ----------
    voltage
        At the windings, any shape [V].
    current
        Broadcastable [A].
    kv
        Broadcastable [rad/s/V].
    resistance
        Broadcastable [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [rad/s].

    Source
    ------
    [Drela2007].

    Examples
    --------
    >>> f"{motor_speed(11.1, 10.0, 104.719755, 0.1) * 9.54929659:.1f}"
    '10100.0'
    """
    return floats(floats(kv) * (floats(voltage) - floats(current) * floats(resistance)))


def motor_torque(current: ArrayLike, no_load_current: ArrayLike, kv: ArrayLike) -> Floats:
    """Return Q = (I - I0)/KV.

    Parameters
    ----------
    current
        Any shape [A].
    no_load_current
        Broadcastable [A].
    kv
        Broadcastable [rad/s/V].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [N m].

    Source
    ------
    [Drela2007].

    Examples
    --------
    >>> f"{motor_torque(10.0, 0.5, 104.719755):.6f}"
    '0.090718'
    """
    return floats((floats(current) - floats(no_load_current)) / floats(kv))


def motor_efficiency(
    voltage: ArrayLike, current: ArrayLike, no_load_current: ArrayLike, resistance: ArrayLike
) -> Floats:
    """Return shaft power over electrical power, (1 - I0/I)(1 - I R/V).

    Parameters
    ----------
    voltage
        At the windings, any shape [V].
    current
        Broadcastable [A].
    no_load_current
        Broadcastable [A].
    resistance
        Broadcastable [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    [Drela2007].

    Examples
    --------
    >>> f"{motor_efficiency(11.1, 10.0, 0.5, 0.1):.6f}"
    '0.864414'
    """
    i = floats(current)
    return floats((1.0 - floats(no_load_current) / i) * (1.0 - i * floats(resistance) / floats(voltage)))


def most_efficient_current(voltage: ArrayLike, no_load_current: ArrayLike, resistance: ArrayLike) -> Floats:
    """Return the current of greatest efficiency, sqrt(V I0/R).

    Parameters
    ----------
    voltage
        At the windings, any shape [V].
    no_load_current
        Broadcastable [A].
    resistance
        Broadcastable [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [A].

    Source
    ------
    Follows from [Drela2007].

    Examples
    --------
    >>> f"{most_efficient_current(11.1, 0.5, 0.1):.6f}"
    '7.449832'
    """
    return floats(np.sqrt(floats(voltage) * floats(no_load_current) / floats(resistance)))


def greatest_efficiency(voltage: ArrayLike, no_load_current: ArrayLike, resistance: ArrayLike) -> Floats:
    """Return the efficiency at `most_efficient_current`, (1 - sqrt(I0 R/V))^2.

    Parameters
    ----------
    voltage
        At the windings, any shape [V].
    no_load_current
        Broadcastable [A].
    resistance
        Broadcastable [ohm].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Source
    ------
    Follows from [Drela2007].

    Examples
    --------
    >>> f"{greatest_efficiency(11.1, 0.5, 0.1):.6f}"
    '0.870273'
    """
    return floats((1.0 - np.sqrt(floats(no_load_current) * floats(resistance) / floats(voltage))) ** 2)


def electromechanical_time_constant(inertia: ArrayLike, resistance: ArrayLike, kv: ArrayLike) -> Floats:
    """Return tau = J R/Kt^2 = J R KV^2: how fast the motor's own line brings the rotor to speed, air aside.

    Parameters
    ----------
    inertia
        Of all that turns, any shape [kg m2].
    resistance
        Broadcastable [ohm].
    kv
        Broadcastable [rad/s/V].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [s].

    Source
    ------
    Follows from [Drela2007] and J dOmega/dt = Q.

    Examples
    --------
    >>> f"{electromechanical_time_constant(2e-5, 0.1, 104.719755) * 1e3:.3f}"
    '21.932'
    """
    return floats(floats(inertia) * floats(resistance) * floats(kv) ** 2)


def spin_up_speed(time: ArrayLike, torque: ArrayLike, drag: ArrayLike, inertia: ArrayLike) -> Floats:
    """Return the speed reached from rest under a constant torque against a drag k Omega^2.

    Parameters
    ----------
    time
        Since the torque came on, any shape [s].
    torque
        Broadcastable [N m].
    drag
        k, broadcastable [N m/(rad/s)^2].
    inertia
        Of all that turns, broadcastable [kg m2].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [rad/s].

    Source
    ------
    Closed form of J dOmega/dt = Q - k Omega^2: sqrt(Q/k) tanh(t sqrt(Q k)/J).

    Examples
    --------
    >>> f"{spin_up_speed(0.06324555, 0.1, 1e-6, 2e-5):.4f}"
    '240.8372'
    """
    q, k = floats(torque), floats(drag)
    return floats(np.sqrt(q / k) * np.tanh(floats(time) * np.sqrt(q * k) / floats(inertia)))


def spin_up_time(speed: ArrayLike, torque: ArrayLike, drag: ArrayLike, inertia: ArrayLike) -> Floats:
    """Return the time from rest to a speed under a constant torque against a drag k Omega^2.

    Parameters
    ----------
    speed
        Any shape; not a number where it is not reached [rad/s].
    torque
        Broadcastable [N m].
    drag
        k, broadcastable [N m/(rad/s)^2].
    inertia
        Of all that turns, broadcastable [kg m2].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [s].

    Source
    ------
    Inverse of `spin_up_speed`.

    Examples
    --------
    >>> f"{spin_up_time(0.9 * 316.227766, 0.1, 1e-6, 2e-5) * 1e3:.3f}"
    '93.111'
    """
    q, k = floats(torque), floats(drag)
    share = floats(speed) / np.sqrt(q / k)
    reached = np.where(np.abs(share) < 1.0, share, np.nan)
    return floats(np.arctanh(reached) * floats(inertia) / np.sqrt(q * k))


def fit_first_order_motor(
    voltage: ArrayLike, current: ArrayLike, speed: ArrayLike, torque: ArrayLike
) -> FirstOrderMotor:
    """Return the motor's constants from readings at known winding voltage.

    Parameters
    ----------
    voltage
        At the windings, shape (n,) [V].
    current
        Shape (n,) [A].
    speed
        Shape (n,) [rad/s].
    torque
        On the stator, inertial torque not taken out, shape (n,) [N m].

    Returns
    -------
    FirstOrderMotor
        By least squares: V = Omega/KV + I R, then I0 as the mean of I - KV Q.

    Raises
    ------
    ValueError
        If speed and current do not vary independently, so that KV and R cannot be told apart.

    Source
    ------
    [Drela2007].

    Examples
    --------
    >>> motor = fit_first_order_motor([10.0, 10.0, 5.0], [2.0, 8.0, 2.0], [980.0, 920.0, 480.0], [0.015, 0.075, 0.015])
    >>> f"{motor.kv:.3f} {motor.resistance:.3f} {motor.no_load_current:.3f}"
    '100.000 0.100 0.500'
    """
    v, i, w, q = floats(voltage), floats(current), floats(speed), floats(torque)
    matrix = np.stack([w, i], axis=1)
    scale = np.linalg.norm(matrix, axis=0)
    if len(v) < 2 or not np.all(scale > 0.0) or np.linalg.cond(matrix / scale) > 1e6:
        message = "speed and current rise together in all readings: KV and resistance cannot be told apart"
        raise ValueError(message)
    solution = np.linalg.lstsq(matrix / scale, v, rcond=None)[0] / scale
    kv = 1.0 / float(solution[0])
    return FirstOrderMotor(kv, float(solution[1]), float(np.mean(i - kv * q)))
