"""Thrust that leaks into the torque cell.

While the motor drives, a leak in proportion to thrust looks like a greater torque coefficient: nothing in one run tells
them apart. Two spells do. When the power is cut the motor gives no torque, and the cell should read the bearing's drag
alone, while the slowing rotor still pulls. And with the rotor still, a push on the bench moves thrust; torque must not
go along.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.force.blocks import block_means, memory
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.words import said_reading

__all__ = ["check_crosstalk"]

_FAR = 4.5
"""Multiple of its standard error at which a leak is one."""
_MATTERS = 0.02
"""Share of the torque at the top of the run that the leak makes up."""
_SETTLED = 0.12
"""How long after the cut the torque cell's filter still holds what the motor gave [s]."""
_LONGEST = 4.0
_SLOWEST = 0.04
"""Share of top speed down to which a coast is followed."""
_BLOCK = 0.01
_FEWEST = 8
_LONG_ENOUGH = 20
_DOWN = 0.25
"""A coast tells drag from thrust once it has come down to this share of its first speed, in so many blocks."""
_DRAG = 0.15
"""Share of the torque before the cut: what acts beside the thrust is more than a bearing's drag, the motor brakes."""
_CUT = 0.5
"""A coast begins at this share of top speed at least."""
_PUSH = 0.01
"""Share of the greatest thrust that a push must pass to tell anything."""


class _Leak(NamedTuple):
    """Torque for each newton of thrust."""

    value: float
    """[N m/N]"""
    error: float
    start: float
    end: float
    samples: int
    seen: str
    """Where, in words."""


def check_crosstalk(evidence: Evidence) -> list[Finding]:
    """Return a finding where torque follows thrust while the motor gives none."""
    channels = evidence.prepared.loads.channels
    thrust, torque, speed = channels.get("thrust"), channels.get("torque"), channels.get("speed")
    fit = evidence.mechanics.torque
    if thrust is None or torque is None or speed is None or fit is None or evidence.mechanics.thrust is None:
        return []
    steady = evidence.prepared.steady("thrust"), evidence.prepared.steady("torque")
    if steady[0] is None or steady[1] is None:
        return []
    at_top = np.argsort(evidence.prepared.site.x)[-5:]
    top = float(np.mean(steady[0][at_top])), float(np.mean(steady[1][at_top]))
    leaks = [_while_coasting(evidence, (thrust, torque, speed), top[1]), _by_pushes(evidence, thrust, torque, top[0])]
    found = [
        leak
        for leak in leaks
        if leak is not None and abs(leak.value) > max(_FAR * leak.error, _MATTERS * top[1] / top[0])
    ]
    return [_finding(found[0], top)] if found else []


def _while_coasting(evidence: Evidence, channels: tuple[Channel, Channel, Channel], before: float) -> _Leak | None:
    """Return the leak after the last cut, by least squares: bearing drag, constant and with speed, and thrust."""
    spells, bins = evidence.prepared.spells, evidence.prepared.bins
    powered = np.flatnonzero(spells.powered)
    if powered.size == 0 or spells.drive[powered[-1]] < _CUT * spells.top:
        return None
    cut = float(bins.time[powered[-1]]) + 0.5 * bins.width
    thrust, torque, speed = channels
    blocks = block_means(torque, cut + _SETTLED, cut + _LONGEST, _BLOCK)
    if blocks is None or blocks.width > 3.0 * _BLOCK:
        return None
    w = np.interp(blocks.time, speed.time, speed.values)
    stopped = np.flatnonzero(w < _SLOWEST * spells.top)
    count = int(stopped[0]) if stopped.size else w.size
    if count < _LONG_ENOUGH or w[count - 1] > _DOWN * w[0]:
        return None
    w, q, time = w[:count], blocks.means[:count], blocks.time[:count]
    if np.any(np.diff(w) > 0.02 * spells.top):
        return None  # the power came back
    t = _mean_near(thrust, time, blocks.width)
    terms = np.stack([np.ones(count), w / w[0], t], axis=1)
    solution, _, rank, _ = np.linalg.lstsq(terms, q, rcond=1e-9)
    if rank < 3 or float(np.max(np.abs(terms[:, :2] @ solution[:2]))) > _DRAG * before:
        return None
    residual = q - terms @ solution
    variance = float(residual @ residual) / (count - 3) * memory(residual)
    error = float(np.sqrt(variance * np.linalg.inv(terms.T @ terms)[2, 2]))
    seen = "while the rotor coasts and the motor gives none"
    return _Leak(float(solution[2]), error, float(time[0]), float(time[-1]), count * blocks.each, seen)


def _mean_near(channel: Channel, time: Floats, width: float) -> Floats:
    """Return means of a channel over `width` [s] about each time (n,)."""
    first, last = np.searchsorted(channel.time, [time - 0.5 * width, time + 0.5 * width])
    total = np.concatenate([[0.0], np.cumsum(channel.values)])
    count = last - first
    means = (total[last] - total[first]) / np.maximum(count, 1)
    return np.where(count > 0, means, np.interp(time, channel.time, channel.values))


def _by_pushes(evidence: Evidence, thrust: Channel, torque: Channel, top: float) -> _Leak | None:
    """Return the leak with the rotor still, where something moved the thrust."""
    best: _Leak | None = None
    for start, end in evidence.prepared.loads.rests:
        blocks = block_means(torque, start, end, 5.0 * _BLOCK)
        if blocks is None or blocks.means.size < _FEWEST:
            continue
        t = _mean_near(thrust, blocks.time, blocks.width)
        if float(np.ptp(t)) < _PUSH * top:
            continue
        terms = np.stack([np.ones(t.size), t - t.mean()], axis=1)
        solution, *_ = np.linalg.lstsq(terms, blocks.means, rcond=None)
        residual = blocks.means - terms @ solution
        spread = float(np.sqrt(residual @ residual / max(1, t.size - 2)))
        error = spread / float(np.sqrt(np.sum(terms[:, 1] ** 2)))
        if best is None or error < best.error:
            seen = "with the rotor still, as something pushes on the bench"
            best = _Leak(float(solution[1]), error, start, end, t.size * blocks.each, seen)
    return best


def _finding(leak: _Leak, top: tuple[float, float]) -> Finding:
    share = 100.0 * leak.value * top[0] / top[1]
    per_kilo = said_reading("torque", leak.value * 9.80665, digits=3)
    return Finding(
        code="torque-crosstalk",
        severity="warning",
        message=f"torque follows thrust {leak.seen}: {per_kilo} for each 1000 gf (standard error "
        f"{said_reading('torque', leak.error * 9.80665, digits=2)})",
        channel="torque",
        start=leak.start,
        end=leak.end,
        count=leak.samples,
        effect=f"torque and shaft power read {share:+.1f} % at the top of the run, shaft efficiency {-share:+.1f} %",
        done="nothing: it would have to be taken out by the rig's calibration",
    )
