"""Repeats of one kind of step: sorted, timed, averaged; which of them count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.response import Step, StepKind
from isothrust.reduction.response.levels import Passage
from isothrust.reduction.response.timing import Timing, clear_passages, time_steps, too_few
from isothrust.science.response import crossing_times, overshoot_of, settling_time
from isothrust.science.response_fit import weighed_passages

__all__ = ["APART", "BAND", "MARKS", "KindFound", "find_kind", "sort_kinds"]

MARKS: Final = (0.05, 0.1, 0.5, 1.0 - np.exp(-1.0), 0.9)
APART: Final = "its rate stands apart from the others' by more than 4 of their scatters and 3 %"
"""Why a repeat that answered in its own way does not count."""
BAND: Final = 0.02
"""Band about the level within which a step has settled, in proportion to the step [1]."""
_SAME_COMMAND: Final = 0.015
"""Commands this near are the same level [1]."""
_SAME_LEVEL: Final = 0.05
"""Speeds or thrusts this near are the same level, in proportion to the greatest [1]."""
_FAR: Final = 4.0
"""Scatters from the median beyond which a repeat is left out …"""
_MUCH: Final = 0.03
"""… if it is by this share as well [1]."""
_ENOUGH: Final = 4
"""Repeats from which on one of them can be told to stand apart."""
_LOST: Final = "noise hides where speed or thrust passes 5 to 90 % of its way"
_LOUD: Final = 0.005
"""Scatter at the levels, in proportion to the step, from which on a band of 2 % cannot be seen [1]."""
_POINTS: Final = 160


@dataclass(frozen=True, slots=True)
class KindFound:
    """One kind of step with what its figures are worked out from."""

    kind: StepKind
    steps: tuple[Step, ...]
    timing: Timing | None
    settling: Floats
    """Of each repeat that counts [s]."""
    commands: Floats
    """Times of their commands (k,) [s]."""
    u_command: float
    """Of one of them, by the samples' distance [s]; not a number without throttle."""
    noise: float
    """At the levels, in proportion to the step [1]."""


def sort_kinds(passages: Sequence[Passage], top: float) -> list[list[Passage]]:
    """Return the passages by kind: same direction, same levels; those with most that count first."""
    groups: list[list[Passage]] = []
    for one in passages:
        home = next((group for group in groups if _alike(group[0], one, top)), None)
        if home is None:
            groups.append([one])
        else:
            home.append(one)
    return sorted(groups, key=lambda group: (-sum(not p.why for p in group), -abs(group[0].after - group[0].before)))


def _alike(first: Passage, other: Passage, top: float) -> bool:
    if first.direction != other.direction:
        return False
    mine, its = first.edge, other.edge
    if mine.from_throttle is not None and its.from_throttle is not None:
        assert mine.to_throttle is not None
        assert its.to_throttle is not None
        apart = max(abs(mine.from_throttle - its.from_throttle), abs(mine.to_throttle - its.to_throttle))
        return apart < _SAME_COMMAND
    return max(abs(first.before - other.before), abs(first.after - other.after)) < _SAME_LEVEL * top


def find_kind(passages: Sequence[Passage], *, interval: float, window: float, jitter: float = 0.0) -> KindFound:
    """Return what the repeats of one kind of step give together."""
    counting = clear_passages(passages)
    absent = _no_times(passages, counting)
    if absent:
        return _untimed(passages, absent)
    timing = time_steps(counting, interval=interval, window=window, jitter=jitter)
    apart = _apart(timing)
    if apart:
        counting = [one for place, one in enumerate(counting) if place not in apart]
        timing = time_steps(counting, interval=interval, window=window, jitter=jitter)
    marks = timing.marks(MARKS)
    if not np.all(np.isfinite(marks)):
        return _untimed(passages, _LOST)
    return _timed(passages, timing, marks)


def _no_times(passages: Sequence[Passage], counting: Sequence[Passage]) -> str:
    if counting:
        return too_few(counting)
    reasons = list(dict.fromkeys(one.why or _LOST for one in passages))
    return reasons[0] if len(reasons) == 1 else "; ".join(reasons)


def _apart(timing: Timing) -> frozenset[int]:
    """Return the repeats that stand apart from the others."""
    marks = timing.marks((0.1, 0.9)) if timing.method == "samples" else _read(timing)
    spans = marks[:, 1] - marks[:, 0]
    lost = frozenset(np.flatnonzero(~np.isfinite(spans)).tolist())
    if spans.size - len(lost) < _ENOUGH:
        return lost if len(lost) < spans.size else frozenset()
    known = spans[np.isfinite(spans)]
    middle = float(np.median(known))
    scatter = 1.4826 * float(np.median(np.abs(known - middle)))
    far = np.abs(spans - middle) > max(
        _FAR * scatter, _MUCH * middle + (timing.interval if timing.method != "samples" else 0.0)
    )
    return lost | frozenset(np.flatnonzero(far & np.isfinite(spans)).tolist())


def _read(timing: Timing) -> Floats:
    """Return where the samples of each repeat passed 10 and 90 %, also where they are too far apart to be exact."""
    return np.array([crossing_times(one.time, one.share, (0.1, 0.9)) for one in timing.passages])


def _timed(passages: Sequence[Passage], timing: Timing, marks: Floats) -> KindFound:
    spans = marks[:, 4] - marks[:, 1]
    heights = np.array([one.after - one.before for one in timing.passages])
    known = timing.passages[0].edge.from_throttle is not None
    commands = np.array([one.edge.start for one in timing.passages])
    noise = float(np.median([one.noise for one in timing.passages]))
    settling = np.array([_settled(one) for one in timing.passages]) if known and noise < _LOUD else np.empty(0)
    settling = settling[np.isfinite(settling)]
    time, share = _mean_course(timing, marks, commands if known else marks[:, 0])
    lag, u_lag = _lag(timing)
    first = timing.passages[0].edge
    kind = StepKind(
        direction=timing.passages[0].direction,
        from_throttle=first.from_throttle,
        to_throttle=first.to_throttle,
        from_level=float(np.mean([one.before for one in timing.passages])),
        to_level=float(np.mean([one.after for one in timing.passages])),
        count=len(passages),
        used=len(timing.passages),
        method=timing.method,
        absent="",
        rate=float(np.mean(0.8 * heights / spans)),
        across=float(np.mean(spans)),
        dead=float(np.mean(marks[:, 0] - commands)) if known else None,
        response=float(np.mean(marks[:, 3] - commands)) if known else None,
        settling=float(np.mean(settling)) if settling.size else None,
        overshoot=overshoot_of(share[time > float(np.mean(marks[:, 2] - commands)) if known else share > 0.5]),
        u_across=timing.u_across(marks[:, [1, 4]], (0.1, 0.9)),
        lag=lag,
        u_lag=u_lag,
        time=time,
        share=share,
    )
    steps = tuple(_step(one, timing, marks) for one in passages)
    u_command = float(np.mean([one.edge.u_start for one in timing.passages])) if known else float("nan")
    return KindFound(kind, steps, timing, settling, commands, u_command, noise)


def _settled(one: Passage) -> float:
    return settling_time(one.time - one.edge.start, one.share, band=BAND)


def _lag(timing: Timing) -> tuple[float | None, float | None]:
    """Return the time constant near the level: from 70 to 90 % of the way, where no limit of the drive acts."""
    pair = (0.75, 0.95)
    found = weighed_passages(timing.fits, pair)
    span = float(found.times[1] - found.times[0])
    if not np.isfinite(span) or span <= 0.0:
        return None, None
    lag = span / float(np.log((1.0 - pair[0]) / (1.0 - pair[1])))
    cov = found.covariance
    u = float(np.sqrt(max(cov[0, 0] + cov[1, 1] - 2.0 * cov[0, 1], 0.0))) / span * lag
    return lag, float(np.hypot(u, 0.02 * lag))


def _mean_course(timing: Timing, marks: Floats, origin: Floats) -> tuple[Floats, Floats]:
    """Return the mean of the repeats, put one over the other by the middles of their ways, time from the command."""
    across = float(np.mean(marks[:, 4] - marks[:, 1]))
    middle = float(np.mean(marks[:, 2] - origin))
    last = min(float(np.min([one.time[-1] for one in timing.passages] - marks[:, 2])), 7.0 * across)
    time = np.linspace(-1.2 * across, last, _POINTS)
    courses = [
        np.interp(time + mark, one.time, one.share) for one, mark in zip(timing.passages, marks[:, 2], strict=True)
    ]
    return time + middle, np.asarray(np.mean(courses, axis=0))


def _step(one: Passage, timing: Timing, marks: Floats) -> Step:
    place = next((k for k, used in enumerate(timing.passages) if used is one), None)
    if place is None:
        return untimed_step(one, one.why or APART)
    span = float(marks[place, 4] - marks[place, 1])
    response = float(marks[place, 3]) - one.edge.start if one.edge.from_throttle is not None else None
    shared = timing.method == "model"
    rate = 0.8 * (one.after - one.before) / span
    return Step(**_of(one), used=True, why="", rate=rate, across=None if shared else span, response=response)


def untimed_step(one: Passage, why: str) -> Step:
    """Return a step that does not count."""
    return Step(**_of(one), used=False, why=why)


def _of(one: Passage) -> dict[str, Any]:
    return {
        "start": one.edge.start,
        "end": one.edge.until,
        "direction": one.direction,
        "from_throttle": one.edge.from_throttle,
        "to_throttle": one.edge.to_throttle,
        "from_level": one.before,
        "to_level": one.after,
    }


def _untimed(passages: Sequence[Passage], absent: str) -> KindFound:
    first = passages[0]
    nothing = np.empty(0)
    kind = StepKind(
        direction=first.direction,
        from_throttle=first.edge.from_throttle,
        to_throttle=first.edge.to_throttle,
        from_level=float(np.mean([one.before for one in passages])),
        to_level=float(np.mean([one.after for one in passages])),
        count=len(passages),
        used=0,
        method="none",
        absent=absent,
        rate=None,
        across=None,
        dead=None,
        response=None,
        settling=None,
        overshoot=None,
        u_across=None,
        lag=None,
        u_lag=None,
        time=nothing,
        share=nothing,
    )
    steps = tuple(untimed_step(one, one.why or absent) for one in passages)
    return KindFound(kind, steps, None, nothing, nothing, float("nan"), float("nan"))
