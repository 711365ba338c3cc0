"""How a propeller and a motor suit each other: what binds at full throttle, other windings, another size."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.machine import (
    Ceiling,
    Machine,
    full_throttle_torque,
    greatest_power_speed,
    no_load_speed,
    state_at_thrust,
    thrust_ceiling,
)
from isothrust.science.operating import DriveConstants, SupplyLine, drive_state

__all__ = [
    "SIZE_STEP",
    "Binding",
    "WindingChoice",
    "binding",
    "efficient_winding",
    "enlarged",
    "rewound",
    "strongest_winding",
    "thrust_over_winding",
]

SIZE_STEP: Final = 1.2
"""The next size up: this much more torque constant squared over resistance, about one step of the usual stators."""
_RANGE: Final = (0.4, 2.5)
"""KV looked at, over the motor's own: nobody winds the same size further apart."""
_PLACES: Final = 41
_STAGES: Final = 3
_HALVINGS: Final = 50
_ALIKE: Final = 1e-5
"""Thrusts this near each other in proportion are the same: the least KV that gives them is the answer."""


class Binding(NamedTuple):
    """What binds each of n machines at full throttle."""

    torque_bound: Bools
    """A limit is met, or the speed lies below that of greatest shaft power."""
    torque_in_hand: Floats
    """How much more torque the propeller could ask for before it would be torque-bound, in proportion; below nil: how
    much of what it asks for is not there (n,) [1]."""
    speed_in_hand: Floats
    """How far the speed lies above the speed at which it would be torque-bound, in proportion (n,) [1]."""
    power_speed: Floats
    """Speed of greatest shaft power of the motor's line (n,) [rad/s]."""


class WindingChoice(NamedTuple):
    """A winding for each of n machines; not a number where none is best."""

    ratio: Floats
    """Its KV over the motor's own (n,) [1]."""
    value: Floats
    """What was sought there: thrust [N] or power [W] (n,)."""
    at_edge: Bools
    """It lies at the end of the range that was looked at."""


def rewound(machine: Machine, ratio: ArrayLike) -> Machine:
    """Return the machine with the motor's size wound for another KV.

    Parameters
    ----------
    machine
        n cases.
    ratio
        New KV over the old, a number or (n,) [1].

    Returns
    -------
    Machine
        R_winding KV^2 and the friction torque Kt i0 stay, and the current that heat allows goes as KV; controller and
        supply stay as they are. The resistance stated of the motor counts as winding.

    Source
    ------
    A slot filled with copper of fewer turns: Kt as turns, R as turns squared, current as 1/turns at equal loss; with
    Kt = 1/KV of [Drela2007].

    Examples
    --------
    >>> one = np.ones((1, 2))
    >>> machine = Machine(DriveConstants(100.0, 0.1), np.array([1.0, 2.0]), one, one, SupplyLine(20.0), heat_limit=40.0)
    >>> other = rewound(machine, 2.0)
    >>> float(other.constants.kv), float(other.constants.resistance), float(other.heat_limit)
    (200.0, 0.025, 80.0)
    """
    r = floats(ratio)
    constants = machine.constants._replace(
        kv=floats(machine.constants.kv) * r, resistance=floats(machine.constants.resistance) / r**2
    )
    return machine._replace(constants=constants, heat_limit=floats(machine.heat_limit) * r)


def enlarged(machine: Machine, step: ArrayLike = SIZE_STEP) -> Machine:
    """Return the machine with the next size of motor up, wound for the same KV.

    Parameters
    ----------
    machine
        n cases.
    step
        How much more torque constant squared over winding resistance, a number or (n,) [1].

    Returns
    -------
    Machine
        The resistance falls by the step, friction rises by it, and the current that heat allows rises with its root:
        the loss allowed then stays as it was.

    Source
    ------
    A longer stator at equal section: copper, iron and flux in proportion to length; with [Drela2007].

    Examples
    --------
    >>> one = np.ones((1, 2))
    >>> machine = Machine(DriveConstants(100.0, 0.12, 0.0, 1e-3), np.array([1.0, 2.0]), one, one, SupplyLine(20.0))
    >>> larger = enlarged(machine)
    >>> f"{float(larger.constants.resistance):.3f} {float(larger.constants.friction):.4f}"
    '0.100 0.0012'
    """
    s = floats(step)
    old = machine.constants
    constants = old._replace(
        resistance=floats(old.resistance) / s, friction=floats(old.friction) * s, viscous=floats(old.viscous) * s
    )
    return machine._replace(constants=constants, heat_limit=floats(machine.heat_limit) * np.sqrt(s))


def binding(machine: Machine, ceiling: Ceiling) -> Binding:
    """Return what binds the machines at full throttle, and how far they are from being bound the other way.

    Parameters
    ----------
    machine
        n cases.
    ceiling
        Their full throttle, of `machine.thrust_ceiling`.

    Returns
    -------
    Binding
        The bound itself is whichever comes first as the propeller gets heavier: the torque at which a limit of current
        is met along the motor's line, or the line's speed of greatest shaft power.

    Source
    ------
    [Drela2007] for the line; greatest power of a straight line at half its no-load speed.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, torque, thrust, SupplyLine(20.0))
    >>> found = binding(machine, thrust_ceiling(machine))
    >>> bool(found.torque_bound[0]), f"{found.torque_in_hand[0]:.2f} {found.speed_in_hand[0]:.2f}"
    (False, '6.22 0.86')
    """
    free = machine._replace(heat_limit=np.inf, supply=machine.supply._replace(current_limit=np.inf))
    unlimited = thrust_ceiling(free).point
    power_speed = greatest_power_speed(free)
    heaviest = _limit_speed(machine, power_speed)
    most = full_throttle_torque(free, heaviest)
    torque_in_hand = most / unlimited.torque - 1.0
    held = ceiling.point.motor_limited | ceiling.point.supply_limited
    speed_in_hand = unlimited.speed / heaviest - 1.0
    # Past the bound the line is not reached: what is short is told by what the limit leaves of the speed.
    speed_in_hand = np.where(held, ceiling.point.speed / unlimited.speed - 1.0, speed_in_hand)
    return Binding(held | (unlimited.speed < power_speed), floats(torque_in_hand), floats(speed_in_hand), power_speed)


def _limit_speed(machine: Machine, power_speed: Floats) -> Floats:
    """Return the speed on the motor's line below which it is torque-bound: a limit of current, or greatest power."""
    low, high = power_speed.copy(), np.maximum(no_load_speed(machine), power_speed)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        over = _over(machine, middle)
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    return floats(np.where(_over(machine, power_speed), high, power_speed))


def _over(machine: Machine, speed: Floats) -> Bools:
    torque = full_throttle_torque(machine, speed)
    state = drive_state(machine.constants, speed, torque, machine.supply, warmth=machine.warmth)
    over_heat = state.motor_current > floats(machine.heat_limit)
    return np.asarray(over_heat | (state.current > floats(machine.supply.current_limit)))


def thrust_over_winding(machine: Machine, ratios: Floats) -> Floats:
    """Return the thrust ceiling of each machine wound for other KVs.

    Parameters
    ----------
    machine
        n cases.
    ratios
        KV over the motor's own, (g,) for all or (n, g) [1].

    Returns
    -------
    numpy.ndarray
        (n, g) [N].

    Source
    ------
    `rewound` and `machine.thrust_ceiling`.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, torque, thrust, SupplyLine(20.0))
    >>> thrust_over_winding(machine, np.array([0.5, 1.0])).round(3)
    array([[ 2.782, 10.395]])
    """
    many = _rewound_each(machine, ratios)
    return thrust_ceiling(many).thrust.reshape(machine.thrust.shape[0], -1)


def strongest_winding(machine: Machine) -> WindingChoice:
    """Return the winding of greatest thrust within the limits; none where no limit of current is stated.

    Parameters
    ----------
    machine
        n cases.

    Returns
    -------
    WindingChoice
        Of windings that give the same thrust, the one of least KV. Not a number where neither heat nor supply limits
        current: thrust then rises with KV as far as anybody winds.

    Source
    ------
    Search over 0.4 to 2.5 times the motor's KV with `thrust_over_winding`.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1), speed, torque, thrust, SupplyLine(20.0))
    >>> strongest_winding(machine).ratio
    array([nan])
    """
    count = machine.thrust.shape[0]
    limited = np.isfinite(floats(machine.heat_limit)) | np.isfinite(floats(machine.supply.current_limit))
    limited = np.broadcast_to(limited, (count,))

    def best(ratios: Floats) -> tuple[NDArray[np.intp], Floats]:
        thrust = thrust_over_winding(machine, ratios)
        top = np.max(np.where(np.isfinite(thrust), thrust, -np.inf), axis=1, keepdims=True)
        return np.argmax(thrust >= top * (1.0 - _ALIKE), axis=1), thrust

    return _searched(best, limited)


def efficient_winding(machine: Machine, thrust: ArrayLike, *, reserve: float = 1.0) -> WindingChoice:
    """Return the winding that takes least power from the supply at a thrust and still reaches a multiple of it.

    Parameters
    ----------
    machine
        n cases.
    thrust
        A number or (n,) [N].
    reserve
        How many times that thrust must be reached at full throttle within the limits [1].

    Returns
    -------
    WindingChoice
        Of windings that take the same power, the one of least KV. Not a number where no winding reaches it.

    Source
    ------
    Search over 0.4 to 2.5 times the motor's KV. The winding's own loss does not change with KV; what controller and
    leads lose rises as its square, so that the least KV that still reaches is the best one wherever they lose anything.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> torque, thrust = 4e-8 * speed[None] ** 2, 3e-6 * speed[None] ** 2
    >>> machine = Machine(DriveConstants(100.0, 0.1, 0.01), speed, torque, thrust, SupplyLine(20.0))
    >>> found = efficient_winding(machine, 10.395)
    >>> found.ratio.round(3)
    array([1.])
    """
    # A step of one uncertainty may leave the controller a loss below zero, and no controller gives power.
    lossy = machine.constants._replace(loss_resistance=np.maximum(floats(machine.constants.loss_resistance), 0.0))
    machine = machine._replace(constants=lossy)
    wanted = np.broadcast_to(floats(thrust), (machine.thrust.shape[0],))
    there = np.ones(wanted.shape, dtype=bool)

    def best(ratios: Floats) -> tuple[NDArray[np.intp], Floats]:
        many = _rewound_each(machine, ratios)
        state = state_at_thrust(many, np.repeat(wanted, ratios.shape[1]))
        power = (state.voltage * state.current).reshape(ratios.shape)
        reached = thrust_ceiling(many).thrust.reshape(ratios.shape) >= reserve * wanted[:, None] * (1.0 - 1e-9)
        power = np.where(reached & np.isfinite(power), power, np.inf)
        least = np.min(power, axis=1, keepdims=True)
        return np.argmax(power <= least * (1.0 + _ALIKE), axis=1), np.where(np.isfinite(power), power, np.nan)

    return _searched(best, there)


def _rewound_each(machine: Machine, ratios: Floats) -> Machine:
    """Return every machine with every winding, (n g) of them, a machine's windings together."""
    count = machine.thrust.shape[0]
    each = np.broadcast_to(ratios, (count, ratios.shape[-1]))
    places = each.shape[1]

    def repeated(value: ArrayLike) -> Floats:
        return np.repeat(np.broadcast_to(floats(value), (count,)), places)

    many = Machine(
        DriveConstants(*(repeated(value) for value in machine.constants)),
        machine.speed,
        np.repeat(machine.torque, places, axis=0),
        np.repeat(machine.thrust, places, axis=0),
        SupplyLine(*(repeated(value) for value in machine.supply)),
        repeated(machine.warmth),
        repeated(machine.heat_limit),
    )
    return rewound(many, each.reshape(-1))


def _searched(best: Callable[[Floats], tuple[NDArray[np.intp], Floats]], where: Bools) -> WindingChoice:
    """Look at windings ever nearer the best; `best` tells each machine's best place and what is found at all."""
    rows = np.arange(where.size)
    low, high = (np.full(where.size, np.log(end)) for end in _RANGE)
    for _ in range(_STAGES):
        ratios = np.exp(np.linspace(low, high, _PLACES, axis=1))
        place, found = best(ratios)
        logs = np.log(ratios)
        low, high = logs[rows, np.maximum(place - 1, 0)], logs[rows, np.minimum(place + 1, _PLACES - 1)]
    ratio, value = ratios[rows, place], found[rows, place]
    known = where & np.isfinite(value)
    edge = (ratio <= _RANGE[0] * (1.0 + 1e-9)) | (ratio >= _RANGE[1] * (1.0 - 1e-9))
    return WindingChoice(floats(np.where(known, ratio, np.nan)), floats(np.where(known, value, np.nan)), edge & known)
