"""Recirculation: in a room that is too small the jet comes back, and thrust falls while the propeller runs on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import ZeroFit
from isothrust.reduction.checks.air.clearance import NEAR, clearance_in_diameters
from isothrust.reduction.checks.air.levels import Levels, centred, levels_of, linked
from isothrust.reduction.evidence import Evidence

__all__ = ["check_recirculation"]

_TIMES: Final = (2.5, 8.0, 25.0, 80.0)
"""Times that a room's air may take to follow the propeller [s]; the one that tells the run best is taken."""
_CERTAIN: Final = 4.5
"""Multiple of the standard error: the best of four times passes 4 in one quiet run of ten thousand."""
_MATTERS: Final = 0.005
"""Thrust at a speed that is lost, on the mean over the run [1]."""
_CREEP: Final = 0.5
"""Zeros that differ by this share of the loss explain it by themselves [1]."""


@dataclass(frozen=True, slots=True)
class _Tale:
    """How well one course of events tells what thrust did within its levels."""

    size: float
    error: float
    gain: float
    """Sum of squares that it takes away, in standard deviations."""
    course: Floats


def check_recirculation(evidence: Evidence) -> list[Finding]:
    """Return a finding where CT at the run's own speed falls as an inflow that builds up would have it.

    Told apart from a zero that creeps: that takes the same force from every level, and stays away afterwards. A motor
    or a controller that is hot loses speed, not thrust at a speed.
    """
    levels = levels_of(evidence)
    if levels is None:
        return []
    bins = evidence.prepared.bins
    drive = evidence.prepared.spells.drive
    inflows = [_followed(bins.time, drive, time)[levels.place] for time in _TIMES]
    tale = max((_told(levels, levels.relative, inflow) for inflow in inflows), key=lambda told: told.gain)
    lost = -tale.size * float(np.mean(tale.course))
    if -tale.size < _CERTAIN * tale.error or lost < _MATTERS:
        return []
    zero = evidence.prepared.loads.zeros.get("thrust")
    creeps = [_told(levels, levels.relative, _crept(levels.time, time, zero) / levels.thrust) for time in _TIMES]
    if levels.count > 1 and max(creep.gain for creep in creeps) > tale.gain:
        return []
    thrust = float(np.mean(levels.thrust))
    if _zeros_apart(zero) > _CREEP * lost * thrust:
        return []
    near = clearance_in_diameters(evidence.job)
    why = f"; the nearest wall is {near:.1f} diameters away" if near is not None and near < NEAR else ""
    swing = -tale.size * float(np.ptp(tale.course))
    return [
        Finding(
            code="recirculation",
            severity="warning",
            message=f"thrust at the run's own speed falls by {100.0 * swing:.1f} % "
            f"({-tale.size / tale.error:.0f} times its uncertainty) while the propeller runs on, and the zero stays: "
            f"the air of the room comes back{why}",
            channel="thrust",
            start=float(levels.time[0]),
            end=float(levels.time[-1]),
            count=int(levels.time.size),
            effect=f"thrust at a speed is low by about {100.0 * lost:.1f} %, shaft efficiency by as much or more",
            done="nothing",
        )
    ]


def _followed(time: Floats, drive: Floats, delay: float) -> Floats:
    """Return an inflow that follows the drive with a delay [s], over the drive (n,): 0 at first, 1 in the end."""
    delay = max(delay, float(time[-1] - time[0]) / 300.0)  # the exponential below must not run over
    growth = np.exp((time - time[0]) / delay)
    pieces = 0.5 * (drive[1:] * growth[1:] + drive[:-1] * growth[:-1]) * np.diff(time) / delay
    inflow = np.append(0.0, np.cumsum(pieces)) / growth
    return np.asarray(inflow / np.maximum(drive, 1e-3 * float(np.max(drive))))


def _crept(time: Floats, delay: float, zero: ZeroFit | None) -> Floats:
    """Return a zero that creeps with a delay [s], less the line that was taken out between the zeros of both ends."""
    if zero is None or zero.before_window is None or zero.after_window is None:
        return np.asarray(1.0 - np.exp((time.min() - time) / delay))
    start, end = zero.before_window[1], zero.after_window[0]
    whole = 1.0 - np.exp((start - end) / delay)
    return np.asarray(1.0 - np.exp((start - time) / delay) - whole * (time - start) / (end - start))


def _told(levels: Levels, relative: Floats, course: Floats) -> _Tale:
    """Return the least-squares size of a course within levels, its means taken out level by level."""
    inside = centred(levels, course)
    weight = levels.weight
    spread = float(np.sum(weight * inside**2))
    if spread <= 0.0:
        return _Tale(0.0, 1.0, 0.0, course)
    size = float(np.sum(weight * inside * relative)) / spread
    error = np.sqrt(linked(levels, relative - size * inside) / spread)
    return _Tale(size, float(error), size**2 * spread, course)


def _zeros_apart(zero: ZeroFit | None) -> float:
    """Return how far the zeros before and after the run lie apart [N]; 0 where one is missing."""
    if zero is None or zero.before is None or zero.after is None:
        return 0.0
    return abs(zero.after - zero.before)
