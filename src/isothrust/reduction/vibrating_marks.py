"""When a once-per-revolution mark passed its sensor, and whether it really is one a revolution."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["Marks", "read_marks"]

_FEWEST = 20
_OFF = 0.1
"""Share by which the marks' own speed may differ from the tachometer's [1]."""
_ROW = 17
"""Marks that are evened together."""
_LONG = 1.5
"""Times its neighbours' time from which a revolution has lost a mark [1]."""


@dataclass(frozen=True, slots=True)
class Marks:
    """Times of the marks."""

    time: Floats
    """(k,) [s], rising; empty where the mark cannot be used."""
    findings: tuple[Finding, ...] = ()


def read_marks(channel: Channel | None, prepared: Prepared) -> Marks | None:
    """Return the marks of a run; None where its rig has none."""
    if channel is None:
        return None
    time = _edges(channel)
    if time.size < _FEWEST:
        return _unused(f"the mark was seen {time.size} times")
    ratio = _per_revolution(time, prepared)
    if ratio is not None and abs(ratio - 1.0) > _OFF:
        return _unused(f"the mark comes {ratio:.2f} times a revolution of the tachometer's")
    return Marks(_evened(time))


def _evened(time: Floats) -> Floats:
    """Return the times with what the sampling adds taken out: a rotor turns on as smoothly as a parabola over 17 turns.

    A mark of on and off is known to half a sample, which at speed is degrees. Times are evened within rows without a
    lost mark; the ends of a row stay as they are.
    """
    step = np.diff(time)
    broken = np.flatnonzero(np.abs(step[1:] / step[:-1] - 1.0) > _LONG - 1.0) + 1
    out = time.copy()
    place = np.arange(_ROW, dtype=np.float64) - _ROW // 2
    columns = np.stack([np.ones(_ROW), place, place**2], axis=1)
    weight = np.linalg.pinv(columns)[0]
    for part in np.split(np.arange(time.size), broken):
        if part.size > _ROW:
            middle = np.convolve(time[part], weight[::-1], mode="valid")
            out[part[_ROW // 2 : -(_ROW // 2)]] = middle
    return out


def _edges(channel: Channel) -> Floats:
    """Return where the mark rises through the middle of its range, having been in the lower quarter before."""
    values = channel.values
    low, high = rough_quantiles(values, 0.02, 0.5)
    low, high = min(low, float(values.min())), max(high, float(values.max()))
    if high <= low:
        return np.zeros(0)
    middle, lower = low + 0.5 * (high - low), low + 0.25 * (high - low)
    above = values >= middle
    rising = np.flatnonzero(above[1:] & ~above[:-1]) + 1
    if rising.size == 0:
        return np.zeros(0)
    resets = np.cumsum(values < lower)
    armed = np.concatenate([[True], np.diff(resets[rising]) > 0])
    at = rising[armed]
    share = (middle - values[at - 1]) / (values[at] - values[at - 1])
    return np.asarray(channel.time[at - 1] + share * (channel.time[at] - channel.time[at - 1]))


def _per_revolution(time: Floats, prepared: Prepared) -> float | None:
    """Return the marks a revolution, by the tachometer where the rotor turned steadily."""
    steady = prepared.spells.steady
    if prepared.abscissa != "speed" or not steady.any():
        return None
    at = 0.5 * (time[1:] + time[:-1])
    near = np.interp(at, prepared.bins.time, steady.astype(np.float64)) > 0.99
    if np.count_nonzero(near) < _FEWEST // 2:
        return None
    speed = np.interp(at[near], prepared.bins.time, prepared.spells.drive)
    return float(np.median(2.0 * np.pi / np.diff(time)[near] / speed))


def _unused(why: str) -> Marks:
    return Marks(
        np.zeros(0),
        (
            Finding(
                "mark-not-once",
                "warning",
                f"the once-per-revolution mark cannot be used: {why}",
                channel="mark",
                effect="the unbalance has a size but no angle",
                done="the mark was left out",
            ),
        ),
    )
