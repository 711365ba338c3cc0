"""A step that the controller turns into a ramp: its rise is the controller's, not the rotor's."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.throttle.plateaus import Plateau, plateaus
from isothrust.reduction.evidence import Evidence

__all__ = ["check_flattened"]

_STEP: Final = 0.1
"""Least rise of the command [1]."""
_AT_ONCE: Final = 0.1
"""Longest time in which it must have risen [s]."""
_LEAST: Final = 0.1
"""Rise from 10 to 90 % [s] from which a straight flank is told: small rotors take 0.05 to 0.1 s by themselves."""
_STRAIGHT: Final = 1.12
"""Most for the ratio of the times from 50 to 80 % and 20 to 50 %: a straight line has 1, a rotor left to itself 1.9."""
_SAMPLES: Final = 10
"""Samples that the rise must have."""
_FEWEST: Final = 2
_MARKS: Final[tuple[float, ...]] = (0.1, 0.2, 0.5, 0.8, 0.9)


def check_flattened(evidence: Evidence) -> list[Finding]:
    """Return a finding where speed rises along a straight line after most steps up."""
    speed = evidence.prepared.loads.channels.get("speed")
    if evidence.job.run.kind != "steps" or speed is None or speed.time.size < _SAMPLES:
        return []
    levels, time = plateaus(evidence), evidence.prepared.bins.time
    rises: list[Floats] = []
    for low, high in pairwise(levels):
        if high.command - low.command > _STEP and time[high.first] - time[low.last] <= _AT_ONCE:
            rise = _rise(speed, time, low, high)
            if rise is not None:
                rises.append(rise)
    if len(rises) < _FEWEST:
        return []
    marks = np.median(np.array(rises), axis=0)
    ratio = float((marks[3] - marks[2]) / max(marks[2] - marks[1], 1e-9))
    rise_time = float(marks[4] - marks[0])
    if ratio > _STRAIGHT or rise_time < _LEAST:
        return []
    return [
        Finding(
            code="steps-flattened",
            severity="warning",
            message=f"speed rises along a straight line, {1e3 * rise_time:.0f} ms from 10 to 90 % of the step: the "
            f"second third of the flank takes {ratio:.2f} times as long as the first; a rotor by itself takes 1.9",
            channel="speed",
            count=len(rises),
            effect="rise time, spin-up rate and thrust rise rate are the controller's; settled figures stand",
            done="nothing",
        )
    ]


def _rise(speed: Channel, time: Floats, low: Plateau, high: Plateau) -> Floats | None:
    """Return the times (5,) at which speed passed the marks between two levels; None where it did not settle."""
    start, end = float(time[low.last]), float(time[high.last])
    first, last = np.searchsorted(speed.time, [start, end])
    t, w = speed.time[first:last], speed.values[first:last]
    settled = np.searchsorted(speed.time, [float(time[low.first]), start])
    if t.size < _SAMPLES or settled[1] <= settled[0]:
        return None
    before = speed.values[settled[0] : settled[1]]
    bottom, top = float(np.median(before[-(before.size // 4 + 1) :])), float(np.median(w[-(w.size // 4) :]))
    if top <= bottom:
        return None
    share = (w - bottom) / (top - bottom)
    beyond = np.flatnonzero(share >= _MARKS[-1])
    if beyond.size == 0 or beyond[0] < 1:
        return None
    climb = np.maximum.accumulate(share[: beyond[0] + 1])
    marks = np.interp(_MARKS, climb, t[: beyond[0] + 1])
    inside = np.count_nonzero((t >= marks[0]) & (t <= marks[-1]))
    return marks if inside >= _SAMPLES else None
