"""What makes levels of a recording: a calibrator that was recorded, a stated sensitivity, or nothing."""

from __future__ import annotations

import math
from typing import Final

from isothrust.quantities import CHANNELS, DIMENSIONLESS, parse_unit
from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.records.rig import ChannelPlan, Rig
from isothrust.records.sound import SoundScale
from isothrust.reduction.sounding.calibrator import Calibration, calibrate

__all__ = ["scale_of"]

_DECIBEL = 20.0 / math.log(10.0)
"""Of a part in proportion [dB]."""
_AGREES: Final = 1.0
"""A sensitivity from a data sheet, and a recorder's gain, are seldom nearer [dB]."""


def scale_of(rig: Rig, calibrator: Channel | None) -> tuple[SoundScale, list[Finding]]:
    """Return by what a run's levels are absolute: its calibrator's recording before what the rig states."""
    plan = rig.channels["sound"]
    stated = _stated(rig, plan)
    if calibrator is None:
        return stated, []
    if plan.calibrator is None:
        said = f"rig {rig.name} does not state its level"
        return stated, [_unusable(said, 'write  calibrator = "94 dB"  under [channels.sound]')]
    found = calibrate(calibrator, plan.calibrator)
    if isinstance(found, str):
        return stated, [_unusable(found, "record the calibrator again, tight on the microphone, for five seconds")]
    own = 0.0 if stated.u_level is None else stated.u_level
    why = f"calibrator of {plan.calibrator:g} dB, {found.seconds:.0f} s of it"
    u_level = None if stated.u_level is None else math.hypot(own, found.u_level)
    scale = SoundScale("calibrator", u_level, why, plan.distance, found.gain)
    return scale, _disagreement(stated, found)


def _stated(rig: Rig, plan: ChannelPlan) -> SoundScale:
    u_level = None if plan.uncertainty is None else _DECIBEL * plan.uncertainty.relative
    why = _calibrated(plan)
    if why is None:
        missing = "no sensitivity" if plan.sensitivity is None else "no full_scale"
        return SoundScale(
            "none", None, f"rig {rig.name} states {missing}, and no calibrator was recorded", plan.distance
        )
    return SoundScale("sensitivity", u_level, why, plan.distance, 1.0)


def _disagreement(stated: SoundScale, found: Calibration) -> list[Finding]:
    """Tell where the stated sensitivity says something else."""
    away = 20.0 * math.log10(found.gain)
    if stated.by == "none" or abs(away) < _AGREES:
        return []
    return [
        Finding(
            "sensitivity-disagrees",
            "warning",
            f"the calibrator's recording reads {-away:+.1f} dB against its level by the stated sensitivity",
            channel="sound",
            effect="by the sensitivity alone every level would be off by that much",
            done="the calibrator is believed",
        )
    ]


def _unusable(why: str, fix: str) -> Finding:
    return Finding(
        "calibrator-unusable",
        "warning",
        f"the calibrator's recording gives no scale: {why}",
        channel="sound",
        effect="levels rest on the stated sensitivity, if there is one",
        done=f"left out; {fix}",
    )


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
