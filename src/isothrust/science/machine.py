"""A propeller on a motor, controller and supply: greatest thrust, the state at a thrust, and the motor's own line.

Everything holds for n cases at once, so that a budget or a sweep takes one pass.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats
from isothrust.science.operating import (
    DriveConstants,
    LoadCurve,
    OperatingPoint,
    SupplyLine,
    drive_state,
    solve_operating_point,
)

__all__ = [
    "Ceiling",
    "Machine",
    "full_throttle_torque",
    "greatest_power_speed",
    "load_at",
    "no_load_speed",
    "speed_for_load",
    "state_at_thrust",
    "thrust_ceiling",
]

_HALVINGS = 60
_BEYOND = 4.0
_SEARCH = 200
"""Speeds along the motor's line at which its power is looked at before the best is refined."""


class Machine(NamedTuple):
    """n propellers, each with its drive; numbers hold for all of them."""

    constants: DriveConstants
    speed: Floats
    """Of the propeller's table, rising (k,) [rad/s]."""
    torque: Floats
    """(n, k) [N m]"""
    thrust: Floats
    """(n, k) [N]"""
    supply: SupplyLine
    warmth: ArrayLike = 0.0
    """Of the winding over the temperature that its resistance is stated at [K]."""
    heat_limit: ArrayLike = np.inf
    """Motor current that heat allows [A]."""


class Ceiling(NamedTuple):
    """Full throttle of n machines."""

    thrust: Floats
    """(n,) [N]"""
    point: OperatingPoint


def load_at(speed: Floats, values: Floats, at: ArrayLike) -> Floats:
    """Return thrust or torque of n propellers, each at one speed: the coefficient straight between the table's speeds.

    Parameters
    ----------
    speed
        Of the table, rising (k,) [rad/s].
    values
        (n, k) [N or N m].
    at
        (n,) [rad/s].

    Returns
    -------
    numpy.ndarray
        (n,) in the unit of the values; beyond the table with the square of speed.

    Source
    ------
    T = c(omega) omega^2 with c slowly varying, as `operating.LoadCurve`.

    Examples
    --------
    >>> speed = np.array([100.0, 200.0])
    >>> load_at(speed, np.array([[1.0, 4.4]]), [150.0]).round(4)
    array([2.3625])
    """
    w = np.broadcast_to(floats(at), (values.shape[0],))
    coefficients = values / speed**2
    after = np.clip(np.searchsorted(speed, w), 1, speed.size - 1)
    rows = np.arange(w.size)
    share = np.clip((w - speed[after - 1]) / (speed[after] - speed[after - 1]), 0.0, 1.0)
    low, high = coefficients[rows, after - 1], coefficients[rows, after]
    return floats((low + share * (high - low)) * w**2)


def speed_for_load(speed: Floats, values: Floats, wanted: ArrayLike) -> Floats:
    """Return the least speed at which each of n propellers gives a thrust or takes a torque.

    Parameters
    ----------
    speed
        Of the table, rising (k,) [rad/s].
    values
        (n, k) [N or N m].
    wanted
        (n,) in the same unit.

    Returns
    -------
    numpy.ndarray
        (n,); not a number where it is not reached at four times the table's greatest speed [rad/s].

    Source
    ------
    Bisection of `load_at`.

    Examples
    --------
    >>> speed = np.array([100.0, 200.0])
    >>> speed_for_load(speed, np.array([[1.0, 4.4]]), [2.3625]).round(4)
    array([150.])
    """
    aim = np.broadcast_to(floats(wanted), (values.shape[0],))
    low, high = np.zeros(aim.size), np.full(aim.size, _BEYOND * speed[-1])
    reached = load_at(speed, values, high) >= aim
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        short = load_at(speed, values, middle) < aim
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return floats(np.where(reached & np.isfinite(aim), high, np.nan))


def thrust_ceiling(machine: Machine, *, duty: ArrayLike = 1.0) -> Ceiling:
    """Return the greatest thrust within the limits of heat and supply.

    Parameters
    ----------
    machine
        n cases.
    duty
        At most, a number or (n,) [1].

    Returns
    -------
    Ceiling
        Thrust (n,) [N] and the operating point.

    Source
    ------
    `operating.solve_operating_point`.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, torque, thrust, SupplyLine(20.0))
    >>> thrust_ceiling(machine).thrust.round(3)
    array([10.395])
    """
    load = LoadCurve(np.broadcast_to(machine.speed, machine.torque.shape), machine.torque)
    point = solve_operating_point(
        machine.constants,
        load,
        duty,
        machine.supply,
        warmth=machine.warmth,
        current_limit=machine.heat_limit,
    )
    return Ceiling(load_at(machine.speed, machine.thrust, point.speed), point)


def state_at_thrust(machine: Machine, thrust: ArrayLike) -> OperatingPoint:
    """Return what the drive takes in the steady state at a thrust.

    Parameters
    ----------
    machine
        n cases.
    thrust
        A number or (n,) [N].

    Returns
    -------
    OperatingPoint
        A duty above 1 means that the voltage does not reach.

    Source
    ------
    `speed_for_load` and `operating.drive_state`.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, torque, thrust, SupplyLine(20.0))
    >>> state_at_thrust(machine, 3.0).speed.round(3)
    array([1000.])
    """
    omega = speed_for_load(machine.speed, machine.thrust, thrust)
    torque = load_at(machine.speed, machine.torque, omega)
    return drive_state(machine.constants, omega, torque, machine.supply, warmth=machine.warmth)


def full_throttle_torque(machine: Machine, speed: ArrayLike) -> Floats:
    """Return the torque that the motor gives at a speed with the whole voltage on it, whatever turns on it.

    Parameters
    ----------
    machine
        n cases; limits are not looked at.
    speed
        (n,) or (g, n) [rad/s].

    Returns
    -------
    numpy.ndarray
        Same shape; negative where the motor would have to be driven [N m].

    Source
    ------
    V = Omega/KV + R i at duty 1 and Q = i/KV - Q0 [Drela2007], the supply's sag and the controller's loss inside: by
    bisection, since the voltage that is wanted rises with torque.

    Examples
    --------
    >>> speed, one = np.array([100.0, 200.0]), np.ones((1, 2))
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, one, one, SupplyLine(20.0))
    >>> full_throttle_torque(machine, [1000.0]).round(6)
    array([1.])
    """
    w = floats(speed)
    constants, supply = machine.constants, machine.supply
    most = floats(supply.voltage) / (floats(constants.resistance) * floats(constants.kv))
    low, high = np.broadcast_to(-most, w.shape).copy(), np.broadcast_to(most, w.shape).copy()
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        reaches = drive_state(constants, w, middle, supply, warmth=machine.warmth).duty <= 1.0
        low, high = np.where(reaches, middle, low), np.where(reaches, high, middle)
    return floats(np.where(np.isfinite(w), low, np.nan))


def no_load_speed(machine: Machine) -> Floats:
    """Return the speed at full throttle with nothing on the shaft.

    Parameters
    ----------
    machine
        n cases; limits are not looked at.

    Returns
    -------
    numpy.ndarray
        (n,) [rad/s].

    Source
    ------
    Zero of `full_throttle_torque`.

    Examples
    --------
    >>> speed, one = np.array([100.0, 200.0]), np.ones((1, 2))
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, one, one, SupplyLine(20.0))
    >>> no_load_speed(machine).round(3)
    array([2000.])
    """
    count = machine.thrust.shape[0]
    low = np.zeros(count)
    high = np.broadcast_to(floats(machine.constants.kv) * floats(machine.supply.voltage), (count,)).copy()
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        turns = drive_state(machine.constants, middle, 0.0, machine.supply, warmth=machine.warmth).duty <= 1.0
        low, high = np.where(turns, middle, low), np.where(turns, high, middle)
    return floats(low)


def greatest_power_speed(machine: Machine) -> Floats:
    """Return the speed of greatest shaft power along the motor's line at full throttle.

    Parameters
    ----------
    machine
        n cases; limits are not looked at.

    Returns
    -------
    numpy.ndarray
        (n,) [rad/s].

    Source
    ------
    Half the no-load speed of a straight line, losses aside ([Drela2007]); here by search, losses inside.

    Examples
    --------
    >>> speed, one = np.array([100.0, 200.0]), np.ones((1, 2))
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, one, one, SupplyLine(20.0))
    >>> greatest_power_speed(machine).round(2)
    array([1000.])
    """
    end = no_load_speed(machine)
    places = np.arange(1, _SEARCH)[:, None] / _SEARCH
    power = full_throttle_torque(machine, places * end) * places * end
    best = np.clip(np.argmax(power, axis=0), 1, _SEARCH - 3)
    rows = np.arange(end.size)
    before, at, after = (power[best + step, rows] for step in (-1, 0, 1))
    bend = before - 2.0 * at + after
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.where(bend < 0.0, 0.5 * (before - after) / bend, 0.0)
    return floats((best + 1 + np.clip(off, -1.0, 1.0)) / _SEARCH * end)
