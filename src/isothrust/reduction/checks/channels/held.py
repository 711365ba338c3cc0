"""A slow sensor in a fast log: each reading stands in row after row until the next one comes."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel

__all__ = ["check_held"]

_SHORTEST = 2
"""Rows that a reading must stand for at least."""
_LOOSE = 5
"""Rows from which a reading may come one row early or late, and counts once: of fewer, every number is within a row of
a beat, and thinned to one row in a few a log has too few left to show how steps settle."""
_LONGEST = 0.3
"""Longest interval of such a sensor [s]: what stands still for longer is a hold, quiet to the last digit."""
_FEWEST = 20
_REGULAR = 0.9
"""Share of the changes that must fall on the sensor's own beat."""
_STEPS = 2.5
"""A digit that turns over changes by one step; a new reading usually by more."""


def check_held(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the channel on its sensor's own clock where it stands still between readings, and a finding that says so.

    A reading counts at the row in which it is new: held on, it would be late by half an interval, and in stairs.
    """
    x = channel.values
    if x.ndim != 1:
        return channel, []
    new = 1 + np.flatnonzero(x[1:] != x[:-1])
    if not _FEWEST <= new.size <= x.size // _SHORTEST:
        return channel, []
    lengths = np.diff(new)
    beat = int(np.median(lengths))
    beats = lengths / beat
    jumps = np.abs(x[new] - x[new - 1])
    on_beat = np.abs(beats - np.rint(beats)) * beat <= (1.0 if beat >= _LOOSE else 0.0)
    slow = beat * float(channel.time[-1] - channel.time[0]) > _LONGEST * (channel.time.size - 1)
    if slow or beat < _SHORTEST or np.mean(on_beat) < _REGULAR or float(np.median(jumps)) < _STEPS * float(jumps.min()):
        return channel, []
    if beat < _LOOSE:
        interval = beat * float(np.median(np.diff(channel.time)))
        return channel, [_finding(channel, beat, interval, x.size - new.size - 1, thinned=False)]
    kept = np.unique(np.concatenate([np.arange(new[0] % beat, new[0], beat), *_fresh(new, x.size, beat)]))
    interval = float(np.median(np.diff(channel.time[kept])))
    finding = _finding(channel, beat, interval, x.size - kept.size, thinned=True)
    return Channel(channel.quantity, channel.time[kept], x[kept], channel.resolution), [finding]


def _finding(channel: Channel, beat: int, interval: float, count: int, *, thinned: bool) -> Finding:
    late = f"{500.0 * interval:.3g} ms late and in stairs"
    return Finding(
        code="channel-held",
        severity="note",
        message=f"{channel.quantity} is new only every {1e3 * interval:.3g} ms, in one row of {beat}, and held between",
        channel=channel.quantity,
        count=count,
        effect=f"held on, it would be {late}" if thinned else f"it is {late}; no figure of a steady speed moves",
        done="each reading was counted once, where it was new" if thinned else "nothing",
    )


def _fresh(new: np.ndarray, size: int, beat: int) -> list[np.ndarray]:
    """Rows of each reading: where it was new, and once a beat where the same one came again."""
    ends = np.append(new[1:], size)
    return [np.arange(start, max(start + 1, end - beat // 2), beat) for start, end in zip(new, ends, strict=True)]
