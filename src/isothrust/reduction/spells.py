"""Which bins are powered and near steady, and where the transients are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.reduction.bins import Bins
from isothrust.reduction.settling import keep_settled, level_changes
from isothrust.science.alignment import smoothed_slope

__all__ = ["POINTS", "Spells", "find_spells", "number_spells"]

Mask = NDArray[np.bool_]

_FAST_DOWN = 0.2
"""A fall faster than this share of top speed a second is no leg under power."""
_FAST_UP = 0.6
"""A rise faster than this share of top speed a second is a step, not a ramp."""
_SETTLE = 0.25
"""Bins this soon after a fast change [s] are still filling filters."""
POINTS = 0.4
"""Rows this far apart [s] are working points, each settled by itself."""
_LEAST_SPEED = 0.06
"""Share of top speed below which nothing is fitted."""
_LEAST_COMMAND = 0.005


@dataclass(frozen=True, slots=True)
class Spells:
    """Masks over bins (n,)."""

    drive: Floats
    """Speed [rad/s], or root of thrust where there is no speed channel."""
    slope: Floats
    """Its rate of change [1/s of the above]."""
    powered: Mask
    steady: Mask
    """Powered, slow, settled, fast enough to fit."""
    segment: NDArray[np.int64]
    """Number of the unbroken steady spell a bin belongs to; 0 outside."""
    falling: Mask
    """Steady bins of a leg down under power."""
    transients: tuple[tuple[float, float], ...]
    """Start and end [s] of each fast change, with rest of the response."""
    top: float
    """Greatest drive."""


def find_spells(bins: Bins, drive: Floats, *, kind: str) -> Spells:
    """Return the masks for a run; a log without throttle tells power by how the speed falls."""
    known = np.isfinite(drive)
    filled = np.interp(bins.time, bins.time[known], drive[known]) if known.any() else np.zeros_like(drive)
    half = max(1, round(0.06 / bins.width))
    slope = smoothed_slope(bins.time, filled, half_width=half)
    top = float(np.quantile(filled, 0.995))
    points = bins.width >= POINTS
    down = (slope < -_FAST_DOWN * top) & (not points)
    up = (slope > _FAST_UP * top) & (not points)
    turning = filled > _LEAST_SPEED * top
    powered = _powered(bins, turning, _cuts(filled, down), up)
    fast = (down | up) & (filled > 0.02 * top)
    holding = kind == "holds" and not points
    moving = fast | level_changes(bins) if holding else fast
    settling = _after(bins, moving | ~powered, _SETTLE) if not points else ~powered
    steady = known & powered & turning & ~moving & ~settling
    if holding:
        steady = keep_settled(bins, steady, number_spells(steady))
    if kind in {"steps", "coast"}:  # only the levels themselves are steady there
        steady &= np.abs(slope) < 0.1 * top
    segment = number_spells(steady)
    falling = steady & (slope < -0.01 * top) & (kind == "ramp")  # what moves within a hold is drift, not a leg
    return Spells(filled, slope, powered, steady, segment, falling, _transients(bins, fast, filled, top), top)


def number_spells(mask: Mask) -> NDArray[np.int64]:
    """Return the number, from 1, of the unbroken spell each bin belongs to; 0 outside (n,)."""
    begins = np.diff(mask.astype(np.int8), prepend=0) > 0
    return np.where(mask, np.cumsum(begins.astype(np.int64)), 0)


def _cuts(drive: Floats, down: Mask) -> Mask:
    """Return the fast falls that at least halve the drive: a rotor that overshot its level falls fast, too."""
    edges = np.diff(down.astype(np.int8), prepend=0, append=0)
    out = np.zeros(down.size, dtype=bool)
    for first, last in zip(np.flatnonzero(edges > 0).tolist(), (np.flatnonzero(edges < 0) - 1).tolist(), strict=True):
        out[first : last + 1] = drive[min(last + 1, drive.size - 1)] < 0.5 * drive[max(first - 1, 0)]
    return out


def _powered(bins: Bins, turning: Mask, cut: Mask, up: Mask) -> Mask:
    throttle = bins.get("throttle")
    if throttle is not None:
        on = np.nan_to_num(throttle) > _LEAST_COMMAND
        on[:-1] &= on[1:].copy()  # the bin in which the cut falls is half off
        return np.asarray(turning & on)
    if bins.get("speed") is None:  # thrust alone is too unsteady to tell a cut from a gust
        return turning
    # no command in the log: power is off from the start of a fast fall until the speed rises again
    state = np.where(up, 1, np.where(cut, -1, 0))
    latest = np.maximum.accumulate(np.where(state != 0, np.arange(state.size), -1))
    return np.asarray(turning & ((latest < 0) | (state[np.maximum(latest, 0)] > 0)))


def _after(bins: Bins, event: Mask, delay: float) -> Mask:
    """Bins within `delay` after an event, and the one before it."""
    latest = np.maximum.accumulate(np.where(event, bins.time, -np.inf))
    out = bins.time - latest < delay
    out[:-1] |= event[1:]
    return np.asarray(out)


def _transients(bins: Bins, fast: Mask, drive: Floats, top: float) -> tuple[tuple[float, float], ...]:
    edges = np.diff(fast.astype(np.int8), prepend=0, append=0)
    starts, ends = np.flatnonzero(edges > 0), np.flatnonzero(edges < 0) - 1
    out: list[tuple[float, float]] = []
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        change = abs(drive[last] - drive[max(first - 1, 0)])
        if change < 0.08 * top:
            continue
        # a fall is followed to a third of its start: below, friction and zero weigh more than air
        low = drive[max(first - 1, 0)] * 0.35
        inside = np.arange(first, last + 1)
        stop = inside[drive[inside] > low][-1] if np.any(drive[inside] > low) else last
        out.append(
            (float(bins.time[first]) - 0.08, float(bins.time[min(stop, last)]) + (0.15 if stop == last else 0.0))
        )
    return tuple(out)
