"""Bridges short spells that a check has left out, so that channels of one log keep one clock."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Channel

__all__ = ["bridged"]


def bridged(channel: Channel, keep: np.ndarray) -> Channel:
    """Return the channel with straight lines where `keep` (n,) is False."""
    values = channel.values.copy()
    values[~keep] = np.interp(channel.time[~keep], channel.time[keep], channel.values[keep])
    return Channel(channel.quantity, channel.time, values, channel.resolution)
