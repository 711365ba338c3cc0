"""Readings that a motor is found from: of all runs that share it, with what the rigs state of their channels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.motor import DrivePoints
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import Rig
from isothrust.science.drive_model import DriveReadings, RigDoubt

__all__ = ["REFERENCE", "MotorReadings", "rig_doubt", "run_readings", "usable"]

REFERENCE: Final = 293.15
"""Temperature that resistances are stated at [K]."""
_NOT_FULL: Final = (
    ("supply-limit", "the supply was at its current limit"),
    ("thermal-derating", "the controller took duty back as it got hot"),
)
"""Findings after which full throttle is no known duty."""
_START: Final = 1.5
"""Warmth that a winding may have kept from the run before [K]."""
_UNKNOWN_START: Final = 8.0
"""… and where nobody read the air's temperature."""
_LAG: Final = 2e-3
"""What the estimate of a lag may be off besides: voltage and current have filters of their own [s]."""


@dataclass(frozen=True, slots=True)
class MotorReadings:
    """Readings of several runs in a row, and which run each comes from."""

    readings: DriveReadings
    throttle: Floats
    """Not a number where the run has none (n,)."""
    runs: tuple[ReducedRun, ...]
    """By number of `readings.run`."""
    notes: tuple[str, ...]


def usable(run: ReducedRun) -> DrivePoints | None:
    """Return the points of a run that shows its power balance: torque, voltage and current; None for any other."""
    points = run.drive
    if points is None or points.torque is None or points.voltage is None or points.current is None:
        return None
    return points if points.torque_heat is not None and float(points.torque.max()) > 0.0 else None


def run_readings(runs: Sequence[ReducedRun]) -> MotorReadings | None:
    """Return the readings of all usable runs; None where there are none."""
    parts: list[DriveReadings] = []
    throttle: list[Floats] = []
    kept: list[ReducedRun] = []
    notes: list[str] = []
    for run in runs:
        points = usable(run)
        if points is None:
            continue
        full, note = _full(run, points)
        parts.append(_part(points, full, len(kept)))
        none = np.full(points.speed.size, np.nan)
        throttle.append(points.throttle if points.throttle is not None else none)
        kept.append(run)
        notes += note
    if not parts:
        return None
    columns = (np.concatenate(column) for column in zip(*parts, strict=True))
    return MotorReadings(DriveReadings(*columns), np.concatenate(throttle), tuple(kept), tuple(notes))


def _full(run: ReducedRun, points: DrivePoints) -> tuple[np.ndarray, list[str]]:
    """Return which points have a known duty, and why those at full throttle do not count where they do not."""
    none = np.zeros(points.speed.size, dtype=bool)
    if points.full is None or not np.any(points.full > 0.5):
        return none, []
    codes = {finding.code for finding in run.findings if finding.severity != "note"}
    why = [words for code, words in _NOT_FULL if code in codes]
    if why:
        return none, [f"full throttle of run {run.run} is no known duty: {' and '.join(why)}"]
    return points.full > 0.5, []


def _part(points: DrivePoints, full: np.ndarray, number: int) -> DriveReadings:
    assert points.torque is not None and points.voltage is not None and points.current is not None
    assert points.torque_heat is not None
    n = points.speed.size
    none = np.zeros(n)
    heat = np.maximum(points.torque_heat, 0.0)
    aged = points.heat_time if points.heat_time is not None else none
    start = 0.0 if points.temperature is None else points.temperature - REFERENCE
    drawn = points.acceleration if points.acceleration is not None else none
    return DriveReadings(
        run=np.full(n, number, dtype=np.int64),
        speed=points.speed,
        torque=points.torque,
        voltage=points.voltage,
        current=points.current,
        heat=heat,
        impulse=points.torque_time if points.torque_time is not None else none,
        lapse=np.where(heat > 0.0, aged / np.where(heat > 0.0, heat, 1.0), 0.0),
        start=np.full(n, start),
        growth=drawn / points.speed,
        rows=points.rows,
        full=full,
    )


def rig_doubt(runs: Sequence[ReducedRun], rigs: Mapping[str, Rig]) -> tuple[RigDoubt, tuple[str, ...]]:
    """Return what the rigs state of their channels, and the channels that state nothing.

    Nothing is invented for those: their scale is taken as it is, and the motor's uncertainty is a lower bound.
    """
    relative: dict[str, float] = {}
    absolute: dict[str, float] = {}
    silent: list[str] = []
    for channel in ("speed", "torque", "voltage", "current"):
        plans = [rigs[name].channels.get(channel) for name in sorted({run.rig for run in runs}) if name in rigs]
        stated = [plan.uncertainty for plan in plans if plan is not None and plan.uncertainty is not None]
        if not stated:
            silent.append(channel)
        relative[channel] = max((each.relative for each in stated), default=0.0)
        absolute[channel] = max((each.absolute for each in stated), default=0.0)
    zeros = [run.zeros["torque"].uncertainty for run in runs if "torque" in run.zeros]
    airless = all(run.drive is None or run.drive.temperature is None for run in runs)
    return (
        RigDoubt(
            **relative,
            torque_lag=float(np.hypot(_lag(runs, "torque"), _LAG)),
            electrical_lag=float(np.hypot(_lag(runs, "electrical"), _LAG)),
            torque_zero=max(absolute["torque"], float(np.median(zeros)) if zeros else 0.0),
            current_zero=absolute["current"],
            start=_UNKNOWN_START if airless else _START,
        ),
        tuple(silent),
    )


def _lag(runs: Sequence[ReducedRun], name: str) -> float:
    found = [run.lags[name].uncertainty for run in runs if name in run.lags]
    return float(np.median(found)) if found else 0.0
