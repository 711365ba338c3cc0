"""A cell, converter or filter so slow that a ramp or a step is over before the reading has followed it."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.evidence import Evidence
from isothrust.science.alignment import cumulative_integral

__all__ = ["check_slow_filter"]

_MATTERS = 0.02
"""Share of the reading, at half of its greatest, by which a delay may put a ramp out before it must be told."""
_WRONG = 0.02
"""The same of what the run's own correction leaves, beyond which the figures of a ramp are surely wrong."""
_SETTLED = 0.25
"""Bins count from this long after a step [s]."""
_CUT = 0.5
"""A coast begins at this share of top speed at least."""
_LONGEST = 5.0
_FALLS = 0.5
"""The log must go on for so long after the cut [s] …"""
_LEFT = 0.3
"""… and load and speed come down to this share."""
_ROSE = 0.05
"""Share of its top by which the speed may rise from one sample to the next in a coast."""
_BEFORE = 0.1
"""What a load read before the cut is a mean over so long [s]."""
_LEAST = 0.05
"""No delay shorter than this [s] puts anything out by per cents, however the run was flown."""
_SURE = 5.0
"""Standard uncertainties by which a delay found from legs must be longer than that."""


def check_slow_filter(evidence: Evidence) -> list[Finding]:
    """Return a finding for each load whose delay moves the run's readings by per cents."""
    fits = (("thrust", evidence.mechanics.thrust), ("torque", evidence.mechanics.torque))
    at_its_end = {finding.channel for finding in evidence.prepared.loads.findings if finding.code == "saturated"}
    out: list[Finding] = []
    for name, fit in fits:
        channel = evidence.prepared.loads.channels.get(name)
        if fit is None or channel is None or name in at_its_end:
            continue
        delay = _delay(evidence, channel, fit.lag)
        if delay is None or delay < _LEAST:
            continue
        share = _put_out(evidence, name, delay)
        if share > _MATTERS:
            out.append(_finding(evidence, name, (delay, fit.lag), share))
    return out


def _delay(evidence: Evidence, channel: Channel, lag: Estimate) -> float | None:
    """Return the mean delay of a load [s]: by its own fall after the last cut, else by what lag the run found.

    Whatever the filter, the area under its answer to a step is the step times its mean delay.
    """
    fallen = _by_fall(evidence, channel)
    if fallen is not None:
        return fallen
    surely = lag.value - _SURE * lag.uncertainty > _LEAST and np.isfinite(lag.degrees_of_freedom)
    return lag.value if surely else None


def _by_fall(evidence: Evidence, channel: Channel) -> float | None:
    prepared = evidence.prepared
    spells, bins, speed = prepared.spells, prepared.bins, prepared.loads.channels.get("speed")
    powered = np.flatnonzero(spells.powered)
    if speed is None or powered.size == 0 or spells.drive[powered[-1]] < _CUT * spells.top:
        return None
    cut = float(bins.time[powered[-1]]) + 0.5 * bins.width
    first, last = np.searchsorted(channel.time, [cut, cut + _LONGEST])
    before = np.searchsorted(channel.time, cut - _BEFORE)
    held = channel.values[before:first]
    if last - first < 8 or held.size == 0 or channel.time[last - 1] - cut < _FALLS:
        return None
    level = float(np.mean(held))
    time, reading = channel.time[first:last], channel.values[first:last]
    w = np.interp(time, speed.time, speed.values)
    if float(w[-1]) > _LEFT * float(w[0]) or float(np.max(np.diff(w))) > _ROSE * spells.top:
        return None  # no coast, or the power came back
    expected = _expected(w / max(float(w[0]), 1e-9), reading, level, coasts=channel.quantity == "thrust")
    step = level - float(expected[-1])
    if step <= 0.0 or float(np.mean(reading[-3:])) > _LEFT * level:
        return None
    return float(cumulative_integral(time, reading - expected)[-1]) / step


def _expected(share: Floats, reading: Floats, level: float, *, coasts: bool) -> Floats:
    """Return what a load would read without delay after the cut (n,): thrust falls with the square of speed.

    Torque is at once the drag that the second half of the coast shows, and nothing once the rotor stands.
    """
    if coasts:
        return np.asarray(level * share**2)
    turning = share > 0.0
    late = reading[turning & (share < 0.5)]
    drag = min(float(np.median(late)), 0.0) if late.size else 0.0
    return np.where(turning, drag, 0.0)


def _put_out(evidence: Evidence, name: str, delay: float) -> float:
    """Return the share by which a delay puts the load out at half of its greatest, as this run went."""
    prepared = evidence.prepared
    reading = prepared.steady(name)
    if reading is None:
        return 0.0
    if prepared.job.run.kind == "ramp":
        half = (reading > 0.3 * reading.max()) & (reading < 0.7 * reading.max())
        slope = prepared.rate(name)
        return abs(delay) * float(np.median(np.abs(slope[half]) / reading[half])) if half.any() else 0.0
    numbers = np.unique(prepared.spells.segment[prepared.spells.segment > 0], return_counts=True)[1]
    length = float(np.median(numbers)) * prepared.bins.width
    if delay <= 0.0 or length <= 0.0:
        return 0.0
    return float(delay / length * np.exp(-_SETTLED / delay) * (1.0 - np.exp(-length / delay)))


def _finding(evidence: Evidence, name: str, delays: tuple[float, Estimate], share: float) -> Finding:
    delay, lag = delays
    left = share
    if evidence.prepared.job.run.kind == "ramp":
        left = _put_out(evidence, name, delay - lag.value)
    wrong = left > _WRONG and evidence.prepared.job.run.kind == "ramp"
    time = evidence.prepared.bins.time[evidence.prepared.spells.steady]
    taken_out = "the run was set aside" if wrong else f"a delay of {1e3 * lag.value:.0f} ms was taken out"
    return Finding(
        code="filter-slow",
        severity="fail" if wrong else "warning",
        message=f"{name} follows {1e3 * delay:.0f} ms late on average: at half of its greatest it is "
        f"{100.0 * share:.1f} % behind as this run went",
        channel=name,
        start=float(time[0]),
        end=float(time[-1]),
        effect=f"up to {100.0 * left:.1f} % of {name} is left after the run's own correction",
        done=taken_out,
    )
