"""Throttle schedules of a bench: ramps, holds, steps, coasts and rests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.virtual.monotone import Floats

__all__ = ["Schedule", "coast", "holds", "ramp", "ramp_up_down", "steps", "zero"]

_SWITCH = 1e-3
"""Time [s] that a commanded step takes."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """Commanded throttle, 0..1, over time: straight between its corners."""

    kind: str
    """As in runs.csv: ramp, holds, steps, coast or zero."""
    times: tuple[float, ...]
    levels: tuple[float, ...]

    @property
    def duration(self) -> float:
        """Length of the recording [s]."""
        return self.times[-1]

    def throttle(self, time: Floats) -> Floats:
        """Command at the times [s], any shape."""
        return np.asarray(np.interp(time, self.times, self.levels), dtype=np.float64)


def _follow(kind: str, legs: Sequence[tuple[float, float, float]], rest: float) -> Schedule:
    """Rest, then legs of (time to get there, level, time to stay)."""
    times, levels = [0.0, rest], [0.0, 0.0]
    for reach, level, stay in legs:
        times.append(times[-1] + max(reach, _SWITCH))
        levels.append(level)
        if stay > 0:
            times.append(times[-1] + stay)
            levels.append(level)
    return Schedule(kind, tuple(times), tuple(levels))


def ramp(
    *, rest: float = 2.0, rise: float = 10.0, plateau: float = 0.3, end: float = 3.2, top: float = 1.0
) -> Schedule:
    """Rest, straight up to `top`, a short plateau, cut; `end` seconds to coast down and rest."""
    return _follow("ramp", [(rise, top, plateau), (0.0, 0.0, end)], rest)


def ramp_up_down(
    *, rest: float = 2.0, rise: float = 7.0, fall: float = 7.0, end: float = 3.0, top: float = 1.0
) -> Schedule:
    """Rest, straight up, a short plateau, straight down under power, rest."""
    return _follow("ramp", [(rise, top, 0.3), (fall, 0.0, end)], rest)


def holds(
    levels: Sequence[float] = (0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95, 1.0),
    *,
    rest: float = 2.0,
    stay: float = 2.2,
    reach: float = 0.15,
    end: float = 4.0,
) -> Schedule:
    """Rest, level after level, each held for `stay` seconds, cut, coast and rest."""
    return _follow("holds", [*((reach, level, stay) for level in levels), (0.0, 0.0, end)], rest)


def steps(
    *, low: float = 0.1, high: float = 0.5, repeats: int = 6, stay: float = 0.9, rest: float = 2.0, end: float = 3.5
) -> Schedule:
    """Rest, then up from `low` to `high` and down again, `repeats` times, cut, coast and rest."""
    legs = [(0.3, low, stay)]
    for _ in range(repeats):
        legs += [(0.0, high, stay), (0.0, low, stay)]
    return _follow("steps", [*legs, (0.0, high, stay), (0.0, 0.0, end)], rest)


def coast(*, level: float = 0.7, rise: float = 1.5, stay: float = 1.5, rest: float = 2.0, end: float = 4.5) -> Schedule:
    """Rest, up to one level, hold, cut: the rotor coasts to a stop."""
    return _follow("coast", [(rise, level, stay), (0.0, 0.0, end)], rest)


def zero(*, duration: float = 10.0) -> Schedule:
    """Motor off all the time."""
    return Schedule("zero", (0.0, duration), (0.0, 0.0))
