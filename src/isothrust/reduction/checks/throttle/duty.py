"""How much of the voltage a controller lets through, as current tells it: no winding that warms can feign a change."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence

__all__ = ["relative_duty"]


def relative_duty(evidence: Evidence) -> Floats | None:
    """Return what is in proportion to the duty at all bins (n,); NaN where no torque is; None without the channels.

    A controller takes duty times the motor's current from the supply, and torque tells the motor's current, up to a
    constant, whatever its winding's resistance. Where no torque cell is, thrust stands in: both go with speed squared.
    """
    bins, motor = evidence.prepared.bins, evidence.job.motor
    current = bins.get("current")
    torque = bins.get("torque")
    friction = 0.0
    if torque is None:
        torque = bins.get("thrust")
    elif motor is not None and motor.kv is not None and motor.no_load_current is not None:
        friction = motor.no_load_current / motor.kv
    if current is None or torque is None:
        return None
    driven = torque + friction
    return np.where(driven > 0.0, current, np.nan) / np.where(driven > 0.0, driven, 1.0)
