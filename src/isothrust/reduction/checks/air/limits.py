"""Speeds at which blades are at risk, or at which the air at their tips is no longer the air of slow flight."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.words import said_reading
from isothrust.science.air import speed_of_sound
from isothrust.science.rotor import tip_mach

__all__ = ["check_maximum_speed", "check_tip_mach"]

_ABOVE: Final = 1.003
"""Share of the limit that scale and noise of a tachometer may stand for [1]."""
_FEWEST: Final = 3
"""Bins above the limit: one alone is noise."""
_MACH: Final = 0.7
"""Tip Mach number from which compressibility moves the coefficients of thick blades [1]."""


def check_maximum_speed(evidence: Evidence) -> list[Finding]:
    """Return a finding where the rotor turned faster than its maker allows."""
    limit, speed = evidence.job.design.max_speed, evidence.prepared.bins.get("speed")
    if limit is None or limit <= 0.0 or speed is None:
        return []
    over = np.flatnonzero(speed > _ABOVE * limit)  # a blank bin is over nothing
    if over.size < _FEWEST:
        return []
    bins = evidence.prepared.bins
    top = float(np.max(speed[over]))
    lasted = bins.width * over.size
    return [
        Finding(
            code="speed-above-limit",
            severity="warning",
            message=f"the propeller turned at {said_reading('speed', top)} where its maker allows "
            f"{said_reading('speed', limit)} ({100.0 * (top / limit - 1.0):+.1f} %), for {lasted:.2g} s: blades may "
            "burst; keep out of the plane of rotation, and look hub and roots over before it turns again",
            channel="speed",
            start=float(bins.time[over[0]]),
            end=float(bins.time[over[-1]]),
            count=int(over.size),
            effect="none on the figures while the blades hold; overstretched blades may have other coefficients since",
            done="nothing",
        )
    ]


def check_tip_mach(evidence: Evidence) -> list[Finding]:
    """Return a note where blade tips pass Mach 0.7 in the air of the day."""
    air, diameter, speed = evidence.job.run.air, evidence.job.design.diameter, evidence.prepared.bins.get("speed")
    if air is None or diameter is None or speed is None:
        return []
    mach = tip_mach(speed / (2.0 * np.pi), diameter, speed_of_sound(air.temperature.value))
    turning = speed > 0.05 * evidence.prepared.spells.top
    over = np.flatnonzero(mach > _MACH)
    if over.size < _FEWEST:
        return []
    bins = evidence.prepared.bins
    share = over.size / max(int(np.count_nonzero(turning)), 1)
    first, top = (said_reading("speed", float(f(speed[over]))) for f in (np.min, np.max))
    return [
        Finding(
            code="tip-mach-high",
            severity="note",
            message=f"blade tips reach Mach {float(np.max(mach[over])):.2f} at {top}, and more than {_MACH:g} "
            f"from {first} on: {100.0 * share:.0f} % of the time that it turned",
            channel="speed",
            start=float(bins.time[over[0]]),
            end=float(bins.time[over[-1]]),
            count=int(over.size),
            effect="above that speed CP rises and CT falls with the temperature of the air as well as with speed: "
            "referral to standard air does not follow it there",
            done="nothing",
        )
    ]
