"""All steps of a run: found, sorted by kind, timed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from isothrust.records.recording import Channel
from isothrust.records.response import Direction, Followed
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.ranges import usual_interval
from isothrust.reduction.response.edges import edges_of_motion, edges_of_throttle
from isothrust.reduction.response.kinds import KindFound, find_kind, sort_kinds
from isothrust.reduction.response.levels import Passage, passage_of, without_repeats
from isothrust.reduction.response.timing import clear_passages, rounding_of, too_few

__all__ = ["StepsFound", "find_steps"]

_PART: Final = 0.75
"""Of the longest window that the corners of the steps allow, what is taken where the rig states none."""
_USUAL: Final = 0.01
"""Longest window that is allowed for where steps of one direction alone show their corners [s]."""
_PAUSE: Final = 3.0
"""Intervals from which on a gap is a pause."""
_STEADY: Final = 0.1
"""Scatter of a steady clock's intervals, as a share of one [1]."""
_KINDS: Final = 4
"""Kinds of step in one direction that are timed: figures need one, the others are for the reader."""


@dataclass(frozen=True, slots=True)
class StepsFound:
    """Steps of a run, by kind."""

    followed: Followed
    channel: Channel
    kinds: tuple[KindFound, ...]
    interval: float
    window: float
    window_known: bool
    absent: str
    """Why there are no steps at all; empty where there are."""

    def main(self, direction: Direction) -> KindFound | None:
        """Return the kind of step that figures are taken from: the one that was repeated most often."""
        found = [kind for kind in self.kinds if kind.kind.direction == direction]
        return next((kind for kind in found if not kind.kind.absent), found[0] if found else None)


def find_steps(prepared: Prepared) -> StepsFound:
    """Return the steps of a run; where there are none, why."""
    followed: Literal["speed", "thrust"] = "speed" if prepared.abscissa == "speed" else "thrust"
    channel = without_repeats(prepared.loads.channels[followed])
    throttle = prepared.loads.channels.get("throttle")
    edges = edges_of_motion(channel) if throttle is None else edges_of_throttle(throttle)
    interval = usual_interval(channel.time)
    stated = prepared.job.rig.channels.get(followed)
    window = None if stated is None else stated.window
    top = prepared.spells.top if followed == "speed" else prepared.spells.top**2
    passages = [passage_of(edge, channel, top) for edge in edges]
    passages = [one for one in passages if abs(one.after - one.before) > 0.0]
    if not passages:
        return StepsFound(followed, channel, (), interval, window or 0.0, window is not None, _nothing(prepared))
    groups = [group for way in ("up", "down") for group in _of(sort_kinds(passages, top), way)[:_KINDS]]
    allowed = _window(groups, interval) if window is None and followed == "speed" else (window or 0.0)
    jitter = _jitter(channel, interval)
    kinds = tuple(find_kind(group, interval=interval, window=allowed, jitter=jitter) for group in groups)
    return StepsFound(followed, channel, kinds, interval, allowed, window is not None, "")


def _jitter(channel: Channel, interval: float) -> float:
    """Return the standard deviation of the clock's intervals [s], its pauses left out; nil of a steady clock."""
    gaps = np.diff(channel.time)
    scatter = float(np.std(gaps[gaps < _PAUSE * interval]))
    return scatter if scatter > _STEADY * interval else 0.0


def _of(groups: Sequence[Sequence[Passage]], direction: str) -> list[Sequence[Passage]]:
    return [group for group in groups if group[0].direction == direction]


def _window(groups: Sequence[Sequence[Passage]], interval: float) -> float:
    """Return a sensor's window as the sharpest corner of the steps shows it: it cannot be longer than that.

    A drive that eases its command into one direction rounds the corners there by itself; few do so in both.
    """
    longest: list[float] = []
    for way in ("up", "down"):
        counting = next((found for group in _of(groups, way) if (found := clear_passages(group))), [])
        if counting and not too_few(counting):
            longest.append(_PART * rounding_of(counting, interval))
    return min(*longest, _USUAL) if len(longest) == 1 else min(longest, default=0.0)


def _nothing(prepared: Prepared) -> str:
    run = prepared.job.run.name
    if "throttle" in prepared.loads.channels:
        return f"the throttle of run {run} makes no step: it never goes from one level to another within 0.1 s"
    return f"nothing in run {run} steps: neither throttle nor speed goes quickly from one level to another"
