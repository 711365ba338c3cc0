"""What makes levels of a recording: a stated sensitivity, or nothing."""

from __future__ import annotations

import math

from isothrust.quantities import CHANNELS, DIMENSIONLESS, parse_unit
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.records.sound import SoundScale

__all__ = ["scale_of"]

_DECIBEL = 20.0 / math.log(10.0)
"""Of a part in proportion [dB]."""


def scale_of(rig: Rig) -> SoundScale:
    """Return by what a run's levels are absolute, from what the rig states."""
    plan = rig.channels["sound"]
    stated = plan.uncertainty
    u_level = None if stated is None else _DECIBEL * stated.relative
    why = _calibrated(plan)
    if why is None:
        missing = "no sensitivity" if plan.sensitivity is None else "no full_scale"
        return SoundScale("none", None, f"rig {rig.name} states {missing}", plan.distance)
    return SoundScale("sensitivity", u_level, why, plan.distance, 1.0)


def _calibrated(plan: ChannelPlan) -> str | None:
    """Return in words what makes the readings pascals; None where nothing does."""
    unit = None if plan.unit is None else parse_unit(plan.unit)
    if unit is not None and unit.dimension == CHANNELS["sound"].dimension:
        return f"recorded in {plan.unit}"
    if plan.sensitivity is None:
        return None
    said = f"sensitivity of {1e3 * plan.sensitivity:.4g} mV/Pa, as the rig states"
    if unit is not None and unit.dimension == CHANNELS["voltage"].dimension:
        return said
    dimensionless = unit is None or unit.dimension == DIMENSIONLESS
    return said if dimensionless and plan.full_scale is not None else None
