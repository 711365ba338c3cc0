"""A motor with its controller and supply as a campaign shows it, and the readings it is found from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from isothrust.records.recording import Floats

__all__ = ["CONSTANTS", "DrivePoints", "DutyMap", "LeftOut", "MotorModel", "Supply"]

CONSTANTS: Final = ("kv", "resistance", "loss_resistance", "friction", "viscous", "idle_power")
"""Constants of a motor and its controller, in the order of `MotorModel.covariance`."""


@dataclass(frozen=True, slots=True)
class DrivePoints:
    """Steady readings of one run in groups of near speed, as recorded in the air of the day (n,)."""

    speed: Floats
    """[rad/s]"""
    torque: Floats | None
    """On the shaft [N m]: as the cell reads it, zero and lag out, what accelerates the rotor still inside."""
    voltage: Floats | None
    """[V]"""
    current: Floats | None
    """Into the controller [A]."""
    throttle: Floats | None
    """0 to 1."""
    torque_heat: Floats | None
    """Integral of torque squared over time until there [N2 m2 s]: what has warmed the winding."""
    rows: Floats
    """Independent readings in each group."""
    full: Floats | None = None
    """1 where throttle stood at 100 % and the rotor had settled, 0 elsewhere; None without throttle."""
    torque_time: Floats | None = None
    """Integral of torque over time until there [N m s]: friction's share in the heat goes with it."""
    heat_time: Floats | None = None
    """Integral of `torque_heat` over time until there [N2 m2 s2]: over it, heat has had the time to leave."""
    acceleration: Floats | None = None
    """d omega/dt [rad/s2]: what it takes of the torque is inside `torque`; 0 in a settled spell at full throttle."""
    temperature: float | None = None
    """Of the air [K], which is the winding's before the run; None where nobody read it."""


@dataclass(frozen=True, slots=True)
class DutyMap:
    """What share of the voltage the controller passes on at a throttle: straight between its corners (k,)."""

    throttle: Floats
    duty: Floats
    uncertainty: Floats


@dataclass(frozen=True, slots=True)
class Supply:
    """V = voltage - resistance * current at the controller's input."""

    voltage: float
    """Without load [V]."""
    resistance: float
    """Of source and leads up to where voltage is sensed [ohm]."""
    u_voltage: float
    u_resistance: float


@dataclass(frozen=True, slots=True)
class LeftOut:
    """How a design was foretold from the motor that the other designs' runs show, and its own coefficients."""

    design: str
    runs: tuple[str, ...]
    errors: Mapping[str, float]
    """As in `MotorModel.prediction_errors`: foretold over measured less one, mean over the design's runs."""


@dataclass(frozen=True, slots=True)
class MotorModel:
    """Motor and controller: duty V = omega/kv + resistance i; Q = i/kv - friction - viscous omega.

    The controller takes V I = duty V i + loss_resistance i^2 + idle_power.
    """

    name: str
    origin: Literal["found", "stated"]
    """From runs, or from motors.csv."""
    kv: float | None
    """Speed constant [rad/s/V]."""
    resistance: float | None
    """Of winding and motor leads at `temperature` [ohm]."""
    loss_resistance: float | None
    """Of the controller, as far as its loss goes with current squared [ohm]."""
    friction: float | None
    """Constant part of Kt i0 [N m]."""
    viscous: float | None
    """Part of Kt i0 in proportion to speed [N m s]."""
    idle_power: float | None
    """What the controller takes besides [W]."""
    covariance: Floats
    """(6, 6) in the order of `CONSTANTS`; not a number where a constant is not known."""
    temperature: float = 293.15
    """Of the winding [K] that `resistance` is stated at."""
    warmth: float = 0.0
    """How much warmer the winding is at the end of a run to full throttle [K]."""
    u_warmth: float = 0.0
    heat_capacity: float | None = None
    """Of the winding [J/K]."""
    rotor_inertia: float | None = None
    """Of bell and adapter [kg m2]."""
    u_rotor_inertia: float | None = None
    max_current: float | None = None
    """Motor current that heat allows [A]."""
    degrees_of_freedom: float = float("inf")
    duty: DutyMap | None = None
    supply: Supply | None = None
    """Of the runs it was found from."""
    runs: tuple[str, ...] = ()
    designs: tuple[str, ...] = ()
    unidentified: Mapping[str, str] = field(default_factory=dict)
    """Constant -> why these runs cannot tell it."""
    prediction_errors: Mapping[str, float] = field(default_factory=dict)
    """'thrust', 'current', 'speed' at full throttle and 'thrust-mid', … -> relative rms over the designs left out."""
    left_out: tuple[LeftOut, ...] = ()
    copper: float | None = None
    """Resistance times KV squared [W/(N m)^2]: known from power and torque even where KV is not."""
    u_copper: float | None = None
    flags: tuple[str, ...] = ()
    """'kv-stated', 'calibration-not-stated', 'torque-not-measured', 'warmth-not-known': shown with the motor."""
    notes: tuple[str, ...] = ()
    """In words: which readings at full throttle did not count, and why, …"""
