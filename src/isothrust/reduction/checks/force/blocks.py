"""Means over short equal stretches of a rest: what is left of noise is told by how they scatter."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isothrust.records.recording import Channel, Floats

__all__ = ["Blocks", "block_means", "memory"]

_ROUNDING = 1e-7
"""Stamps of one run in another form differ by less [s]."""


class Blocks(NamedTuple):
    """Means of a channel over equal numbers of samples."""

    time: Floats
    """Middles (n,) [s]."""
    means: Floats
    """(n,) [SI]."""
    width: float
    """[s]"""
    each: int
    """Samples a block."""


def block_means(channel: Channel, start: float, end: float, width: float) -> Blocks | None:
    """Return means of about `width` [s] from start to end [s]; single samples where the log is slower than that.

    None where fewer than two samples lie there.
    """
    first, last = np.searchsorted(channel.time, [start - _ROUNDING, end + _ROUNDING])
    size = int(last - first)
    if size < 2:
        return None
    interval = float(channel.time[last - 1] - channel.time[first]) / (size - 1)
    each = min(max(1, round(width / interval)), size) if interval > 0.0 else 1
    whole = size // each
    inside = slice(first, first + whole * each)
    time = channel.time[inside].reshape(whole, each).mean(axis=1)
    means = channel.values[inside].reshape(whole, each).mean(axis=1)
    return Blocks(time, means, each * interval, each)


def memory(residual: Floats) -> float:
    """Return blocks per independent block (n,), from the correlation of neighbours [1]; never less than one."""
    power = float(residual @ residual)
    r = float(np.clip(residual[1:] @ residual[:-1] / power, 0.0, 0.9)) if power > 0.0 else 0.0
    return (1.0 + r) / (1.0 - r)
