"""Bin means on one clock: what curves are fitted to, the same whatever rate the log had."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import usual_interval

__all__ = ["Bins", "make_bins"]

_WIDTH = 0.02
"""[s] short against anything a ramp does, long against the period of the blades."""


@dataclass(frozen=True, slots=True)
class Bins:
    """Means of every channel over common bins; NaN where a channel has nothing near."""

    time: Floats
    """Centres (n,) [s]."""
    width: float
    """[s]"""
    values: Mapping[str, Floats]
    """Quantity -> (n,), SI."""

    def get(self, quantity: str) -> Floats | None:
        """Return a channel's means, None where the log has no such channel."""
        return self.values.get(quantity)


def make_bins(channels: Mapping[str, Channel], *, leader: str) -> Bins:
    """Return bin means on the clock of the leading channel (thrust, or what stands in for it).

    A leader slower than two samples a bin is not averaged: each of its samples is a bin. Channels with fewer samples
    than bins are interpolated, across no gap longer than four of their own intervals or five bins.
    """
    lead = channels[leader]
    interval = _interval(lead)
    slow = interval > 0.5 * _WIDTH
    width = interval if slow else _WIDTH
    edges = np.empty((0, 2)) if slow else _edges(lead.time, interval)
    centres = lead.time if slow else edges.mean(axis=1)
    values: dict[str, Floats] = {}
    clocks: dict[int, _Clock] = {}
    for name, channel in channels.items():
        if channel.values.ndim != 1 or channel.time.size < 2:
            continue
        key = id(channel.time)  # channels of one log share one clock: place its samples once
        if key not in clocks:
            clocks[key] = _Clock(_interval(channel), np.searchsorted(channel.time, edges))
        if slow or clocks[key].interval > 0.5 * width:
            values[name] = _interpolated(channel, centres, width)
        else:
            values[name] = _means(channel, clocks[key].cuts)
    return Bins(centres, width, values)


@dataclass(frozen=True, slots=True)
class _Clock:
    interval: float
    """Median [s]."""
    cuts: NDArray[np.intp]
    """Index of the first sample within each bin and of the first beyond it (n, 2)."""


def _interval(channel: Channel) -> float:
    return usual_interval(channel.time)


def _edges(time: Floats, interval: float) -> Floats:
    """Start and end of each bin (n, 2); a pause of hours leaves one empty bin, not a million."""
    first = float(time[0]) - 0.5 * interval
    count = max(1, int((time[-1] - time[0]) / _WIDTH))
    if count <= 2 * time.size:
        number = np.arange(count)
    else:
        there = np.unique(((time - first) / _WIDTH).astype(np.int64))
        number = np.unique(np.concatenate([there, there + 1]))
        number = number[number < count]
    return np.stack([first + _WIDTH * number, first + _WIDTH * (number + 1)], axis=1)


def _means(channel: Channel, cuts: NDArray[np.intp]) -> Floats:
    number = cuts[:, 1] - cuts[:, 0]
    sums = np.add.reduceat(np.append(channel.values, 0.0), cuts.ravel())[::2]  # an empty bin's sum is none, and unused
    return np.where(number > 0, sums / np.maximum(number, 1), np.nan)


def _interpolated(channel: Channel, centres: Floats, width: float) -> Floats:
    out = np.interp(centres, channel.time, channel.values, left=np.nan, right=np.nan)
    following = np.clip(np.searchsorted(channel.time, centres), 1, channel.time.size - 1)
    gap = channel.time[following] - channel.time[following - 1]
    longest = max(4.0 * usual_interval(channel.time), 5.0 * width)
    return np.where(gap > longest, np.nan, out)
