"""Samples at the limit of an accelerometer's range: what was above is not in the recording."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel

__all__ = ["check_limits"]

_FEWEST = 6
"""Samples at the very same extreme from which it is a limit."""
_ABOVE_NEXT = 4.0
"""How many times more samples stand at a limit than at the values just within it [1]."""
_GRAVITY = 9.80665


def check_limits(channel: Channel) -> tuple[NDArray[np.bool_], list[Finding]]:
    """Return which samples stand at an axis's limit (n, axes), and a finding where any do.

    A limit is the extreme reading, reached to the last digit many times over and far more often than the band of the
    same width just within it: noise and a sine's own crest thin out towards their greatest value or stay as they are.
    """
    limits = np.zeros(channel.values.shape, dtype=bool)
    told: list[str] = []
    for axis in range(channel.values.shape[1]):
        values = channel.values[:, axis]
        for end in (float(values.max()), float(values.min())):
            at = values == end
            if _is_limit(values, end, at):
                limits[:, axis] |= at
                told.append(f"{'xyz'[axis]} at {end / _GRAVITY:+.3g} g in {np.count_nonzero(at)} samples")
    if not told:
        return limits, []
    rows = np.flatnonzero(limits.any(axis=1))
    return limits, [
        Finding(
            "vibration-clipped",
            "warning",
            f"the accelerometer stands at the end of its range: {'; '.join(told)}",
            channel="acceleration",
            start=float(channel.time[rows[0]]),
            end=float(channel.time[rows[-1]]),
            count=int(rows.size),
            effect="vibration there was greater than what was recorded",
            done="stretches with more than two such samples were left out: no vibration is stated at their speeds",
        )
    ]


def _is_limit(values: NDArray[np.float64], end: float, at: NDArray[np.bool_]) -> bool:
    count = int(np.count_nonzero(at))
    spread = float(np.std(values))
    if count < _FEWEST or spread <= 0.0:
        return False
    width = max(0.02 * abs(end - float(np.median(values))), 1e-12)
    beside = (np.abs(values - end) <= width) & ~at
    return bool(count > _ABOVE_NEXT * np.count_nonzero(beside) * _share_of_band(values, end, width))


def _share_of_band(values: NDArray[np.float64], end: float, width: float) -> float:
    """Return the share of the band beside a limit that one step of a digitised reading takes [1]."""
    near = np.unique(values[np.abs(values - end) <= width])
    return 1.0 / max(near.size - 1, 1)
