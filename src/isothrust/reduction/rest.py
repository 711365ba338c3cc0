"""When the rotor stood still: the spells that zeros are read from."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["rest_spells"]

_SETTLE = 0.3
"""The end zero starts this long after the rotor stops [s]: the cells still ring and their filters still empty."""
_SETTLE_BLIND = 1.5
"""The same where no tachometer says when the rotor stopped [s]."""
_LEAD = 0.05
"""A spell ends this long before the rotor starts [s]: the tachometer is late."""
_SHORTEST = 0.15
_IDLE_CURRENT = 1.0
"""With less than this [A], or a twentieth of the greatest current, the motor may be off."""

_FEWEST = 20
"""Readings that tell what a channel does at rest."""
_DRIVEN = 1.0
"""A motor under load draws more [A]."""
_NOTHING = 0.01
"""Share of the greatest current: what is drawn with the motor off, where neither speed nor throttle says so."""
_FAR = 5.0
_OFF = 1.0
"""Without a speed the motor counts as off if it draws nothing for longer than this [s]."""


def rest_spells(channels: Mapping[str, Channel]) -> list[tuple[float, float]]:
    """Return start and end [s] of each spell with the motor off and the rotor still, in order."""
    speed, throttle = channels.get("speed"), channels.get("throttle")
    if speed is not None and speed.values.size:
        (top,) = rough_quantiles(speed.values, 0.98)
        still = speed.values < max(0.02 * top, 1.0)
        current = channels.get("current")
        if current is not None and current.values.size:  # a tachometer that has lost its marks reads nothing too
            amps = np.interp(speed.time, current.time, current.values)
            still &= amps < max(_IDLE_CURRENT, 0.05 * rough_quantiles(current.values, 0.98)[0])
        spells = _spells(speed.time, still)
        settle = _SETTLE
        if throttle is not None:
            spells = _within(spells, _spells(throttle.time, throttle.values <= 0.005))
    elif throttle is not None and throttle.values.size:
        spells = _spells(throttle.time, throttle.values <= 0.005)
        settle = _SETTLE_BLIND
    else:
        load, current = channels.get("thrust") or channels.get("torque"), channels.get("current")
        spells = _unpowered(current) if current is not None and load is not None else []
        if not spells:
            return _unloaded_ends(load)
        settle = _SETTLE_BLIND
    begin = min(channel.time[0] for channel in channels.values() if channel.time.size)
    out = []
    for start, end in spells:
        first = start if start <= begin + 1e-9 else start + settle
        if end - _LEAD - first >= _SHORTEST:
            out.append((float(first), float(end - _LEAD)))
    return out


def _unpowered(current: Channel) -> list[tuple[float, float]]:
    """Return where the current is next to nothing for long: a motor that only idles draws more, if not much."""
    if current.time.size < _FEWEST:
        return []
    least, top = rough_quantiles(current.values, 0.02, 0.98)
    scatter = rough_quantiles(np.abs(np.diff(current.values)), 0.5)[0]
    if not (top > _DRIVEN and abs(least) < _NOTHING * top):
        return []
    limit = least + max(0.5 * _NOTHING * top, _FAR * scatter)
    if limit > _NOTHING * top + abs(least):
        return []  # noise hides what an idling motor draws
    return [(a, b) for a, b in _spells(current.time, current.values < limit) if b - a > _OFF]


def _unloaded_ends(load: Channel | None) -> list[tuple[float, float]]:
    """Return the calm ends of a log that has neither speed nor throttle: the load's own lowest level."""
    if load is None or load.time.size < 20:
        return []
    low, high = rough_quantiles(load.values, 0.01, 0.99)
    still = load.values < low + 0.03 * (high - low)
    out = []
    for start, end in _spells(load.time, still):
        if start <= load.time[0] and end - 0.2 - start > _SHORTEST:
            out.append((start, end - 0.2))
        elif end >= load.time[-1] and end - start > _SETTLE_BLIND + _SHORTEST:
            out.append((start + _SETTLE_BLIND, end))
    return out


def _spells(time: Floats, still: np.ndarray) -> list[tuple[float, float]]:
    if time.size == 0:
        return []
    edges = np.flatnonzero(np.diff(still.astype(np.int8)))
    starts = (
        [0, *[int(e) + 1 for e in edges if still[e + 1]]] if still[0] else [int(e) + 1 for e in edges if still[e + 1]]
    )
    ends = [int(e) for e in edges if still[e]]
    if still[-1]:
        ends.append(time.size - 1)
    return [(float(time[a]), float(time[b])) for a, b in zip(starts, ends, strict=True)]


def _within(spells: list[tuple[float, float]], other: list[tuple[float, float]]) -> list[tuple[float, float]]:
    out = []
    for start, end in spells:
        for first, last in other:
            low, high = max(start, first), min(end, last)
            if high > low:
                out.append((low, high))
    return out
