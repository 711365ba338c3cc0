"""A motor by what motors.csv states of it, with the uncertainty that such values deserve."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.book import Motor
from isothrust.records.motor import CONSTANTS, MotorModel

__all__ = ["U_KV", "U_NO_LOAD_CURRENT", "U_RESISTANCE", "stated_motor"]

U_KV: Final = 0.03
"""Relative standard uncertainty of a stated KV: rounded to 10 or 50 rpm/V, and of the pattern, not of this motor."""
U_RESISTANCE: Final = 0.15
"""Of a stated resistance: at which temperature, with which leads and between which phases is seldom said."""
U_NO_LOAD_CURRENT: Final = 0.20
"""Of a stated no-load current: it depends on voltage, timing and how the bearings have run in."""
_U_ROTOR_INERTIA: Final = 0.10
"""Of a stated inertia: mostly worked out from mass and size."""


def stated_motor(motor: Motor) -> MotorModel:
    """Return the motor of a row in motors.csv; what the row does not state is absent with that reason."""
    kv, resistance, no_load = motor.kv, motor.resistance, motor.no_load_current
    friction = None if kv is None or no_load is None else no_load / kv
    values = {"kv": kv, "resistance": resistance, "friction": friction}
    covariance = np.full((len(CONSTANTS), len(CONSTANTS)), np.nan)
    known = [at for at, name in enumerate(CONSTANTS) if values.get(name) is not None]
    covariance[np.ix_(known, known)] = 0.0
    relative = {"kv": U_KV, "resistance": U_RESISTANCE, "friction": float(np.hypot(U_NO_LOAD_CURRENT, U_KV))}
    for at in known:
        value = values[CONSTANTS[at]]
        assert value is not None
        covariance[at, at] = (relative[CONSTANTS[at]] * value) ** 2
    if kv is not None and friction is not None:  # friction is current over KV: it falls as KV rises
        covariance[0, 3] = covariance[3, 0] = -U_KV * kv * U_KV * friction
    copper = None if kv is None or resistance is None else resistance * kv**2
    return MotorModel(
        motor.name,
        "stated",
        kv=kv,
        resistance=resistance,
        loss_resistance=None,
        friction=friction,
        viscous=None,
        idle_power=None,
        covariance=covariance,
        rotor_inertia=motor.rotor_inertia,
        u_rotor_inertia=None if motor.rotor_inertia is None else _U_ROTOR_INERTIA * motor.rotor_inertia,
        max_current=motor.max_current,
        unidentified=_missing(motor),
        copper=copper,
        u_copper=None if copper is None else copper * float(np.hypot(U_RESISTANCE, 2.0 * U_KV)),
    )


def _missing(motor: Motor) -> dict[str, str]:
    row = f"motor {motor.name} in motors.csv has no"
    out: dict[str, str] = {}
    if motor.kv is None:
        out["kv"] = f"{row} kv"
    if motor.resistance is None:
        out["resistance"] = f"{row} resistance"
    out["loss_resistance"] = "motors.csv says nothing of the controller"
    if motor.kv is None or motor.no_load_current is None:
        out["friction"] = f"{row} {'no-load current' if motor.no_load_current is None else 'kv'}"
    out["viscous"] = "motors.csv states one no-load current, which says nothing of how friction grows with speed"
    out["idle_power"] = "motors.csv says nothing of the controller"
    return {name: out[name] for name in CONSTANTS if name in out}
