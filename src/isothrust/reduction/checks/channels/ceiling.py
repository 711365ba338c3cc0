"""A flat ceiling: a converter that has run out of counts reads its last one over and over."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.ranges import rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["check_ceiling"]

_FEWEST = 8
_SHARE = 0.002
_SIGNED = frozenset({"thrust", "torque"})
"""What may read with either sign."""


def check_ceiling(channel: Channel) -> list[Finding]:
    """Return a finding where the greatest reading recurs far more often than readings just below it.

    A quantised channel near its true top thins out upwards; at a ceiling it piles up. A load that reads negative has
    its ceiling below.
    """
    x = channel.values
    if x.ndim != 1 or x.size < 50:
        return []
    if channel.quantity in _SIGNED and -float(x.min()) > float(x.max()):
        x = -x
    top = float(x.max())
    at_top = x == top
    count = int(np.count_nonzero(at_top))
    if count < max(_FEWEST, _SHARE * x.size) or count > 0.9 * x.size:
        return []
    span = top - rough_quantiles(x, 0.02)[0]
    below = np.unique(x[(x < top) & (x > top - 0.05 * span)])[-5:]
    if below.size == 0 or span <= 0.0:
        return []
    usual = max(int(np.count_nonzero(x == level)) for level in below)
    if count < 3 * usual:
        return []
    places = np.flatnonzero(at_top)
    said = said_reading(channel.quantity, channel.values[places[0]])
    return [
        Finding(
            code="saturated",
            severity="warning",
            message=f"{channel.quantity} stands at its greatest reading, {said}, "
            f"in {count} samples, {count / usual:.0f} times as often as at any reading just below: "
            "the converter has run out of range",
            channel=channel.quantity,
            start=float(channel.time[places[0]]),
            end=float(channel.time[places[-1]]),
            count=count,
            effect="figures near the top are a lower bound",
            done="nothing",
        )
    ]
