"""A current that does not vanish with the motor off: its zero is inside every electrical figure."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding, Severity
from isothrust.records.recording import Floats
from isothrust.reduction.checks.electrical.resting import at_rest, usual_bins
from isothrust.reduction.evidence import Evidence

__all__ = ["check_idle"]

_ELECTRONICS: Final = 0.5
"""What controller, receiver and lamps may draw with the motor off, at most [A]."""
_SHARE: Final = 0.02
"""The same as a share of the greatest current [1]: large controllers idle on more."""
_USUAL: Final = 0.09
"""What controller and receiver alone usually draw with the motor off, at most [A]."""
_MATTERS: Final = 0.01
"""Share of the current at a usual thrust from which an offset moves a figure [1]."""
_BELOW: Final = 0.0025
"""Share of that current by which a reading may lie below nothing [1]: the last digit of a sensor."""
_CERTAIN: Final = 5.0
"""Multiple of its standard error that a level below nothing must pass."""


def check_idle(evidence: Evidence) -> list[Finding]:
    """Return a finding where the current with the motor off is below nothing, or more than electronics draw.

    An offset and a steady draw of the electronics cannot be told apart by any run: both are there at rest and under
    power alike. What can be told is that no electronics give current back, and what they draw at most.
    """
    spells = at_rest(evidence, "current")
    under_power = evidence.prepared.steady("current")
    if not spells or under_power is None:
        return []
    samples = np.concatenate(spells)
    level = _trimmed_mean(samples)
    near, where = usual_bins(evidence)
    below = min(level, 0.0)  # what is missing at rest is missing under power, too
    usual = float(np.median(under_power[near])) - below
    top = float(np.max(under_power)) - below
    if usual <= 0.0 or top <= 0.0:
        return []
    severity = _severity(level, _error(samples), usual, top)
    if severity is None:
        return []
    rests = evidence.prepared.loads.rests
    share = 100.0 * level / usual
    whose = (
        "no electronics give current back: the sensor's zero is off"
        if level < 0.0
        else "what of it is the electronics' own draw and what the sensor's zero, no run can tell"
    )
    return [
        Finding(
            code="current-at-rest",
            severity=severity,
            message=f"the current reads {level:.3g} A with the motor off; {whose}",
            channel="current",
            start=rests[0][0],
            end=rests[-1][1],
            count=int(samples.size),
            effect=f"it is {share:+.1f} % of the current at {where}, so electrical power and efficiency there move by "
            "up to as much, more below",
            done="nothing",
        )
    ]


def _trimmed_mean(values: Floats) -> float:
    """Return the mean without the outer tenths: a current that is still falling does not count."""
    ordered = np.sort(values)
    cut = values.size // 10
    return float(np.mean(ordered[cut : values.size - cut]))


def _error(samples: Floats) -> float:
    """Return the standard error of the level; neighbours share a filter, so that ten count as one."""
    return float(np.std(samples) / np.sqrt(max(samples.size / 10.0, 1.0)))


def _severity(level: float, error: float, usual: float, top: float) -> Severity | None:
    if level < -max(_BELOW * usual, _CERTAIN * error):
        return "warning" if -level >= _MATTERS * usual else "note"
    if level > max(_ELECTRONICS, _SHARE * top):
        return "warning"
    return "note" if level > max(_USUAL, _MATTERS * usual) else None
