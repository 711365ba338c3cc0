"""Channels at their own rate within the transients: what lags and inertia are read from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import usual_interval

__all__ = ["Transients", "cut_transients"]

_ROUNDING = 1e-7
"""Stamps of one run in another form differ by less [s]."""


@dataclass(frozen=True, slots=True)
class Transients:
    """Samples of the transients on one clock (n,), transient after transient."""

    time: Floats
    values: Mapping[str, Floats]
    segment: NDArray[np.int64]
    interval: float
    """Median sampling interval [s]."""
    channels: Mapping[str, Channel]
    """What the samples were cut from."""

    @property
    def half_width(self) -> int:
        """Neighbours for a slope: about 5 ms on each side, at least two samples."""
        return max(2, round(0.005 / self.interval))

    def only(self, mask: NDArray[np.bool_]) -> Transients:
        """Return the samples where `mask` (n,) holds."""
        kept = {name: values[mask] for name, values in self.values.items()}
        return Transients(self.time[mask], kept, self.segment[mask], self.interval, self.channels)

    def advanced(self, name: str, delay: float) -> Transients:
        """Return the same samples with one channel read `delay` later, as if it had been that much earlier [s]."""
        channel = self.channels[name]
        moved = {**self.values, name: np.interp(self.time + delay, channel.time, channel.values)}
        return Transients(self.time, moved, self.segment, self.interval, self.channels)


def cut_transients(
    channels: Mapping[str, Channel], spells: tuple[tuple[float, float], ...], *, leader: str
) -> Transients | None:
    """Return the samples inside the spells on the leader's clock, the other channels interpolated onto it."""
    lead = channels[leader]
    pieces: list[Floats] = []
    numbers: list[NDArray[np.int64]] = []
    for number, (start, end) in enumerate(spells, start=1):
        first, last = np.searchsorted(lead.time, [start - _ROUNDING, end - _ROUNDING])
        if last - first >= 8:
            pieces.append(lead.time[first:last])
            numbers.append(np.full(last - first, number, dtype=np.int64))
    if not pieces:
        return None
    time = np.concatenate(pieces)
    values = {
        name: np.interp(time, channel.time, channel.values)
        for name, channel in channels.items()
        if channel.values.ndim == 1
        and name in {"speed", "thrust", "torque", "voltage", "current", "throttle", "electrical-power"}
    }
    return Transients(time, values, np.concatenate(numbers), usual_interval(lead.time), channels)
