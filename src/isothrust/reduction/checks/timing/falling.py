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


@dataclass(frozen=True, slots=True)
class _Half:
    """Half way down [s]."""

    time: float
    interval: float
    lasted: float
    """From four fifths to one fifth."""


def fall_delay(
    evidence: Evidence,
    late: str,
    early: str,
    *,
    driven: Callable[[Floats], Floats] = np.asarray,
    quickest: float = np.inf,
) -> Fall | None:
    """Return how much later `late` passes half its way down than `driven` of `early` does; None where nothing falls.

    Falls of `early` that last longer than `quickest` [s] are left out: two channels that are not in proportion pass
    half their ways at different speeds.
    """
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
        if one is not None and two is not None and one.lasted <= quickest:
            delays.append(two.time - one.time)
            grain = max(grain, 0.5 * (one.interval + two.interval))
        if len(delays) == _MOST:
            break
    if not delays:
        return None
    return Fall(float(np.median(delays)), grain + float(np.std(delays)), len(delays))


def _half_way(channel: Channel, driven: Callable[[Floats], Floats], start: float, until: float) -> _Half | None:
    """Return when a channel passes half its way down, None where it does not fall."""
    cuts = np.searchsorted(channel.time, [start - _BEFORE[0], start - _BEFORE[1], until]).tolist()
    if cuts[1] - cuts[0] < 1 or cuts[2] - cuts[1] < 3:
        return None
    high = float(np.mean(driven(channel.values[cuts[0] : cuts[1]])))
    time, values = channel.time[cuts[1] : cuts[2]], driven(channel.values[cuts[1] : cuts[2]])
    low = float(np.mean(values[-max(1, values.size // 20) :]))
    if high <= 0.0 or low > _DEEP * high:
        return None
    level = 0.5 * (high + low)
    at = int(np.argmax(values < level))
    if at == 0:
        return None
    a, b = float(values[at - 1]), float(values[at])
    interval = float(time[at] - time[at - 1])
    begun = int(np.argmax(values < low + 0.8 * (high - low)))
    over = int(np.argmax(values < low + 0.2 * (high - low)))
    lasted = max(0.0, float(time[over] - time[begun]) - interval)
    return _Half(float(time[at - 1]) + (a - level) / (a - b) * interval, interval, lasted)
