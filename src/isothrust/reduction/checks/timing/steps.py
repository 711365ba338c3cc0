"""The steps of a run's clocks: what their lengths say about the logger."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from isothrust.records.recording import Channel, Floats, Recording
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["Steps", "measured", "steps_of"]

_READ: Final = ("speed", "thrust", "torque", "voltage", "current", "throttle")
_FEWEST = 30
"""Rows that tell how a logger keeps time."""
_COMPARED = 100
"""Stamps by which one clock is told to be a part of another."""


@dataclass(frozen=True)
class Steps:
    """One clock of a recording."""

    channel: str
    """The first channel that keeps it."""
    time: Floats
    """Stamps as logged (n,) [s]."""
    step: Floats
    """From each stamp to the next (n - 1,) [s]; repeats and steps back included."""
    usual: float
    """Median of the steps forward [s]."""
    low: float
    """A twentieth of the steps forward are shorter [s]."""
    high: float
    """A twentieth of the steps forward are longer [s]."""

    @cached_property
    def grain(self) -> float:
        """Least difference of a step from the usual one [s]: the stamps' last digit, where that is what differs."""
        off = np.abs(self.step - self.usual)
        off = off[off > 1e-4 * self.usual]
        return float(off.min()) if off.size else 0.0


def steps_of(recording: Recording) -> list[Steps]:
    """Return each clock of a recording once; blank cells of a log make no clock of their own."""
    found: list[Channel] = []
    for name in _READ:
        channel = recording.channels.get(name)
        if channel is not None and channel.time.size >= _FEWEST:
            found.append(channel)
    found.sort(key=lambda channel: -channel.time.size)
    clocks: list[Channel] = []
    for channel in found:
        if not any(channel.time is other.time or _part_of(channel.time, other.time) for other in clocks):
            clocks.append(channel)
    return [steps for channel in clocks if (steps := measured(channel)) is not None]


def _part_of(time: Floats, other: Floats) -> bool:
    """Tell whether stamps (n,) are among those of another clock, by a sample of them."""
    some = time[:: max(1, time.size // _COMPARED)]
    at = np.minimum(np.searchsorted(other, some), other.size - 1)
    return float(np.mean(other[at] == some)) > 0.9


def measured(channel: Channel) -> Steps | None:
    """Return the steps of a channel's clock; None where there are too few."""
    step = np.diff(channel.time)
    forward = step[step > 0.0]
    if forward.size < _FEWEST // 2:
        return None
    low, usual, high = rough_quantiles(forward, 0.05, 0.5, 0.95)
    return Steps(channel.quantity, channel.time, step, usual, low, high)
