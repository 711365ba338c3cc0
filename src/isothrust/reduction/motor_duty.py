"""Throttle to duty, and the supply's voltage to its current, over the readings of a motor."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.motor import DutyMap, Supply
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun

__all__ = ["duty_map", "rising", "supply_line"]

_CORNERS = 24
_FEWEST = 4
_LEAST_SPAN = 0.02
"""Current that the voltage must move over, as a share of its greatest, to tell the source's resistance [1]."""


def duty_map(throttle: Floats, duty: Floats, uncertainty: Floats) -> DutyMap | None:
    """Return the map through the duties (n,) at their throttles, never falling; None with too few of them.

    Parameters
    ----------
    throttle, duty
        0 to 1; readings without either are not a number.
    uncertainty
        Standard uncertainty of each duty by the motor's constants, common to all.
    """
    known = np.isfinite(throttle) & np.isfinite(duty) & np.isfinite(uncertainty)
    if np.count_nonzero(known) < _FEWEST or np.ptp(throttle[known]) < 0.05:
        return None
    x, y, u = throttle[known], duty[known], uncertainty[known]
    edges = np.linspace(float(x.min()), float(x.max()), _CORNERS + 1)
    cell = np.clip(np.searchsorted(edges, x, side="right") - 1, 0, _CORNERS - 1)
    corners: list[tuple[float, float, float, float]] = []
    for number in np.unique(cell):
        inside = cell == number
        count = int(np.count_nonzero(inside))
        centre = float(x[inside].mean())
        level, scatter = _level(x[inside], y[inside], centre)
        corners.append((centre, level, float(np.hypot(scatter, np.mean(u[inside]))), count))
    found = np.array(corners)
    order = np.argsort(found[:, 0])
    found = found[order]
    return DutyMap(found[:, 0], np.clip(rising(found[:, 1], found[:, 3]), 0.0, 1.0), found[:, 2])


def _level(x: Floats, y: Floats, centre: float) -> tuple[float, float]:
    """Return the value at the centre of the straight line through a corner's readings, and the scatter about it."""
    if x.size < 3 or np.ptp(x) < 1e-6:
        return float(y.mean()), float(y.std(ddof=1)) if y.size > 1 else 0.0
    slope = float(np.sum((x - centre) * (y - y.mean())) / np.sum((x - centre) ** 2))
    rest = y - y.mean() - slope * (x - centre)
    return float(y.mean()), float(np.sqrt(np.sum(rest**2) / (x.size - 2)))


def rising(values: Floats, weights: Floats) -> Floats:
    """Return the values (n,) that never fall and lie nearest by weighted squares: neighbours that fall are pooled."""
    pools: list[list[float]] = []
    for value, weight in zip(values.tolist(), weights.tolist(), strict=True):
        pools.append([value, weight, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            last, before = pools.pop(), pools.pop()
            total = last[1] + before[1]
            mean = (last[0] * last[1] + before[0] * before[1]) / total
            pools.append([mean, total, last[2] + before[2]])
    return np.repeat([pool[0] for pool in pools], [int(pool[2]) for pool in pools])


def supply_line(runs: Sequence[ReducedRun]) -> Supply | None:
    """Return voltage over current by least squares over all runs; None where none has both, or current hardly moves.

    The scatter of the runs' own lines is what its uncertainty comes from: a battery's voltage is not the same twice.
    """
    lines: list[tuple[float, float]] = []
    for run in runs:
        points = run.drive
        if points is None or points.voltage is None or points.current is None:
            continue
        v, i = points.voltage, points.current
        if v.size < 3 or np.ptp(i) < _LEAST_SPAN * float(np.max(np.abs(i))) or not np.all(v > 0.0):
            continue
        slope, level = np.polyfit(i, v, 1, w=np.sqrt(points.rows))
        lines.append((float(level), float(-slope)))
    if not lines:
        return None
    found = np.array(lines)
    voltage, resistance = found.mean(axis=0)
    spread = found.std(axis=0, ddof=1) if len(lines) > 1 else np.array([0.01 * voltage, 0.5 * abs(resistance)])
    return Supply(float(voltage), max(float(resistance), 0.0), float(spread[0]), float(spread[1]))
