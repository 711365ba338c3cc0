"""A load that freezes for a spell in mid-run: it reads the very same while the rotor goes on to another speed."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["check_frozen"]

_FEWEST = 5
_SHORTEST = 0.08
"""[s] no cell's noise is still for longer, unless its digits are coarse."""
_MOVED = 0.03
"""Share of the greatest load by which the load should have changed."""
_DIGITS = 6.0
"""The same in steps of the reading."""
_COASTING = 0.2
"""Share of top speed that a rotor may lose a second under power; a coasting one asks no torque of its motor."""


def check_frozen(channel: Channel, speed: Channel) -> tuple[Channel, list[Finding]]:
    """Return the load without its frozen spells, and a finding that counts them.

    The load that a speed asks for goes as its square; how much, the run's own greatest readings tell. A reading that
    is the channel's greatest or least is a converter's end, not a frozen one.
    """
    x = channel.values
    spells = _unchanged(channel)
    if not spells or speed.values.size < 2:
        return channel, []
    (load,), (top,) = rough_quantiles(np.abs(x - np.median(x[:8])), 0.98), rough_quantiles(speed.values, 0.98)
    step = np.abs(np.diff(x))
    grain = float(step[step > 0.0].min()) if np.any(step > 0.0) else np.inf
    ends = (float(x.min()), float(x.max()))
    limit = max(_MOVED * load, _DIGITS * grain)
    found = []
    for first, last in spells:
        if float(x[first]) in ends or top <= 0.0:
            continue
        between = (float(channel.time[first]), float(channel.time[last]))
        moved = _range_between(speed, *between, top, coasts=channel.quantity == "thrust")
        if moved * load > limit:
            found.append((first, last, moved * load))
    if not found:
        return channel, []
    keep = np.ones(x.size, dtype=bool)
    for first, last, _ in found:
        keep[first + 1 : last + 1] = False
    return Channel(channel.quantity, channel.time[keep], x[keep], channel.resolution), [_finding(channel, found)]


def _unchanged(channel: Channel) -> list[tuple[int, int]]:
    """First and last sample of each long spell of one and the same reading."""
    if channel.values.ndim != 1 or channel.values.size < 4 * _FEWEST:
        return []
    edges = np.flatnonzero(np.diff(channel.values) != 0.0)
    if edges.size == 0:
        return []
    starts, ends = np.append(0, edges + 1), np.append(edges, channel.values.size - 1)
    long = (ends - starts + 1 >= _FEWEST) & (channel.time[ends] - channel.time[starts] >= _SHORTEST)
    return list(zip(starts[long].tolist(), ends[long].tolist(), strict=True))


def _range_between(speed: Channel, start: float, end: float, top: float, *, coasts: bool) -> float:
    """Return by how much the square of speed changes from start to end [s], as a share of that of the top.

    Where a coast asks nothing of the channel, a fast fall counts as none.
    """
    first, last = np.searchsorted(speed.time, [start, end])
    inside: Floats = speed.values[first : max(last, first + 1)] / top
    if inside.size == 0 or (not coasts and inside[-1] - inside[0] < -_COASTING * (end - start)):
        return 0.0
    return float(inside.max() ** 2 - inside.min() ** 2)


def _finding(channel: Channel, found: list[tuple[int, int, float]]) -> Finding:
    first, last, moved = max(found, key=lambda spell: spell[2])
    reading = said_reading(channel.quantity, float(channel.values[first]))
    still = float(channel.time[last] - channel.time[first])
    return Finding(
        code="channel-stuck",
        severity="warning",
        message=f"{channel.quantity} stands still at {reading} for {still:.2g} s, in which the speed asks for "
        f"{said_reading(channel.quantity, moved, digits=3)} more or less ({len(found)} such "
        f"{'spell' if len(found) == 1 else 'spells'} in all)",
        channel=channel.quantity,
        start=float(channel.time[found[0][0]]),
        end=float(channel.time[found[-1][1]]),
        count=sum(b - a for a, b, _ in found),
        effect="none once they are out; left in, each would bend the curve around its speed",
        done="these samples were left out",
    )
