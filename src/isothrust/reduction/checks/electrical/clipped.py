"""A current that stops rising while the rotor goes on: the sensor has run out, not the motor."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence

__all__ = ["check_clipped"]

_FLAT: Final = 0.98
"""Share of the greatest current above which current stands as good as still [1]."""
_STILL: Final[tuple[float, float]] = (0.004, 0.6)
"""So near to one reading lie so many of those bins at least [1]: a winding that warms holds no current as still."""
_SPAN: Final = 0.02
"""Least share of speed over which it does so [1]: current goes with speed to the power 2.5 to 3, so 2 % of it take
0.8 % of speed."""
_SPAN_BLIND: Final = 0.05
"""The same by the root of thrust, where no tachometer tells speed [1]."""
_POWER: Final = 0.5
"""Power of speed with which current may rise there at most [1]."""
_BELOW: Final = 1.5
"""Power with which it must rise below: a run that moves too little shows neither."""
_COLLAPSE: Final = 1.0
"""Power of speed with which voltage goes where it is the supply that gives no more current: 3 [1]."""
_FEWEST: Final = 8
_MOST: Final = 0.02
"""Share of the bins, those with the greatest current, that are not asked what the greatest current is [1]."""


def check_clipped(evidence: Evidence) -> list[Finding]:
    """Return a finding where current stands still over a range of speed in which the load goes on growing."""
    prepared = evidence.prepared
    current = prepared.steady("current")
    if current is None or current.size < 4 * _FEWEST:
        return []
    x = prepared.site.x
    most = float(np.sort(current)[int((1.0 - _MOST) * (current.size - 1))])
    flat = current >= _FLAT * most
    if most <= 0.0 or np.count_nonzero(flat) < _FEWEST:
        return []
    away = np.abs(current[flat] / float(np.median(current[flat])) - 1.0)
    if np.mean(away < _STILL[0]) < _STILL[1]:
        return []
    inside = np.sort(x[flat])
    low, high = (float(inside[round(share * (inside.size - 1))]) for share in (0.1, 0.9))
    if high - low < (_SPAN if prepared.abscissa == "speed" else _SPAN_BLIND) * high:
        return []
    rising = (x > 0.5 * low) & (x < 0.97 * low) & (current > 0.0)
    if np.count_nonzero(rising) < _FEWEST or _power(x[rising], current[rising]) < _BELOW:
        return []
    voltage = prepared.steady("voltage")
    if voltage is not None and np.all(voltage[flat] > 0.0) and _power(x[flat], voltage[flat]) > _COLLAPSE:
        return []
    if _power(x[flat], current[flat]) > _POWER:
        return []
    return [_finding(evidence, flat, _power(x[rising], current[rising]) * np.log(float(x.max()) / low))]


def _power(x: Floats, y: Floats) -> float:
    """Return the power of x with which y goes."""
    away = np.log(x) - np.mean(np.log(x))
    return float(away @ np.log(y) / max(float(away @ away), 1e-12))


def _finding(evidence: Evidence, flat: np.ndarray, missing: float) -> Finding:
    prepared = evidence.prepared
    current = prepared.steady("current")
    assert current is not None
    at = np.flatnonzero(prepared.spells.steady)[flat]
    speed = prepared.site.x[flat]
    where = (
        f"from {speed.min() * 30.0 / np.pi:.0f} to {speed.max() * 30.0 / np.pi:.0f} rpm"
        if prepared.abscissa == "speed"
        else "while thrust goes on rising"
    )
    return Finding(
        code="current-clipped",
        severity="warning",
        message=f"the current stands at {float(np.median(current[flat])):.3g} A {where}: its sensor reads no more",
        channel="current",
        start=float(prepared.bins.time[at[0]]),
        end=float(prepared.bins.time[at[-1]]),
        count=int(np.count_nonzero(flat)),
        effect=f"current and electrical power at the top are about {100.0 * (1.0 - np.exp(-missing)):.0f} % too low, "
        "electrical efficiency too high by as much",
        done="nothing: figures near the top are a lower bound",
    )
