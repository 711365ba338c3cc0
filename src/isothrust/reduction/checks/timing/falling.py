"""How much later one channel falls than another when the throttle is cut or stepped down: it tells any delay.

The fits of lags need a channel's answer within the fall itself; a channel that is later than the fall lasts is late
beyond what they can say, and still falls.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.evidence import Evidence

__all__ = ["Fall", "fall_delay"]

_MOST: Final = 3
"""Falls looked at."""
_BEFORE: Final = (0.45, 0.2)
"""Spell ahead of a fall that its upper level is read from [s]."""
_AFTER: Final = 1.2
"""A fall is followed for so long [s], or to the next one."""
_DEEP: Final = 0.5
"""A fall that leaves more than this of the upper level is not told from noise [1]."""


@dataclass(frozen=True, slots=True)
class Fall:
    """Median delay over the falls of a run."""

    delay: float
    """[s]"""
    doubt: float
    """Half the sum of the two channels' intervals, and how the falls differ [s]."""
    count: int


def fall_delay(
    evidence: Evidence, late: str, early: str, *, driven: Callable[[Floats], Floats] = np.asarray
) -> Fall | None:
    """Return how much later `late` passes half its way down than `driven` of `early` does; None where nothing falls."""
    channels = evidence.prepared.loads.channels
    first, second = channels.get(early), channels.get(late)
    if first is None or second is None:
        return None
    spells = evidence.prepared.spells.transients
    delays: list[float] = []
    grain = 0.0
    for place, (start, end) in enumerate(spells):
        following = spells[place + 1][0] if place + 1 < len(spells) else np.inf
        until = min(end + _AFTER, following - 0.05)
        one, two = _half_way(first, driven, start, until), _half_way(second, np.asarray, start, until)
        if one is not None and two is not None:
            delays.append(two[0] - one[0])
            grain = max(grain, 0.5 * (one[1] + two[1]))
        if len(delays) == _MOST:
            break
    if not delays:
        return None
    return Fall(float(np.median(delays)), grain + float(np.std(delays)), len(delays))


def _half_way(
    channel: Channel, driven: Callable[[Floats], Floats], start: float, until: float
) -> tuple[float, float] | None:
    """Return when a channel passes half its way down and its interval there [s]; None where it does not fall."""
    cuts = np.searchsorted(channel.time, [start - _BEFORE[0], start - _BEFORE[1], until]).tolist()
    if cuts[1] - cuts[0] < 1 or cuts[2] - cuts[1] < 3:
        return None
    high = float(np.mean(driven(channel.values[cuts[0] : cuts[1]])))
    time, values = channel.time[cuts[1] : cuts[2]], driven(channel.values[cuts[1] : cuts[2]])
    low = float(np.mean(values[-max(1, values.size // 20) :]))
    if high <= 0.0 or low > _DEEP * high:
        return None
    below = values < 0.5 * (high + low)
    at = int(np.argmax(below))
    if at == 0:
        return None
    a, b = float(values[at - 1]), float(values[at])
    share = (a - 0.5 * (high + low)) / (a - b)
    interval = float(time[at] - time[at - 1])
    return float(time[at - 1]) + share * interval, interval
