"""The datasets of a step overlay: the mean course of each design's steps, one over the other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import numpy as np

from isothrust.present.charts.curve_rows import DIGITS, Row
from isothrust.records.recording import Floats
from isothrust.records.response import StepKind

__all__ = ["drawn_reach", "step_datasets"]

POINTS: Final = 161
BEFORE: Final = 0.12
"""Of the time drawn, how much lies before the command."""
BEYOND: Final = 1.25
"""How much longer than the slowest design takes to settle is drawn."""


def step_datasets(kinds: Mapping[str, Sequence[StepKind]], slots: Mapping[str, int]) -> dict[str, list[Row]]:
    """Return the datasets of a curve chart over time: design -> the kind of step of each of its runs."""
    time = _time(kinds)
    context: list[Row] = []
    chosen: list[Row] = []
    ends: list[Row] = []
    for design, of_runs in kinds.items():
        courses = np.array([np.interp(time, kind.time, kind.share) for kind in of_runs])
        mean, low, high = courses.mean(axis=0), courses.min(axis=0), courses.max(axis=0)
        if design not in slots:
            context += [{"design": design, "x": x, "y": y} for x, y in _pairs(time, mean)]
            continue
        told = {"design": design, "slot": slots[design]}
        spread = zip(_pairs(time, mean), _shown(low), _shown(high), strict=True)
        several = len(of_runs) > 1
        chosen += [
            {**told, "x": x, "y": y, "low": least if several else None, "high": most if several else None}
            for (x, y), least, most in spread
        ]
        ends.append({**told, "x": chosen[-1]["x"], "y": chosen[-1]["y"]})
    return {"context": context, "chosen": chosen, "ends": ends, "point": [{"x": 0.0}]}


def drawn_reach(kinds: Iterable[StepKind]) -> float:
    """Return how long after the command is drawn [s]: until the slowest has settled."""
    return BEYOND * max(_settles(kind) for kind in kinds)


def _settles(kind: StepKind) -> float:
    if kind.settling is not None:
        return kind.settling
    assert kind.across is not None
    return 2.2 * kind.across


def _time(kinds: Mapping[str, Sequence[StepKind]]) -> Floats:
    reach = drawn_reach(kind for of_runs in kinds.values() for kind in of_runs)
    return np.linspace(-BEFORE * reach, reach, POINTS)


def _pairs(time: Floats, share: Floats) -> list[tuple[float, float]]:
    return [(float(f"{1e3 * t:.{DIGITS}g}"), y) for t, y in zip(time.tolist(), _shown(share), strict=True)]


def _shown(share: Floats) -> list[float]:
    return [float(f"{100.0 * y:.{DIGITS}g}") for y in share.tolist()]
