"""One step with its levels: how far it went, and whether it counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.ranges import usual_interval
from isothrust.reduction.response.edges import OFF, Edge

__all__ = ["Passage", "passage_of", "without_repeats"]

_WINDOW: Final = 0.2
"""Longest window that a level is averaged over [s]."""
_SHARE: Final = 0.4
"""Of the time at a level, the most that its window takes."""
_FEWEST: Final = 2
"""Samples that a level needs."""
_MOVES: Final = 0.02
"""Share of the step that its last third may still bring [1]."""
_STILL: Final = 0.04
"""Share of the greatest reading below which a rotor may as well stand still [1]."""
_NO_THRUST: Final = 0.05
"""Share of the greatest thrust below which nothing tells an idling rotor from one that stands still [1]."""
_REPEATS: Final = 0.3
"""Share of repeated readings on the way from which on a channel is slower than its log [1]."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A step of the channel that is followed."""

    edge: Edge
    before: float
    after: float
    """Levels [SI]."""
    noise: float
    """Standard deviation of the readings at the levels, in proportion to the step [1]."""
    time: Floats
    share: Floats
    """From the level before on, of the way to the level after (n,)."""
    why: str
    """Why it does not count; empty where it does."""

    @property
    def direction(self) -> Literal["up", "down"]:
        """Which way it goes."""
        return "up" if self.after > self.before else "down"


def passage_of(edge: Edge, channel: Channel, top: float) -> Passage:
    """Return a step with its levels; `top` is the greatest level of the run [SI]."""
    least = (_STILL if channel.quantity == "speed" else _NO_THRUST) * top
    time, value = channel.time, channel.values
    early = min(_WINDOW, _SHARE * (edge.start - edge.since))
    late = min(_WINDOW, _SHARE * (edge.until - edge.start))
    low = value[(time >= edge.start - early) & (time <= edge.start)]
    high = value[(time > edge.until - late) & (time <= edge.until)]
    if min(low.size, high.size) < _FEWEST:
        nothing = np.empty(0)
        levels = [float(part.mean()) if part.size else np.nan for part in (low, high)]
        return Passage(edge, levels[0], levels[1], np.nan, nothing, nothing, "a level of it has fewer than 2 readings")
    before, after = float(low.mean()), float(high.mean())
    step = after - before
    inside = (time >= edge.start - early) & (time <= edge.until)
    scatter = np.sqrt(0.5 * (np.var(low) + np.var(high)))
    noise = float(scatter / abs(step)) if step else np.nan
    share = (value[inside] - before) / step if step else np.zeros(int(np.count_nonzero(inside)))
    passage = Passage(edge, before, after, noise, time[inside], share, "")
    return Passage(edge, before, after, noise, time[inside], share, _why(passage, least))


def _why(passage: Passage, least: float) -> str:
    edge, step = passage.edge, passage.after - passage.before
    if not abs(step) > least:
        return "speed hardly follows it"
    if edge.from_throttle is not None and np.sign(edge.to_throttle - edge.from_throttle) != np.sign(step):  # type: ignore[operator]
        return "the answer goes the other way"
    if _off(edge.from_throttle, passage.before, least):
        return "it starts from rest: the controller's start is in it"
    if _off(edge.to_throttle, passage.after, least):
        return "it ends with the motor off: a coast"
    if _moves_on(passage):
        return "it is over before it has settled"
    return ""


def _off(throttle: float | None, level: float, least: float) -> bool:
    """Say whether the motor is off at a level: the command says so where there is one."""
    return level < least if throttle is None else throttle < OFF


def _moves_on(passage: Passage) -> bool:
    edge = passage.edge
    since = edge.until - (edge.until - edge.start) / 3.0
    last = passage.share[passage.time > since]
    half = last.size // 2
    if half < 1:
        return True
    moved = 2.0 * float(np.mean(last[-half:]) - np.mean(last[:half]))
    return moved > _MOVES + 3.0 * passage.noise / float(np.sqrt(half))


def without_repeats(channel: Channel) -> Channel:
    """Return a channel without the readings that its log only repeats, where it does so on the way as well."""
    steps = np.diff(channel.values)
    size = np.abs(steps)
    top = float(np.max(np.abs(channel.values), initial=0.0))
    interval = usual_interval(channel.time)
    moving = np.convolve(size, np.ones(9), mode="same") > 0.6 * top * 9.0 * interval
    if not moving.any() or float(np.mean(steps[moving] == 0.0)) < _REPEATS:
        return channel
    kept = np.append(True, steps != 0.0)
    return Channel(channel.quantity, channel.time[kept], channel.values[kept])
