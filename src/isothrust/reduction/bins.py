"""Bin means on one clock: what curves are fitted to, the same whatever rate the log had."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from isothrust.records.recording import Channel, Floats

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
    interval = float(np.median(np.diff(lead.time)))
    slow = interval > 0.5 * _WIDTH
    if slow:
        centres, width, edges = lead.time, interval, np.empty(0)
    else:
        width = _WIDTH
        count = max(1, int((lead.time[-1] - lead.time[0]) / width))
        edges = lead.time[0] - 0.5 * interval + width * np.arange(count + 1)
        centres = 0.5 * (edges[1:] + edges[:-1])
    values: dict[str, Floats] = {}
    counted: dict[int, tuple[np.ndarray, np.ndarray]] = {}
    for name, channel in channels.items():
        if channel.values.ndim != 1 or channel.time.size < 2:
            continue
        own = (channel.time[-1] - channel.time[0]) / (channel.time.size - 1)
        if slow or own > 0.5 * width:
            values[name] = _interpolated(channel, centres, width)
        else:
            values[name] = _means(channel, edges, counted)
    return Bins(centres, width, values)


def _means(channel: Channel, edges: Floats, counted: dict[int, tuple[np.ndarray, np.ndarray]]) -> Floats:
    key = id(channel.time)
    if key not in counted:  # channels of one log share one clock: place its samples once
        cuts = np.searchsorted(channel.time, edges)
        counted[key] = (cuts, np.diff(cuts))
    cuts, number = counted[key]
    total = np.concatenate([[0.0], np.cumsum(channel.values)])
    sums = total[cuts[1:]] - total[cuts[:-1]]
    return np.where(number > 0, sums / np.maximum(number, 1), np.nan)


def _interpolated(channel: Channel, centres: Floats, width: float) -> Floats:
    out = np.interp(centres, channel.time, channel.values, left=np.nan, right=np.nan)
    following = np.clip(np.searchsorted(channel.time, centres), 1, channel.time.size - 1)
    gap = channel.time[following] - channel.time[following - 1]
    longest = max(4.0 * float(np.median(np.diff(channel.time))), 5.0 * width)
    return np.where(gap > longest, np.nan, out)
