"""A zero that creeps: once the load is gone, or while cells warm up, a rest slopes as no steady drift would have it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.records.reduced import ZeroFit
from isothrust.reduction.checks.force.blocks import block_means
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.ranges import middle, rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["check_creep"]

_SHORTEST = 0.4
"""A rest shorter than this [s] has no slope worth naming."""
_PARTS = 12
_FEWEST = 6
_FAR = 7.0
"""Multiple of its standard error at which a slope is one."""
_MATTERS = 1.25e-3
"""Share of the greatest reading a second: over the few seconds that creep takes it comes to half a per cent of it."""
_DRIFT = 0.75
"""Share of a steady drift's rate that may be left: the line through the rests takes it out of their inner halves."""
_COASTING = 0.35
"""How long the torque cell may still hold a bearing's drag once the tachometer reads nothing [s]."""


class _Slope(NamedTuple):
    """How a rest slopes once the line through the rests is out."""

    rate: float
    """[SI/s]"""
    error: float
    """Standard error [SI/s]."""
    drift: float
    """What a steady drift from rest to rest leaves of itself within one [SI/s]."""
    start: float
    end: float


def check_creep(evidence: Evidence) -> list[Finding]:
    """Return a finding for each load with a rest that is not level; none where no tachometer says that it is a rest."""
    prepared = evidence.prepared
    if "speed" not in prepared.loads.channels:
        return []
    unloaded = prepared.spells.transients[-1][0] if prepared.spells.transients else None
    out: list[Finding] = []
    for name, zero in prepared.loads.zeros.items():
        channel = prepared.loads.channels.get(name)
        if channel is None or channel.values.size < 8 or zero.before is None:
            continue
        (top,) = rough_quantiles(np.abs(channel.values), 0.98)
        found = [s for s in _slopes(channel, zero) if abs(s.rate) > max(_FAR * s.error + s.drift, _MATTERS * top)]
        if found:
            out.append(_finding(channel, max(found, key=lambda s: abs(s.rate)), top, unloaded))
    return out


def _slopes(channel: Channel, zero: ZeroFit) -> list[_Slope]:
    """Return the slopes of the first and the last rest."""
    before, after = zero.before_window, zero.after_window
    drift = 0.0
    if before is not None and after is not None and zero.before is not None and zero.after is not None:
        drift = (zero.after - zero.before) / (0.5 * (sum(after) - sum(before)))
    late = _COASTING if channel.quantity == "torque" else 0.0
    windows = [(before, 0.0), (after, late)]
    return [s for w, wait in windows if w is not None and (s := _slope(channel, w[0] + wait, w[1], drift)) is not None]


def _slope(channel: Channel, start: float, end: float, drift: float) -> _Slope | None:
    """Return the slope of a rest by a line through block means; what stands far from that line does not count."""
    if end - start < _SHORTEST:
        return None
    blocks = block_means(channel, start, end, (end - start) / _PARTS)
    if blocks is None or blocks.means.size < _FEWEST:
        return None
    t, y = blocks.time, blocks.means
    kept = np.ones(t.size, dtype=bool)
    for _ in range(2):
        centred = t - t[kept].mean()
        rate = float(centred[kept] @ y[kept]) / float(centred[kept] @ centred[kept])
        residual = y - y[kept].mean() - rate * centred
        away = np.abs(residual)
        near = away <= 4.0 * max(1.4826 * middle(away), 1e-12)
        if near.all() or np.count_nonzero(near) < _FEWEST:
            break
        kept = near
    residual = residual[kept]
    error = float(np.sqrt(residual @ residual / (residual.size - 2) / (centred[kept] @ centred[kept])))
    return _Slope(rate, error, _DRIFT * abs(drift), start, end)


def _finding(channel: Channel, slope: _Slope, top: float, unloaded: float | None) -> Finding:
    amount = said_reading(channel.quantity, abs(slope.rate), digits=3)
    error = said_reading(channel.quantity, slope.error, digits=2)
    since = 0.5 * (slope.start + slope.end) - unloaded if unloaded is not None and slope.start > unloaded else 0.0
    share = 100.0 * abs(slope.rate) * max(since, 0.5 * (slope.end - slope.start)) / top
    return Finding(
        code="zero-creep",
        severity="warning",
        message=f"the zero of {channel.quantity} {'falls' if slope.rate < 0.0 else 'rises'} by {amount} a second "
        f"(standard error {error}) while the motor is off {'after' if since > 0.0 else 'before'} the run: it creeps",
        channel=channel.quantity,
        start=slope.start,
        end=slope.end,
        effect=f"the zero that was taken out is wrong by {share:.1f} % of the greatest reading or more at the "
        f"{'end' if since > 0.0 else 'start'} of the run",
        done="the mean of the rest was taken for the zero",
    )
