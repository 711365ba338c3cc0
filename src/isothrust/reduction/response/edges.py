"""Where the command, or without one the rotor, goes from one level to another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import usual_interval
from isothrust.science.alignment import smoothed_slope

__all__ = ["OFF", "Edge", "edges_of_motion", "edges_of_throttle"]

OFF: Final = 0.005
"""A command below this is off [1]."""
_STEP: Final = 0.04
"""Least change of the command that is a step [1]."""
_MOVES: Final = 0.005
"""A command that changes by more than this between two samples is on its way [1]."""
_WANDERS: Final = 0.01
"""What it may stray by at a level [1]."""
_AT_ONCE: Final = 0.1
"""Longest time that a step of the command may take [s]; at a slow rate, two samples."""
_LEVEL: Final = 0.06
"""Shortest level [s]."""
_FAST: Final = 0.6
"""What changes by more than this share of its greatest in a second is on its way [1/s]."""
_SLOW: Final = 0.1
"""What changes by less stands at a level [1/s]."""
_SCATTERS: Final = 4.0
"""Scatters of the slope that noise alone does not pass."""
_HALF: Final = 0.02
"""Half the time over which a rate of change is taken [s]."""
_CHANGE: Final = 0.08
"""Least change of speed or thrust that is a step, as a share of its greatest [1]."""


@dataclass(frozen=True, slots=True)
class Edge:
    """From one level to the next."""

    since: float
    """When the level before began [s]."""
    start: float
    """Of the command, or, where nothing says it, of the response [s]."""
    u_start: float
    """Standard uncertainty of that by the samples' distance [s]."""
    until: float
    """When the level after ended [s]."""
    from_throttle: float | None
    to_throttle: float | None


@dataclass(frozen=True, slots=True)
class _Level:
    """What stands still at the beginning and at the end of a stretch without jumps: a slow ramp lies between them."""

    first: int
    rests_until: int
    rests_from: int
    last: int


def edges_of_throttle(throttle: Channel) -> list[Edge]:
    """Return the steps of the command in order."""
    time, value = throttle.time, throttle.values
    if time.size < 3:
        return []
    at_once = max(_AT_ONCE, 2.1 * usual_interval(time))
    edges = []
    for before, after in pairwise(_levels(time, value)):
        low = float(np.median(value[before.rests_from : before.last + 1]))
        high = float(np.median(value[after.first : after.rests_until + 1]))
        if time[after.first] - time[before.last] > at_once or abs(high - low) < _STEP:
            continue
        # the command left its level between the last sample there and the next one
        gap = float(time[before.last + 1] - time[before.last])
        start = float(time[before.last]) + 0.5 * gap
        since, until = float(time[before.rests_from]), float(time[after.rests_until])
        if min(start - since, until - start) >= _LEVEL:
            edges.append(Edge(since, start, gap / np.sqrt(12.0), until, low, high))
    return edges


def _levels(time: Floats, value: Floats) -> Iterator[_Level]:
    """Yield the stretches between jumps that are longer than a jump."""
    firsts = np.append(0, np.flatnonzero(np.abs(np.diff(value)) > _MOVES) + 1)
    lasts = np.append(firsts[1:] - 1, value.size - 1)
    for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True):
        if time[last] - time[first] >= _LEVEL:
            stretch = value[first : last + 1]
            begun = np.flatnonzero(np.abs(stretch - np.median(stretch[:8])) > _WANDERS)
            ended = np.flatnonzero(np.abs(stretch - np.median(stretch[-8:])) > _WANDERS)
            until = first + int(begun[0]) - 1 if begun.size else last
            since = first + int(ended[-1]) + 1 if ended.size else first
            yield _Level(first, max(until, first), min(since, last), last)


def edges_of_motion(followed: Channel) -> list[Edge]:
    """Return the steps of speed, or of thrust where there is no speed: fast ways between two levels."""
    time, value = followed.time, followed.values
    if time.size < 8:
        return []
    interval = usual_interval(time)
    slope = smoothed_slope(time, value, half_width=max(1, round(_HALF / interval)))
    top = float(np.quantile(value, 0.995))
    if top <= 0.0:
        return []
    edges = []
    # a log that stands most of the time shows by its usual slope what noise makes of a level
    noise = _SCATTERS * 1.4826 * float(np.median(np.abs(slope)))
    still = _stretches(np.abs(slope) < min(max(_SLOW * top, noise), _FAST * top), time, max(_LEVEL, 2.1 * interval))
    for before, after in pairwise(still):
        way = slice(before[1], after[0] + 1)
        change = float(np.median(value[after[0] : after[1] + 1]) - np.median(value[before[0] : before[1] + 1]))
        steep = float(np.max(np.abs(slope[way])))
        if abs(change) >= _CHANGE * top and steep > _FAST * top:
            start = float(time[before[1]])
            edges.append(Edge(float(time[before[0]]), start, interval, float(time[after[1]]), None, None))
    return edges


def _stretches(mask: np.ndarray, time: Floats, shortest: float) -> list[tuple[int, int]]:
    edges = np.diff(mask.astype(np.int8), prepend=0, append=0)
    pairs = zip(np.flatnonzero(edges > 0).tolist(), (np.flatnonzero(edges < 0) - 1).tolist(), strict=True)
    return [(first, last) for first, last in pairs if time[last] - time[first] >= shortest]
