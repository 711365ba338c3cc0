"""Speed of the rotor over time: all runs at once, one lane each, by Heun's rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.virtual.monotone import Floats
from isothrust.virtual.noise import red_noise
from isothrust.virtual.plans import RunPlan
from isothrust.virtual.room import RoomAir

__all__ = ["GRID_RATE", "Motion", "integrate"]

GRID_RATE = 1000.0
"""Rate [Hz] at which the motion is kept: the logs are made from it."""
_TABLE = 2048
_BLOCK = 500


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """What really happened, at 1 kHz: arrays (rows, lanes)."""

    time: Floats
    omega: Floats
    motor_current: Floats
    shaft_torque: Floats
    """On the propeller and its inertia, and so on the stator: Kt i - friction [N m]."""
    voltage: Floats
    """At the controller's input."""
    current: Floats
    winding_temperature: Floats
    wander: Floats | None
    """Flutter's excess, in proportion to its mean; None where no lane flutters."""
    inflow: Floats | None
    """[m/s] that the room sends back; None where every room is large enough."""


@dataclass(slots=True)
class _Lanes:
    """Parameters, one value a lane."""

    kt: Floats
    resistance: Floats
    friction: Floats
    viscous: Floats
    inertia: Floats
    supply: Floats
    source: Floats
    idle: Floats
    loss: Floats
    limit: Floats
    brake: Floats
    slope: Floats
    ambient: Floats
    heat: Floats
    cooling: Floats
    latency: Floats
    bus_rise: Floats
    """[V s/A]: inverse capacitance where the supply takes nothing back, else 0."""
    bus_top: Floats
    capacitors: bool
    """True where any lane's supply takes nothing back."""
    supply_limit: Floats
    limited: bool
    """True where any lane's supply limits its current."""
    board_heat: Floats
    board_cooling: Floats
    derating_from: Floats
    derating: Floats


def _lanes(plans: Sequence[RunPlan]) -> _Lanes:
    def each(*names: str) -> list[Floats]:
        return [np.array([getattr(plan.drive, name) for plan in plans], dtype=np.float64) for name in names]

    kt, resistance, friction, viscous = each("torque_constant", "resistance", "friction", "viscous")
    supply, source, idle, loss = each("supply_voltage", "source_resistance", "idle_power", "loss_resistance")
    limit, brake, slope, latency = each("current_limit", "brake_limit", "duty_slope", "latency")
    heat, cooling, capacity, top = each("heat_capacity", "cooling", "bus_capacitance", "bus_limit")
    brakes = np.array([plan.drive.brakes for plan in plans])
    sinks = np.array([plan.drive.sinks_current for plan in plans])
    leads, most = each("lead_resistance", "supply_limit")
    board_heat, board_cooling = each("controller_capacity", "controller_cooling")
    derating_from, derating = each("derating_from", "derating")
    return _Lanes(
        kt=kt,
        resistance=resistance,
        friction=friction,
        viscous=viscous,
        inertia=np.array([plan.inertia for plan in plans]),
        supply=supply,
        source=source + leads,
        idle=idle,
        loss=loss,
        limit=limit,
        brake=np.where(brakes, -brake, 0.0),
        slope=slope,
        ambient=np.array([plan.air.temperature for plan in plans]),
        heat=heat,
        cooling=cooling,
        latency=latency,
        bus_rise=np.where(sinks, 0.0, 1.0 / capacity),
        bus_top=supply * top,
        capacitors=not bool(sinks.all()),
        supply_limit=most,
        limited=bool(np.isfinite(most).any()),
        board_heat=board_heat,
        board_cooling=board_cooling,
        derating_from=derating_from,
        derating=derating,
    )


class _Load:
    """Aerodynamic torque over omega squared, from dense tables, one row a lane."""

    def __init__(self, plans: Sequence[RunPlan]) -> None:
        # Every lane has a grid of its own, so that a run does not depend on its neighbours.
        tops = [2 * np.pi * plan.drive.supply_voltage * plan.drive.kv / 60 * 1.05 for plan in plans]
        self._per_speed = (_TABLE - 1) / np.array(tops)
        rows = [_load_rows(plan, np.linspace(0.0, top, _TABLE)) for plan, top in zip(plans, tops, strict=True)]
        self._table = np.concatenate([torque for torque, _ in rows])
        self._excess = np.concatenate([excess for _, excess in rows])
        self._flutters = any(plan.propeller.flutter for plan in plans)
        self._offset = np.arange(len(plans)) * _TABLE

    def torque(self, omega: Floats, wander: Floats | None) -> Floats:
        """Torque [N m] that the air takes at omega [rad/s] of every lane."""
        place = omega * self._per_speed
        k = np.minimum(place.astype(np.intp), _TABLE - 2)
        part = place - k
        at = k + self._offset
        value = self._table[at] * (1 - part) + self._table[at + 1] * part
        if self._flutters and wander is not None:
            value = value * (1 + wander * (self._excess[at] * (1 - part) + self._excess[at + 1] * part))
        return np.asarray(value * omega * omega, dtype=np.float64)


def _load_rows(plan: RunPlan, omega: Floats) -> tuple[Floats, Floats]:
    """Torque over omega squared of one run, and the part of it that flutter adds."""
    propeller, n = plan.propeller, omega / (2 * np.pi)
    scale = plan.air.density * propeller.diameter**5 / (2 * np.pi) ** 3 * plan.factors.power
    torque = scale * propeller.power_coefficient(n, plan.air)
    if propeller.flutter is None:
        return torque, np.zeros_like(torque)
    rise = propeller.flutter.power_rise * propeller.flutter.growth(n)
    return torque, rise / (1 + rise)


def _wander(plans: Sequence[RunPlan], randoms: Sequence[np.random.Generator], rows: int) -> Floats | None:
    """Slow random course of every lane's flutter, standard deviation as its propeller says."""
    if not any(plan.propeller.flutter for plan in plans):
        return None
    wander = np.zeros((rows, len(plans)))
    for lane, plan in enumerate(plans):
        flutter = plan.propeller.flutter
        if flutter is not None:
            wander[:, lane] = flutter.wander * red_noise(randoms[lane], rows, flutter.wander_time * GRID_RATE)
    return wander


def _motor_current(lane: _Lanes, omega: Floats, duty: Floats, bus: Floats, resistance: Floats, own: Floats) -> Floats:
    """Motor current at a speed and a duty: duty V = Kt omega + R i and V = Vs - Rs I together.

    The controller's own current is as it was when the millisecond began. No current where the phases are off (duty 0).
    """
    back = lane.kt * omega
    share = lane.source * duty / resistance
    voltage = (lane.supply - lane.source * own + share * back) / (1 + share * duty)
    if lane.capacitors:
        charged = (lane.bus_rise > 0) & (bus > lane.supply)
        voltage = np.where(charged, np.maximum(voltage, np.minimum(bus, lane.bus_top)), voltage)
    current = np.minimum(np.maximum((duty * voltage - back) / resistance, lane.brake), lane.limit)
    if lane.limited:
        current = np.minimum(current, _supplied(lane, duty, bus))
    return np.asarray(current * (duty > 0), dtype=np.float64)


def _supplied(lane: _Lanes, duty: Floats, bus: Floats) -> Floats:
    """Motor current at which the supply gives its most: duty i + (idle + loss i2)/V = limit, V as it last was."""
    bend = lane.loss / bus
    spare = np.where(np.isfinite(lane.supply_limit), lane.supply_limit - lane.idle / bus, 1e6)
    return np.asarray(2 * spare / (duty + np.sqrt(duty**2 + 4 * bend * spare)), dtype=np.float64)


def _input(lane: _Lanes, omega: Floats, current: Floats, resistance: Floats) -> tuple[Floats, Floats]:
    """Power into the controller and the voltage of the supply's line there: V I = duty V i + loss holds to rounding."""
    power = (lane.kt * omega + resistance * current) * current + lane.idle + lane.loss * current**2
    line = 0.5 * (lane.supply + np.sqrt(np.maximum(lane.supply**2 - 4 * lane.source * power, 0.0)))
    return power, line


def _collapsed(lane: _Lanes, line: Floats, power: Floats, current: Floats, most: Floats) -> Floats:
    """Voltage at the controller: that of the line, or, while the supply gives its most, what the power makes of it."""
    at_limit = current >= most * (1 - 1e-9)
    return np.where(at_limit, np.minimum(line, power / np.minimum(lane.supply_limit, 1e6)), line)


def _bus(lane: _Lanes, line: Floats, power: Floats, bus: Floats, step: float) -> tuple[Floats, Floats]:
    """Voltage after `step`, and current from the supply.

    Where the supply takes nothing back, what the motor returns charges the controller's capacitor, and no current
    flows at its input until the capacitor has come down to the supply's own voltage again. Below that it follows the
    supply's line within a tenth of a millisecond.
    """
    if not lane.capacitors:
        return line, power / line
    stored = np.minimum(bus - lane.bus_rise * power / bus * step, lane.bus_top)
    charged = (lane.bus_rise > 0) & (stored > lane.supply)
    return np.where(charged, stored, line), np.where(charged, 0.0, power / np.where(charged, stored, line))


def integrate(plans: Sequence[RunPlan], randoms: Sequence[np.random.Generator], *, step: float = 5e-4) -> Motion:
    """Integrate all plans from rest over the longest schedule; `step` [s] divides a millisecond."""
    lane, load = _lanes(plans), _Load(plans)
    sub = round(1 / (GRID_RATE * step))
    rows = round(max(plan.schedule.duration for plan in plans) * GRID_RATE) + 1
    wander = _wander(plans, randoms, rows)
    kept = np.zeros((6, rows, len(plans)))
    omega, duty = np.zeros(len(plans)), np.zeros(len(plans))
    bus, warmth, own = lane.supply.copy(), lane.ambient.copy(), lane.idle / lane.supply
    commands = np.empty((0, len(plans)))
    board = np.zeros(len(plans))
    grips = _grips(plans, rows)
    room = _room(plans)
    inflow = None if room is None else np.zeros((rows, len(plans)))
    still = np.ones(len(plans))
    for row in range(rows):
        within = row % _BLOCK
        if within == 0:
            commands = _commands(plans, lane.latency, row, sub)
        gust = None if wander is None else wander[row]
        resistance = lane.resistance * (1 + 0.0039 * (warmth - 293.15))
        share = 1 - lane.derating * np.maximum(board - lane.derating_from, 0.0)
        grip = 1.0 if grips is None else grips[row]
        relief = still if room is None else room.power_share(omega)
        if room is not None and inflow is not None:
            inflow[row] = room.inflow
            room.pass_on(omega, 1 / GRID_RATE)
        for inner in range(sub):
            now = np.minimum(commands[within * sub + inner] * share, duty + lane.slope * step)
            current = _motor_current(lane, omega * grip, now, bus, resistance, own)
            net = lane.kt * current * grip - _friction(lane, omega)
            if inner == 0 or lane.capacitors:
                power, line = _input(lane, omega * grip, current, resistance)
                if lane.limited:
                    line = _collapsed(lane, line, power, current, _supplied(lane, now, bus))
            if inner == 0:
                bus, supplied = _bus(lane, line, power, bus, 0.0)
                own = (lane.idle + lane.loss * current**2) / bus
                for k, value in enumerate((omega, current, net, bus, supplied, warmth)):
                    kept[k, row] = value
                heat = resistance * current**2 + lane.cooling * (lane.ambient - warmth)
                warmth = warmth + heat / (lane.heat * GRID_RATE)
                lost = lane.loss * current**2 - lane.board_cooling * board
                board = board + lost / (lane.board_heat * GRID_RATE)
            if lane.capacitors:
                bus, _ = _bus(lane, line, power, bus, step)
            rate = (net - load.torque(omega, gust) * relief) / lane.inertia
            ahead = np.maximum(omega + step * rate, 0.0)
            later = np.minimum(commands[within * sub + inner + 1] * share, now + lane.slope * step)
            onward = lane.kt * _motor_current(lane, ahead * grip, later, bus, resistance, own) * grip
            onward = onward - _friction(lane, ahead)
            rate_ahead = (onward - load.torque(ahead, gust) * relief) / lane.inertia
            omega = np.maximum(omega + 0.5 * step * (rate + rate_ahead), 0.0)
            duty = now
    speed, current, net, bus, supplied, warmth = kept
    return Motion(np.arange(rows) / GRID_RATE, speed, current, net, bus, supplied, warmth, wander, inflow)


def _room(plans: Sequence[RunPlan]) -> RoomAir | None:
    if all(plan.room is None for plan in plans):
        return None
    return RoomAir([plan.propeller for plan in plans], [plan.room for plan in plans])


def _friction(lane: _Lanes, omega: Floats) -> Floats:
    return lane.friction * np.minimum(omega * 0.2, 1.0) + lane.viscous * omega


def _grips(plans: Sequence[RunPlan], rows: int) -> Floats | None:
    """1 where the rotor follows the field, 0 where it has slipped out of step (rows, lanes); None where none does."""
    if not any(plan.drive.slips for plan in plans):
        return None
    grips = np.ones((rows, len(plans)))
    for lane, plan in enumerate(plans):
        for start, duration in plan.drive.slips:
            first = round(start * GRID_RATE)
            grips[first : first + round(duration * GRID_RATE), lane] = 0.0
    return grips


def _commands(plans: Sequence[RunPlan], latency: Floats, row: int, sub: int) -> Floats:
    """Duty asked of every lane at the steps of one block, and one step beyond."""
    offsets = np.arange(_BLOCK * sub + 1) / (GRID_RATE * sub) + row / GRID_RATE
    asked = np.empty((offsets.size, len(plans)))
    for k, plan in enumerate(plans):
        asked[:, k] = plan.drive.duty(plan.schedule.throttle(offsets - latency[k]))
    return asked
