"""A ripple of the speed reading that turns with the rotor: uneven marks, a disc out of centre, a beat of the gate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.ranges import usual_interval

__all__ = ["check_ripple"]

_BLOCKS: Final = (0.15, 0.3, 0.45, 0.6, 0.75, 0.9)
"""Where in the run's steady part the speed is looked at [1]."""
_SPAN: Final = 0.6
"""Length of a block [s]: a ramp bends little over that."""
_SHORTEST: Final = 0.3
_MOST: Final = 600
_FEWEST: Final = 40
_SLOWEST: Final = 90.0
"""A log with fewer rows a second tells nothing of a revolution [1/s]."""
_LEAST: Final = 0.003
"""Amplitude over speed that is told [1]: it is 0.6 % of a coefficient where it folds down."""
_NEIGHBOURS: Final = (-5.0, -4.0, -3.0, -2.0, 2.0, 3.0, 4.0, 5.0)
"""Lines beside an order that show the noise, in widths of a line."""
_STANDS_OUT: Final = 20.0
"""Power of an order over that of its neighbours; noise passes it once in a hundred thousand blocks."""
_AGREE: Final = 2
"""Blocks, at different speeds, that must show it: then it moves with the speed."""


@dataclass(frozen=True, slots=True)
class _Ripple:
    order: float
    amplitude: float
    """Over speed [1]."""
    blocks: int


def check_ripple(evidence: Evidence) -> list[Finding]:
    """Return a finding where the speed ripples by an order of rotation, at whatever frequency the log shows it."""
    speed = evidence.prepared.loads.channels.get("speed")
    if speed is None or evidence.prepared.abscissa != "speed" or speed.values.size < _FEWEST:
        return []
    interval = usual_interval(speed.time)
    if interval * _SLOWEST > 1.0:
        return []
    blocks = [
        block
        for first, last in _places(evidence.prepared.bins.time, evidence.prepared.spells.segment, interval)
        if (block := _block(speed, first, last)) is not None
    ]
    found = [r for order in _orders(evidence) if (r := _ripple(blocks, order, interval)) is not None]
    return [_finding(max(found, key=lambda ripple: ripple.amplitude), evidence, interval)] if found else []


def _places(time: Floats, segment: NDArray[np.int64], interval: float) -> list[tuple[float, float]]:
    """Return start and end [s] of the blocks: each within one steady spell, and as long as that lasts at most."""
    steady = np.flatnonzero(segment)
    span = min(_SPAN, _MOST * interval)
    places: list[tuple[float, float]] = []
    for at in steady[(np.array(_BLOCKS) * (steady.size - 1)).astype(np.intp)].tolist():
        inside = np.flatnonzero(segment == segment[at])
        start, end = float(time[inside[0]]), float(time[inside[-1]])
        first = min(max(float(time[at]) - 0.5 * span, start), max(end - span, start))
        if min(end, first + span) - first >= _SHORTEST:
            places.append((first, min(end, first + span)))
    return places


def _orders(evidence: Evidence) -> list[float]:
    design, motor = evidence.job.design, evidence.job.motor
    orders = {1.0, 2.0, 3.0, 4.0}
    if design.blades is not None:
        orders.add(float(design.blades))
    if motor is not None and motor.pole_pairs is not None:
        orders.add(motor.pole_pairs)
    return sorted(orders)


@dataclass(frozen=True, slots=True)
class _Block:
    time: Floats
    rest: Floats
    """Speed over its smooth course, less 1 (n,)."""
    angle: Floats
    """Of the smooth course [rev]."""
    rate: float
    """Mean speed [rev/s]."""


def _block(speed: Channel, start: float, end: float) -> _Block | None:
    """Return a block of samples, None where they are too few, too calm to ripple, or no ramp and no hold."""
    middle, span = 0.5 * (start + end), end - start
    first, last = np.searchsorted(speed.time, [start, end]).tolist()
    if last - first < _FEWEST:
        return None
    t = speed.time[first:last] - middle
    u = t / (0.5 * span)
    powers = np.vander(u, 4, increasing=True)
    terms = np.linalg.solve(powers.T @ powers, powers.T @ speed.values[first:last])
    smooth = powers @ terms
    if float(smooth.min()) <= 0.0:
        return None
    rest = speed.values[first:last] / smooth - 1.0
    if float(np.sqrt(np.mean(rest**2))) < 0.7 * _LEAST:
        return None
    integral = np.stack([u ** (k + 1) / (k + 1) for k in range(4)], axis=1) @ terms * (0.5 * span)
    return _Block(t, rest, integral / (2.0 * math.pi), float(smooth.mean()) / (2.0 * math.pi))


def _ripple(blocks: list[_Block], order: float, interval: float) -> _Ripple | None:
    sizes = []
    for block in blocks:
        width = 1.0 / float(np.ptp(block.time))
        folded = abs(order * block.rate * interval - round(order * block.rate * interval)) / interval
        if folded < 8.0 * width:
            continue  # so near to nothing it is a slow wave, and in the smooth course
        power = [_power(block, order, offset * width) for offset in (0.0, *_NEIGHBOURS)]
        if power[0] > _STANDS_OUT * float(np.mean(power[1:])):
            sizes.append(math.sqrt(power[0]))
    if len(sizes) < _AGREE or float(np.median(sizes)) < _LEAST:
        return None
    return _Ripple(order, float(np.median(sizes)), len(sizes))


def _power(block: _Block, order: float, offset: float) -> float:
    """Return the square of the amplitude at an order, `offset` [Hz] aside."""
    wave = np.exp(-2j * math.pi * (order * block.angle + offset * block.time))
    return float(abs(2.0 * np.mean(block.rest * wave)) ** 2)


def _finding(ripple: _Ripple, evidence: Evidence, interval: float) -> Finding:
    x = evidence.prepared.site.x
    step = 60.0 / (ripple.order * interval)
    low, high = float(x.min()) * 30.0 / math.pi, float(x.max()) * 30.0 / math.pi
    folds = [k * step for k in range(1, 1 + int(high // step)) if k * step >= low]
    effect = 200.0 * ripple.amplitude
    where = ""
    if folds:
        where = f"; it folds down to a false dent or bump at {', '.join(f'{rpm:.0f}' for rpm in folds[:3])} rpm"
    return Finding(
        code="speed-ripple",
        severity="warning" if folds and effect >= 1.0 else "note",
        message=f"speed ripples by {100.0 * ripple.amplitude:.2g} % {ripple.order:g} times a revolution, "
        f"at {ripple.blocks} speeds, in a log of {1.0 / interval:.0f} rows a second{where}",
        channel="speed",
        effect=f"up to {effect:.2g} % of CT and CP where it folds to a standstill, next to none elsewhere",
    )
