"""A motor that was not tested: what its data sheet says, with the uncertainty that such values have."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.records.book import Motor
from isothrust.records.motor import CONSTANTS, MotorModel

__all__ = ["SHEET_UNCERTAINTY", "sheet_motor"]

SHEET_UNCERTAINTY: Final[Mapping[str, float]] = MappingProxyType({"kv": 0.03, "resistance": 0.15, "friction": 0.2})
"""Standard uncertainties of data-sheet values, relative: KV is named by the hundred, resistance is measured cold, at
the wires, on one motor; the no-load current holds at one speed that is seldom told."""
CONTROLLER: Final = (0.005, 0.005)
"""Resistance of a controller that nobody described, and its standard uncertainty [ohm]."""
IDLE: Final = (1.0, 1.0)
"""What it takes besides, and its standard uncertainty [W]."""
WARMTH: Final = (20.0, 15.0)
"""How much warmer than stated the winding is in use, and its standard uncertainty [K]."""


def sheet_motor(motor: Motor) -> MotorModel:
    """Return a motor as motors.csv states it; what is not stated there is None, with the reason."""
    friction = None
    if motor.no_load_current is not None and motor.kv is not None:
        friction = motor.no_load_current / motor.kv
    sheet = {"kv": motor.kv, "resistance": motor.resistance, "friction": friction}
    u = {name: SHEET_UNCERTAINTY[name] * value for name, value in sheet.items() if value is not None}
    u |= {"loss_resistance": CONTROLLER[1], "idle_power": IDLE[1], "viscous": 0.0}
    columns = {"kv": "kv", "resistance": "resistance", "friction": "no-load current"}
    missing = {name: f"motors.csv has no {columns[name]} of it" for name, value in sheet.items() if value is None}
    return MotorModel(
        name=motor.name,
        origin="stated",
        covariance=np.diag([u.get(name, math.nan) ** 2 for name in CONSTANTS]),
        warmth=WARMTH[0],
        u_warmth=WARMTH[1],
        rotor_inertia=motor.rotor_inertia,
        max_current=motor.max_current,
        unidentified=missing,
        kv=motor.kv,
        resistance=motor.resistance,
        loss_resistance=CONTROLLER[0],
        friction=friction,
        viscous=0.0,
        idle_power=IDLE[0],
    )
