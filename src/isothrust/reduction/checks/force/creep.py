"""A zero that creeps: once the load is gone, or while cells warm up, a rest slopes as no steady drift would have it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.records.reduced import ZeroFit
from isothrust.reduction.checks.force.blocks import block_means, memory
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.ranges import middle, rough_quantiles
from isothrust.reduction.words import said_reading
from isothrust.science.uncertainty import coverage_factor

__all__ = ["check_creep"]

_SHORTEST = 0.4
"""A rest shorter than this [s] has no slope worth naming."""
_PARTS = 60
"""Blocks a rest: enough to tell how long noise remembers."""
_FEWEST = 12
_MISSED = 2e-6
"""Share of level rests that may be called sloping."""
_MATTERS = 1.25e-3
"""Share of the greatest reading a second: over the few seconds that creep takes it comes to half a per cent of it."""
_COASTING: Final[Mapping[str, float]] = MappingProxyType({"thrust": 0.15, "torque": 0.35})
"""How long a rotor that the tachometer no longer sees may still pull, and drag on its bearing, into a rest [s]."""


class _Slope(NamedTuple):
    """How a rest slopes."""

    rate: float
    """[SI/s]"""
    beyond: float
    """The same less what the drift from the first to the last rest comes to [SI/s]."""
    error: float
    """Standard error [SI/s]."""
    limit: float
    """What noise alone does not pass [SI/s]."""
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
        slopes = _slopes(evidence, channel, zero)
        found = [s for s in slopes if abs(s.beyond) > max(s.limit, _MATTERS * top) and _slopes_itself(s, top)]
        if found:
            out.append(_finding(channel, max(found, key=lambda s: abs(s.rate)), top, unloaded))
    return out


def _slopes_itself(slope: _Slope, top: float) -> bool:
    """Whether a rest is not level by itself: after a jump in mid-run it is, and only seems to hang back."""
    return abs(slope.rate) > max(4.0 * slope.error, 0.5 * _MATTERS * top)


def _slopes(evidence: Evidence, channel: Channel, zero: ZeroFit) -> list[_Slope]:
    """Return the slopes of the first and the last rest."""
    before, after = zero.before_window, zero.after_window
    late = _COASTING[channel.quantity]
    middles, levels, drift = _line(evidence, zero)
    factor = _factor(evidence, channel)
    slopes = []
    for window, wait in ((before, 0.0), (after, late)):
        if window is not None and window[1] - window[0] - wait >= _SHORTEST:
            start, end = window[0] + wait, window[1]
            blocks = block_means(channel, start, end, (end - start) / _PARTS)
            if blocks is not None and blocks.means.size >= _FEWEST:
                as_read = blocks.means + factor * np.interp(blocks.time, middles, levels)
                slopes.append(_slope(blocks.time, as_read, factor * drift, (start, end)))
    return [slope for slope in slopes if slope is not None]


def _line(evidence: Evidence, zero: ZeroFit) -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Return the zero line that was taken out, by time and level, and its slope: it has kinks amid the rests."""
    before, after = zero.before_window, zero.after_window
    several = len(evidence.prepared.loads.rests) > 2  # a broken line: what its pieces were is not told
    if before is None or after is None or zero.before is None or zero.after is None or several:
        return (0.0,), (0.0,), 0.0
    middles = (0.5 * sum(before), 0.5 * sum(after))
    return middles, (zero.before, zero.after), (zero.after - zero.before) / (middles[1] - middles[0])


def _factor(evidence: Evidence, channel: Channel) -> float:
    """Return by what a load was multiplied once its zero was out."""
    loads = evidence.prepared.loads
    if channel.quantity == "thrust":
        return loads.slipstream or 1.0
    return -1.0 if any(finding.code == "torque-turned" for finding in loads.findings) else 1.0


def _slope(time: Floats, level: Floats, drift: float, span: tuple[float, float]) -> _Slope | None:
    """Return the slope of a rest amid it, a bend fitted along; what stands far from that curve does not count."""
    kept = np.ones(time.size, dtype=bool)
    for _ in range(2):
        t = time - time[kept].mean()
        terms = np.stack([np.ones(t.size), t, t**2], axis=1)
        solution, *_ = np.linalg.lstsq(terms[kept], level[kept], rcond=None)
        away = np.abs(level - terms @ solution)
        near = away <= 4.0 * max(1.4826 * middle(away), 1e-12)
        if near.all() or np.count_nonzero(near) < _FEWEST:
            break
        kept = near
    residual = (level - terms @ solution)[kept]
    freedom = residual.size / memory(residual) - 3.0
    if freedom < 1.0:
        return None
    inverse = np.linalg.inv(terms[kept].T @ terms[kept])
    error = float(np.sqrt(residual @ residual / freedom * inverse[1, 1]))
    limit = float(coverage_factor(freedom, level=1.0 - _MISSED)) * error
    return _Slope(float(solution[1]), float(solution[1]) - drift, error, limit, *span)


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
