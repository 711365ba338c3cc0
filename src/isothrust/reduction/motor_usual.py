"""What a data sheet does not say and every motor has all the same: a controller, and a winding that gets warm."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.records.motor import CONSTANTS, MotorModel

__all__ = ["with_usual_controller"]

CONTROLLER: Final = (0.005, 0.005)
"""Resistance of a controller that nobody described, and its standard uncertainty [ohm]."""
IDLE: Final = (1.0, 1.0)
"""What it takes besides, and its standard uncertainty [W]."""
WARMTH: Final = (20.0, 15.0)
"""How much warmer than stated the winding is in use, and its standard uncertainty [K]."""


def with_usual_controller(motor: MotorModel) -> MotorModel:
    """Return a motor that is only stated, on a usual controller and warm from use; a found one stays as it is."""
    if motor.origin != "stated":
        return motor
    covariance = np.array(motor.covariance, dtype=np.float64)
    for name, (_, u) in (("loss_resistance", CONTROLLER), ("idle_power", IDLE)):
        if getattr(motor, name) is None:
            at = CONSTANTS.index(name)
            covariance[at] = covariance[:, at] = 0.0
            covariance[at, at] = u**2
    return replace(
        motor,
        loss_resistance=CONTROLLER[0] if motor.loss_resistance is None else motor.loss_resistance,
        idle_power=IDLE[0] if motor.idle_power is None else motor.idle_power,
        covariance=covariance,
        warmth=WARMTH[0],
        u_warmth=WARMTH[1],
    )
