"""Where a propeller's torque meets what motor, controller and supply can give.

KV is in rad/s/V, so the torque constant is 1/KV in N m/A. Duty is the share of the supply's voltage that the controller
passes on to the windings.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Bools, Floats, floats

__all__ = [
    "COPPER",
    "DriveConstants",
    "LoadCurve",
    "OperatingPoint",
    "SupplyLine",
    "drive_state",
    "solve_operating_point",
]

COPPER: Final = 0.0039
"""Rise of copper's resistance about 20 degC, in proportion a kelvin."""
_HALVINGS: Final = 60
_BEYOND: Final = 4.0
"""Speeds up to this many times the table's greatest are looked at."""


class DriveConstants(NamedTuple):
    """Motor and controller; each a number or one value a case (n,)."""

    kv: ArrayLike
    """[rad/s/V]"""
    resistance: ArrayLike
    """Of winding and motor leads at the reference temperature [ohm]."""
    loss_resistance: ArrayLike = 0.0
    """Of the controller [ohm]."""
    friction: ArrayLike = 0.0
    """[N m]"""
    viscous: ArrayLike = 0.0
    """[N m s]"""
    idle_power: ArrayLike = 0.0
    """[W]"""


class LoadCurve(NamedTuple):
    """Torque that the propeller asks for over speed."""

    speed: Floats
    """Rising, above 0: (k,), or a row a case (n, k) [rad/s]."""
    torque: Floats
    """Same shape [N m]; beyond the table's ends it goes on with the square of speed."""
    added: ArrayLike = 0.0
    """What the rotor's own acceleration takes besides, a number or (n,) [N m]."""


class SupplyLine(NamedTuple):
    """V = voltage - resistance * I at the controller's input; each a number or (n,)."""

    voltage: ArrayLike
    resistance: ArrayLike = 0.0
    current_limit: ArrayLike = np.inf
    """Most that the supply gives [A]."""


class OperatingPoint(NamedTuple):
    """Steady state of n cases; not a number where a case has none."""

    speed: Floats
    """[rad/s]"""
    torque: Floats
    """On the shaft [N m]."""
    motor_current: Floats
    """[A]"""
    current: Floats
    """At the controller's input [A]."""
    voltage: Floats
    """At the controller's input [V]."""
    duty: Floats
    """That the state takes: what was asked for, or less where a limit holds it back [1]."""
    motor_limited: Bools
    supply_limited: Bools


def solve_operating_point(
    constants: DriveConstants,
    load: LoadCurve,
    duty: ArrayLike,
    supply: SupplyLine,
    *,
    warmth: ArrayLike = 0.0,
    current_limit: ArrayLike = np.inf,
) -> OperatingPoint:
    """Return the steady state of motor, controller, supply and propeller at a duty.

    Parameters
    ----------
    constants
        Motor and controller.
    load
        The propeller.
    duty
        0 to 1, a number or (n,) [1].
    supply
        Voltage, resistance and limit of the source.
    warmth
        Of the winding over the temperature that its resistance is stated at, a number or (n,) [K].
    current_limit
        Most that the motor's current may be, a number or (n,) [A].

    Returns
    -------
    OperatingPoint
        Arrays (n,): the greatest speed at which the voltage reaches and no limit is passed. Not a number where not even
        a crawl is possible, or an input is not a number.

    Source
    ------
    d V = Omega/KV + R i and Q = i/KV - Q0 [Drela2007], V I = d V i + Rc i^2 + P0; by bisection, since torque asked for,
    current and the voltage they take all rise with speed.

    Examples
    --------
    >>> speed = np.linspace(100.0, 3000.0, 50)
    >>> load = LoadCurve(speed, 4e-8 * speed**2)
    >>> point = solve_operating_point(DriveConstants(100.0, 0.1), load, 1.0, SupplyLine(20.0))
    >>> w = float(point.speed[0])
    >>> f"{w:.1f}", abs(20.0 - w / 100.0 - 0.1 * 100.0 * 4e-8 * w**2) < 1e-9
    ('1861.4', True)
    """
    given = (*constants, duty, *supply, warmth, current_limit, load.added)
    rows = load.speed.shape[0] if load.speed.ndim == 2 else 1
    count = max(rows, *(np.size(value) for value in given))
    case = _Case(constants, load, supply, floats(warmth), count)
    asked = np.broadcast_to(floats(duty), (count,))
    most = np.broadcast_to(floats(current_limit), (count,))
    supply_most = np.broadcast_to(floats(supply.current_limit), (count,))
    high = np.broadcast_to(_BEYOND * np.max(load.speed, axis=-1), (count,)).copy()
    low = np.zeros(count)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        state = case.at(middle)
        fine = (state.duty <= asked) & (state.motor_current <= most) & (state.current <= supply_most)
        low, high = np.where(fine, middle, low), np.where(fine, high, middle)
    known = np.isfinite(sum(np.broadcast_to(floats(value), (count,)) for value in (*constants, duty, supply.voltage)))
    found = case.at(np.where((low > 0.0) & known, low, np.nan))
    held = found.duty < asked * (1.0 - 1e-9)
    return found._replace(
        motor_limited=held & (found.motor_current >= most * (1.0 - 1e-6)),
        supply_limited=held & (found.current >= supply_most * (1.0 - 1e-6)),
    )


def drive_state(
    constants: DriveConstants, speed: ArrayLike, torque: ArrayLike, supply: SupplyLine, *, warmth: ArrayLike = 0.0
) -> OperatingPoint:
    """Return what the drive takes at a speed against a torque on the shaft, whatever duty that needs.

    Parameters
    ----------
    constants
        Motor and controller.
    speed
        (n,) [rad/s].
    torque
        (n,) [N m].
    supply
        Voltage and resistance of the source; its limit is not looked at.
    warmth
        Of the winding, a number or (n,) [K].

    Returns
    -------
    OperatingPoint
        Arrays (n,); voltage and current are not a number and duty is infinite where the source cannot give the power. A
        duty above 1 means that the voltage does not reach.

    Source
    ------
    As `solve_operating_point`.

    Examples
    --------
    >>> point = drive_state(DriveConstants(100.0, 0.1), [1000.0], [0.2], SupplyLine(20.0, 0.1))
    >>> f"{float(point.motor_current[0]):.3f} {float(point.voltage[0] * point.current[0]):.3f}"
    '20.000 240.000'
    """
    w, q = floats(speed), floats(torque)
    kv = floats(constants.kv)
    motor = kv * (q + floats(constants.friction) + floats(constants.viscous) * w)
    winding = w / kv + floats(constants.resistance) * (1.0 + COPPER * floats(warmth)) * motor
    power = winding * motor + floats(constants.loss_resistance) * motor**2 + floats(constants.idle_power)
    v0 = floats(supply.voltage)
    square = v0**2 - 4.0 * floats(supply.resistance) * power
    with np.errstate(invalid="ignore", divide="ignore"):
        voltage = np.where(square >= 0.0, 0.5 * (v0 + np.sqrt(np.maximum(square, 0.0))), np.nan)
        current = power / voltage
        share = np.where(np.isfinite(voltage), winding / voltage, np.where(np.isnan(square), np.nan, np.inf))
    none = np.zeros(share.shape, dtype=bool)
    return OperatingPoint(
        np.broadcast_to(w, share.shape),
        np.broadcast_to(q, share.shape),
        floats(np.broadcast_to(motor, share.shape)),
        floats(current),
        floats(voltage),
        floats(share),
        none,
        none,
    )


class _Case:
    """n cases whose state is wanted at speed after speed."""

    def __init__(
        self, constants: DriveConstants, load: LoadCurve, supply: SupplyLine, warmth: Floats, count: int
    ) -> None:
        self.constants, self.supply, self.warmth = constants, supply, warmth
        self.speed = np.broadcast_to(load.speed, (count, load.speed.shape[-1]))
        self.coefficient = np.broadcast_to(load.torque / load.speed**2, self.speed.shape)
        self.added = floats(load.added)
        self.rows = np.arange(count)

    def at(self, omega: Floats) -> OperatingPoint:
        return drive_state(self.constants, omega, self._torque(omega), self.supply, warmth=self.warmth)

    def _torque(self, omega: Floats) -> Floats:
        """Torque at one speed a case (n,): the coefficient straight between the table's speeds, level beyond them."""
        last = self.speed.shape[1] - 1
        after = np.clip(np.sum(self.speed < omega[:, None], axis=1), 1, max(last, 1))
        after = np.minimum(after, last)
        before = np.maximum(after - 1, 0)
        x0, x1 = self.speed[self.rows, before], self.speed[self.rows, after]
        y0, y1 = self.coefficient[self.rows, before], self.coefficient[self.rows, after]
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(x1 > x0, np.clip((omega - x0) / (x1 - x0), 0.0, 1.0), 0.0)
        return floats((y0 + share * (y1 - y0)) * omega**2 + self.added)
