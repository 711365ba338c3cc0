"""An order of rotation that meets the rate of the log: it stands still there, as a false dent or bump in a load."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.fitting import CurveFit
from isothrust.reduction.ranges import usual_interval

__all__ = ["check_folded"]

_ORDERS: Final = (1.0, 2.0, 3.0, 4.0)
_SLOWEST: Final = 40.0
"""A log with fewer rows a second folds an order at every few per cent of speed [1/s]: that is noise, and counted so."""
_APART: Final = 0.15
"""An order whose places are nearer to each other than this share of top speed is noise, and counted so."""
_UPPER: Final = 0.45
"""Share of top speed below which loads are too small to show a beat, and figures are not asked for [1]."""
_NEAR: Final = 0.3
"""Frequencies below this share of the bins' rate are seen about the place [1]."""
_ASIDE: Final = (0.8, 3.0)
"""Frequencies that the mean over a bin wipes out: the noise of the load is read from there [1]."""
_FEWEST: Final = 6
_STANDS_OUT: Final = 2.5
"""Mean square of the residuals about the place, over that beside it, from which it is looked at."""
_SURE: Final = 14.0
"""Half the drop of chi squared that a chirp must bring: noise does so once in a million places."""
_SHIFTS: Final = (-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0)
"""Tries of the frequency at the place [Hz]: the speed is late and its scale not exact."""
_TOLD: Final = 0.01
"""Beat of the reading from which it is told [1]."""
_HEAVY: Final = 0.005
"""Dent in a coefficient from which a figure moves [1]."""


@dataclass(frozen=True, slots=True)
class _Fold:
    """One place where an order stands still."""

    order: float
    speed: float
    """[rad/s]"""
    rate: float
    """Of the log [1/s]."""
    beat: Floats
    """Frequency that the log shows, signed, at the bins (n,) [Hz]."""


def check_folded(evidence: Evidence) -> list[Finding]:
    """Return a finding for each load in which an order leaves a chirp at the speed where it folds to nothing."""
    if evidence.prepared.abscissa != "speed":
        return []
    thrust, torque = evidence.mechanics.thrust, evidence.mechanics.torque
    found: list[Finding] = []
    if thrust is not None:
        found += _check(evidence, "thrust", thrust.curve, thrust.size)
    if torque is not None:
        found += _check(evidence, "torque", torque.curve, torque.size)
    return found


def _check(evidence: Evidence, channel: str, curve: CurveFit, size: Floats) -> list[Finding]:
    worst: tuple[float, float, _Fold] | None = None
    for fold in _folds(evidence, usual_interval(evidence.prepared.loads.channels[channel].time)):
        seen = _chirp(evidence, curve, size, fold)
        if seen is not None and seen[1] >= _TOLD and (worst is None or abs(seen[0]) > abs(worst[0])):
            worst = (*seen, fold)
    return [] if worst is None else [_finding(channel, *worst)]


def _folds(evidence: Evidence, interval: float) -> Iterator[_Fold]:
    """Yield the places in the upper part of the run's range, the lowest orders first."""
    x = evidence.prepared.site.x
    high, turn = float(x.max()), 2.0 * math.pi / interval
    low = max(float(x.min()), _UPPER * high)
    if interval * _SLOWEST > 1.0:
        return
    for order in _orders(evidence.job):
        if turn / order < _APART * high:
            break
        for multiple in range(math.ceil(order * low / turn), 1 + math.floor(order * high / turn)):
            speed = turn * multiple / order
            yield _Fold(order, speed, 1.0 / interval, (x - speed) * order / (2.0 * math.pi))


def _orders(job: RunJob) -> list[float]:
    orders = {*_ORDERS}
    if job.design.blades is not None:
        orders |= {float(job.design.blades), 2.0 * job.design.blades}
    if job.motor is not None and job.motor.pole_pairs is not None:
        orders.add(job.motor.pole_pairs)
    return sorted(orders)


def _chirp(evidence: Evidence, curve: CurveFit, size: Floats, fold: _Fold) -> tuple[float, float] | None:
    """Return the dent in the curve and the amplitude of the reading [1] where a chirp about the place is sure."""
    width = evidence.prepared.bins.width
    near = np.abs(fold.beat) < _NEAR / width
    if np.count_nonzero(near) < _FEWEST:
        return None
    rest = curve.residuals / size
    farthest = min(_ASIDE[1] / width, fold.rate - _ASIDE[0] / width)  # beyond, a slow log shows the next place's beat
    aside = (np.abs(fold.beat) > _ASIDE[0] / width) & (np.abs(fold.beat) < farthest)
    sides = [rest[aside & side] for side in (fold.beat < 0.0, fold.beat > 0.0)]
    calm = max((float(np.mean(side**2)) for side in sides if side.size >= _FEWEST), default=0.0)
    if calm <= 0.0 or float(np.mean(rest[near] ** 2)) < _STANDS_OUT * calm:
        return None
    steady = evidence.prepared.bins.time[evidence.prepared.spells.steady]
    best: tuple[float, Floats] | None = None
    for shift in _SHIFTS:
        waves = _waves(steady, fold.beat + shift, evidence.prepared.site.segment, near, width)
        gain = curve.fit.gain
        left = waves - evidence.prepared.site.basis @ (gain @ waves)  # what of a chirp the curve does not take up
        terms, _, rank, _ = np.linalg.lstsq(left[near], rest[near], rcond=1e-9)
        drop = float(np.sum(rest[near] ** 2) - np.sum((rest[near] - left[near] @ terms) ** 2))
        if rank == waves.shape[1] and (best is None or drop > best[0]):
            best = (drop, waves @ terms)
    if best is None or best[0] / (2.0 * calm * max(curve.correlation, 1.0)) < _SURE:
        return None
    basis = evidence.prepared.site.basis[np.abs(fold.beat) < 2.0 * _NEAR / width]
    dent = basis @ (curve.fit.gain @ best[1]) / (basis @ curve.fit.coefficients)
    level = float(np.mean(basis @ curve.fit.coefficients))
    return float(dent[np.argmax(np.abs(dent))]), float(np.abs(best[1]).max()) / abs(level)


def _waves(time: Floats, beat: Floats, segment: NDArray[np.int64], near: NDArray[np.bool_], width: float) -> Floats:
    """Return cosine and sine of the beat (n, 2 a passage), each passage of the place with a phase of its own."""
    columns: list[Floats] = []
    for number in np.unique(segment[near]).tolist():
        inside = near & (segment == number)
        if np.count_nonzero(inside) < _FEWEST:
            continue
        step = np.diff(time[inside], prepend=time[inside][0])
        phase = 2.0 * math.pi * np.cumsum(beat[inside] * step)
        left = np.sinc(beat[inside] * width)  # of a wave, by the mean over a bin
        for wave in (np.cos(phase), np.sin(phase)):
            column = np.zeros(time.size)
            column[inside] = left * wave
            columns.append(column)
    return np.stack(columns, axis=1) if columns else np.zeros((time.size, 0))


def _finding(channel: str, dent: float, amplitude: float, fold: _Fold) -> Finding:
    rpm = fold.speed * 30.0 / math.pi
    kind = "bump" if dent > 0.0 else "dent"
    return Finding(
        code="order-aliased",
        severity="warning" if abs(dent) >= _HEAVY else "note",
        message=f"{channel} beats by {100.0 * amplitude:.2g} % about {rpm:.0f} rpm, where {fold.order:g} times a "
        f"revolution meets the {fold.rate:.0f} rows a second of the log and stands still",
        channel=channel,
        effect=f"a false {kind} of {100.0 * abs(dent):.2g} % in the coefficient of {channel} about {rpm:.0f} rpm; bins "
        "that stand far out count for nothing in the fit, so it is less than the beat",
    )
