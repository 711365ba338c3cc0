"""Rows that the logger lost: steps of the clock that are two or more of its usual ones long."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.reduction.checks.timing.clock import plural
from isothrust.reduction.checks.timing.steps import Steps

__all__ = ["dropped"]

_GAP = 1.6
"""Usual steps that a step must last to have lost a row [1]."""
_UNEVEN = 0.5
"""Spread of the steps over the usual one above which the clock itself is uneven, and only long steps are gaps [1]."""
_LONG = 3.0
"""What a gap lasts in an uneven clock, in steps that only one in twenty passes [1]."""
_EVENLY = 0.4
"""Scatter of the distances between gaps over their mean, below which it is the rounding of the stamps [1]."""
_MANY = 0.02
"""Share of rows lost from which a figure may move [1]."""
_HOLE = 0.3
"""A gap as long as this [s] leaves a stretch of a ramp, or most of a step, unmeasured."""


def dropped(clock: Steps) -> list[Finding]:
    """Return a finding where rows were lost: how many, and the longest gap."""
    uneven = clock.high - clock.low > _UNEVEN * clock.usual
    least = max(_GAP * clock.usual, _LONG * clock.high) if uneven else _GAP * clock.usual
    at = np.flatnonzero(clock.step > least)
    lost = _lost(clock, at)
    at, lost = at[lost > 0], lost[lost > 0]
    if at.size == 0 or (not uneven and _rounding(clock, at)):
        return []
    return [_finding(clock, at, int(lost.sum()))]


def _lost(clock: Steps, at: NDArray[np.intp]) -> NDArray[np.int64]:
    """Return how many rows each gap (k,) lost: a stamp that repeats, or is behind, has its row all the same."""
    forward = np.flatnonzero(clock.step > 0.0)
    place = np.searchsorted(forward, at)
    bounds = np.concatenate([[-1], forward, [clock.step.size]])
    first, last = bounds[place] + 1, bounds[place + 2]  # the steps back and repeats on either side belong to a gap
    total = np.concatenate([[0.0], np.cumsum(clock.step)])
    whole = np.rint((total[last] - total[first]) / clock.usual).astype(np.int64)
    return np.asarray(whole - (last - first), dtype=np.int64)


def _finding(clock: Steps, at: NDArray[np.intp], lost: int) -> Finding:
    longest = int(at[np.argmax(clock.step[at])])
    share = lost / (clock.time.size + lost)
    gap = float(clock.step[longest])
    heavy = share > _MANY or gap > _HOLE
    return Finding(
        code="samples-dropped",
        severity="warning" if heavy else "note",
        message=f"about {lost} row{plural(lost)} ({100.0 * share:.2g} %) are missing in {at.size} gap{plural(at.size)} "
        f"of a clock that steps by {1e3 * clock.usual:.3g} ms; the longest lasts {gap:.3g} s from "
        f"{clock.time[longest]:.3f} s",
        channel="time",
        start=float(clock.time[at[0]]),
        end=float(clock.time[at[-1] + 1]),
        count=lost,
        effect="figures at the speeds that fell into the gaps are carried by their neighbours"
        if heavy
        else "no figure moves while the gaps are few and short",
        done="nothing was put into the gaps",
    )


def _rounding(clock: Steps, at: NDArray[np.intp]) -> bool:
    """Tell whether the gaps (k,) are stamps of few digits that now and then skip one: as even as a gear."""
    if float(clock.step[at].max()) > clock.usual + 1.2 * clock.grain or clock.usual > 2.5 * clock.grain:
        return False
    if at.size < 4:
        return False
    apart = np.diff(at)
    return float(np.std(apart)) < _EVENLY * float(np.mean(apart))
