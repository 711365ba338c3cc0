"""A speed that is read in coarse steps: a counter behind a short gate, a slow timer, or few digits."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.spells import POINTS

__all__ = ["check_coarse"]

_ENOUGH: Final = 2000
_FEWEST: Final = 6
"""Levels that show a grid."""
_REPEATED: Final = 1.5
"""Readings a level, at least: what never comes again shows no grid."""
_PASSED: Final = 2.0
"""Readings a hold, at least: a coarse reading shows its steps between the holds, and goes to and fro within."""
_UPPER: Final = 0.3
_MIDDLE: Final = 0.7
"""Share of top speed at which the step is weighed [1]: figures are asked for about there."""
_OFF: Final = 0.15
"""How far a gap between levels may be from a whole number of steps [steps]."""
_SHARES: Final = (0.85, 0.4)
"""Of the gaps, how many must be whole steps, and how many a single one [1]."""
_TOLD: Final = 0.003
_HEAVY: Final = 0.01
"""Effect on a coefficient from which it is told, and from which a figure may move [1]."""


def check_coarse(evidence: Evidence) -> list[Finding]:
    """Return a finding where the steps of the speed reading weigh in a coefficient: twice the step over the speed."""
    speed = evidence.recording.channels.get("speed")
    if speed is None or evidence.prepared.abscissa != "speed" or speed.values.ndim != 1:
        return []
    if evidence.prepared.bins.width >= POINTS:
        return []  # the speeds of a table of working points were chosen
    top = float(evidence.prepared.site.x.max())
    middle = _MIDDLE * top
    some = speed.values[:: max(1, speed.values.size // _ENOUGH) | 1]
    some = some[(some > _UPPER * top) & (some < 1.1 * top)]
    levels = np.unique(some)
    if levels.size < _FEWEST or some.size < _REPEATED * levels.size:
        return []
    holds = int(evidence.prepared.spells.segment.max(initial=0))
    if evidence.job.run.kind == "holds" and levels.size < _PASSED * holds:
        return []  # speeds that were chosen, each held once, may lie on a grid as well
    step = _step(levels, middle)
    if step is None or 2.0 * step < _TOLD * middle:
        return []
    effect = 2.0 * step / middle
    rpm = 30.0 / np.pi
    share = 100.0 * step / middle
    return [
        Finding(
            code="speed-coarse",
            severity="warning" if effect >= _HEAVY else "note",
            message=f"speed is read in steps of {rpm * step:.3g} rpm at {rpm * middle:.0f} rpm, {share:.2g} % of it: "
            f"{levels.size} readings stand for all speeds above {rpm * _UPPER * top:.0f} rpm",
            channel="speed",
            count=int(levels.size),
            effect=f"CT and CP of a hold by up to {100.0 * effect:.2g} %; a ramp runs through the steps and averages "
            f"over them, but if the counter only rounds down they are {50.0 * effect:.2g} % too high throughout",
        )
    ]


def _step(levels: Floats, middle: float) -> float | None:
    """Return the step at a speed [rad/s] if the levels (k,) stand on a grid: of speed, or of time a revolution."""
    gaps = np.diff(levels)
    between = 0.5 * (levels[1:] + levels[:-1])
    for scaled in (gaps, gaps * (middle / between) ** 2):
        scaled = scaled[scaled > 1e-6 * middle]
        if scaled.size < _FEWEST - 1:
            continue
        rough = float(np.quantile(scaled, 0.2))
        single = np.abs(scaled / rough - 1.0) < 2.0 * _OFF
        step = float(np.median(scaled[single]))
        whole = np.abs(scaled / step - np.rint(scaled / step)) < _OFF
        one = np.abs(scaled / step - 1.0) < _OFF
        if np.mean(whole) >= _SHARES[0] and np.mean(one) >= _SHARES[1]:
            return step
    return None
