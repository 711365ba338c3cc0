"""A logger that keeps rows in a buffer: many stamped nearly at once, then none for a while."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.checks.timing.steps import Steps

__all__ = ["bursts"]

_CROWDED = 0.35
"""Median step over mean step of rows that come in bursts; an even clock with rows lost keeps it near 1."""
_HOLES = 3
"""So many of the longest steps may be holes in the log, and are no pauses between bursts."""
_FEWEST = 8
"""Pauses that make a habit."""


def bursts(clock: Steps) -> list[Finding]:
    """Return a finding where the stamps tell when a buffer was emptied, not when the rows were sampled."""
    at = _pauses(clock)
    return [_finding(clock, at)] if at.size else []


def _pauses(clock: Steps) -> np.ndarray:
    """Return the rows that end a burst, none where the clock is no such one."""
    step = np.maximum(clock.step, 0.0)
    usual = float(np.median(step)) if np.any(clock.step <= 0.0) else clock.usual
    if usual < _CROWDED * float(step.mean()):
        mean = float(np.partition(step, step.size - _HOLES)[: step.size - _HOLES].mean())
        pauses = np.flatnonzero(step > 2.0 * mean)
        if usual < _CROWDED * mean and pauses.size >= _FEWEST:
            return pauses
    return np.empty(0, dtype=np.intp)


def _finding(clock: Steps, at: np.ndarray) -> Finding:
    rows = clock.step.size / at.size
    pause = 1e3 * float(np.median(clock.step[at]))
    return Finding(
        code="clock-bursts",
        severity="warning",
        message=f"the rows are stamped in bursts of about {rows:.0f}, {pause:.3g} ms apart: the stamps say when a "
        "buffer was emptied, not when the rows were sampled",
        channel="time",
        start=float(clock.time[at[0]]),
        end=float(clock.time[at[-1]]),
        count=int(at.size),
        effect=f"stamps are wrong by up to {pause:.3g} ms: rotor inertia, rise times and lags move by more than they "
        "state; what is read from one row against another of its columns does not",
    )
