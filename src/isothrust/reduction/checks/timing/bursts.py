"""A logger that keeps rows in a buffer: many stamped nearly at once, then none for a while."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.timing.steps import Steps, measured

__all__ = ["bursty", "check_bursts"]

_CROWDED = 0.35
"""Median step over mean step of rows that come in bursts; an even clock with rows lost keeps it near 1."""
_HOLES = 3
"""So many of the longest steps may be holes in the log, and are no pauses between bursts."""
_FEWEST = 8
"""Pauses that make a habit."""


def bursty(clock: Steps) -> bool:
    """Tell whether the rows of a clock come in bursts."""
    return _pauses(clock).size > 0


def check_bursts(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the channel with its rows spread evenly from burst to burst, and a finding, where they come in bursts.

    The last row of a burst was sampled when the buffer was written out; those before it wait for that. Behind a pause
    much longer than the others a burst is taken to be as long as they are.
    """
    clock = measured(channel)
    pauses = _pauses(clock) if clock is not None else np.empty(0, dtype=np.intp)
    if clock is None or pauses.size == 0:
        return channel, []
    spread = Channel(channel.quantity, _spread(channel.time, pauses), channel.values, channel.resolution)
    return spread, [_finding(clock, pauses)]


def _spread(time: Floats, pauses: NDArray[np.intp]) -> Floats:
    ends = np.append(pauses, time.size - 1)
    firsts = np.append(0, pauses + 1)
    lasts = np.diff(time[ends])
    usual = float(np.median(lasts))
    pace = usual / float(np.median(np.diff(ends)))
    alone = np.append(0, 1 + np.flatnonzero(lasts > 2.0 * usual))  # bursts with nothing near ahead of them
    starts = time[ends[alone]] - pace * (ends[alone] - firsts[alone])
    rows, first = np.unique(np.concatenate([ends, firsts[alone]]), return_index=True)
    return np.asarray(np.interp(np.arange(time.size), rows, np.concatenate([time[ends], starts])[first]))


def _pauses(clock: Steps) -> NDArray[np.intp]:
    """Return the rows that end a burst, none where the clock is no such one."""
    step = np.maximum(clock.step, 0.0)
    usual = float(np.median(step)) if np.any(clock.step <= 0.0) else clock.usual
    if usual < _CROWDED * float(step.mean()):
        mean = float(np.partition(step, step.size - _HOLES)[: step.size - _HOLES].mean())
        pauses = np.flatnonzero(step > 2.0 * mean)
        if usual < _CROWDED * mean and pauses.size >= _FEWEST:
            return pauses
    return np.empty(0, dtype=np.intp)


def _finding(clock: Steps, at: NDArray[np.intp]) -> Finding:
    rows = float(np.median(np.diff(at)))
    pause = 1e3 * float(np.median(np.diff(clock.time[at])))
    return Finding(
        code="clock-bursts",
        severity="warning",
        message=f"the rows are stamped in bursts of about {rows:.0f}, {pause:.3g} ms apart: the stamps say when a "
        "buffer was emptied, not when the rows were sampled",
        channel="time",
        start=float(clock.time[at[0]]),
        end=float(clock.time[at[-1]]),
        count=int(at.size),
        effect=f"stamps are off by up to {pause:.3g} ms: rotor inertia, rise times and lags are less sure than they "
        "state; what is read from one row against another of its columns does not move",
        done="the rows were spread evenly from burst to burst",
    )
