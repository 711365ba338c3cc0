"""A current that does not vanish with the motor off: its zero is inside every electrical figure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel

__all__ = ["check_idle"]

_ELECTRONICS = 0.5
"""What controller, receiver and lamps may draw with the motor off [A]."""
_SHARE = 0.02
"""The same as a share of the greatest current [1]."""


def check_idle(current: Channel, rests: Sequence[tuple[float, float]]) -> list[Finding]:
    """Return a finding where the sensor reads more than idle electronics draw, or less than nothing, at rest."""
    at_rest = np.zeros(current.time.size, dtype=bool)
    for start, end in rests:
        at_rest |= (current.time >= start) & (current.time <= end)
    if not at_rest.any():
        return []
    level, top = float(np.median(current.values[at_rest])), float(np.max(np.abs(current.values)))
    most = max(_ELECTRONICS, _SHARE * top)
    if -0.5 * most <= level <= most:
        return []
    return [
        Finding(
            code="current-at-rest",
            severity="warning",
            message=f"current reads {level:.3g} A with the motor off",
            channel="current",
            start=rests[0][0],
            end=rests[-1][1],
            count=int(np.count_nonzero(at_rest)),
            effect=f"up to {100.0 * abs(level) / top:.0f} % of the greatest current, more of all others",
            done="nothing: what of it is the sensor's zero and what the electronics' own is not known",
        )
    ]
