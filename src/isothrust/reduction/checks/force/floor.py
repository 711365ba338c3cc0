"""A load that cannot read below a floor: its zero lies under the range of amplifier or converter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.ranges import rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["check_floor"]

_FEWEST = 8
_MATTERS = 0.003
"""Share of the greatest load that the speed must ask for while the least reading stands."""
_DIGITS = 4.0
"""The same in steps of the reading."""
_CUT_OFF = 20
"""Readings at the floor, at rest, that noise ought to have carried below it."""
_USUAL = 3.0
"""Multiple of the count at the levels above."""


def check_floor(channel: Channel, speed: Channel | None, rests: Sequence[tuple[float, float]]) -> list[Finding]:
    """Return a finding where the least reading of a load recurs with the rotor turning, or cuts off its noise at rest.

    Only thrust is held against speed: a coasting rotor asks no torque.
    """
    x = channel.values
    if x.ndim != 1 or x.size < 50:
        return []
    least = float(x.min())
    at = np.flatnonzero(x == least)
    if at.size < _FEWEST or -least > float(x.max()):  # a load that reads negative has its ceiling there
        return []
    turning = _while_turning(channel, speed, at) if speed is not None and channel.quantity == "thrust" else at[:0]
    if turning.size >= _FEWEST:
        what = f"in {turning.size} samples in which the rotor turns fast enough for more"
        return [_finding(channel, least, turning, what)]
    if _cuts_noise(channel, rests):
        return [_finding(channel, least, at, f"in {at.size} samples at rest, and noise goes above it only")]
    return []


def _while_turning(channel: Channel, speed: Channel, at: np.ndarray) -> np.ndarray:
    """Return the samples at the floor while the speed asks for a load that the reading could show."""
    x = channel.values
    (top,), (greatest,) = rough_quantiles(speed.values, 0.98), rough_quantiles(x, 0.98)
    load = greatest - float(x.min())
    if top <= 0.0 or load <= 0.0:
        return at[:0]
    steps = np.diff(np.unique(x[:: max(1, x.size // 2000)]))
    grain = float(steps.min()) if steps.size else np.inf
    asked = load * (np.interp(channel.time[at], speed.time, speed.values) / top) ** 2
    return np.asarray(at[asked > max(_MATTERS * load, _DIGITS * grain)])


def _cuts_noise(channel: Channel, rests: Sequence[tuple[float, float]]) -> bool:
    """Whether noise at rest ends at the least reading as at a wall: many there, fewer on each of three levels above."""
    resting = np.zeros(channel.time.size, dtype=bool)
    for start, end in rests:
        resting |= (channel.time >= start) & (channel.time <= end)
    levels, counts = np.unique(channel.values[resting], return_counts=True)
    if levels.size < 4 or levels[0] > channel.values.min():
        return False
    above = counts[1:4]
    return bool(counts[0] >= _CUT_OFF and above.min() >= 5 and counts[0] > _USUAL * above.max())


def _finding(channel: Channel, least: float, at: np.ndarray, what: str) -> Finding:
    return Finding(
        code="saturated",
        severity="warning",
        message=f"{channel.quantity} stands at its least reading, {said_reading(channel.quantity, least)}, {what}: it "
        "cannot read less",
        channel=channel.quantity,
        start=float(channel.time[at[0]]),
        end=float(channel.time[at[-1]]),
        count=int(at.size),
        effect="the zero is not the true one, and every figure is out by the same force, most at low thrust",
        done="nothing",
    )
