"""Zeros from run to run: one that stands off all the others, or a jump between two runs that stays."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.reduction.checks.campaign.odd import levels_apart, stands_apart
from isothrust.reduction.words import said_reading
from isothrust.science.splines import basis_matrix

__all__ = ["check_zeros"]

_FEWEST = 6
_MATTERS = 0.02
"""Share of the campaign's greatest load."""
_NEARLY = 0.6
"""Of the size at which a step surely stands apart from the others: nearly so."""


class _Level(NamedTuple):
    """Zero of one run [SI]."""

    run: str
    before: float
    after: float
    """The same as before, where there is no rest after the run."""
    both: bool


def check_zeros(evidence: CampaignEvidence) -> list[Finding]:
    """Return a finding for each run whose zero of a load moved against the campaign's others."""
    runs = sorted(evidence.runs, key=lambda run: run.date)  # a stable sort: without dates the order of the book
    out: list[Finding] = []
    for channel in ("thrust", "torque"):
        levels = [level for run in runs if (level := _level(run, channel)) is not None]
        greatest = max((_greatest(run, channel) for run in runs), default=0.0)
        if greatest > 0.0:
            out += _moved(channel, levels, _MATTERS * greatest)
    return out


def _level(run: ReducedRun, channel: str) -> _Level | None:
    zero = run.zeros.get(channel)
    if zero is None or zero.before is None or zero.before_window is None:
        return None
    return _Level(run.run, zero.before, zero.before if zero.after is None else zero.after, zero.after is not None)


def _greatest(run: ReducedRun, channel: str) -> float:
    """Return the greatest load of a run, by its curve [N or N m]."""
    curve = run.curves.get("thrust" if channel == "thrust" else "torque")
    if curve is None or run.abscissa != "speed":
        return 0.0
    density = run.density if run.density is not None else run.standard_density
    value = float(basis_matrix([curve.high], curve.knots)[0] @ curve.coefficients)
    return value * density * curve.high**2


def _moved(channel: str, levels: Sequence[_Level], limit: float) -> list[Finding]:
    middles = np.array([0.5 * (level.before + level.after) for level in levels])
    odd = [
        k for k in _odd(middles) if abs(middles[k] - np.mean(np.delete(middles, k))) > limit
    ]  # a run that stands alone; a jump that stays has runs on both sides
    if odd:
        return [_alone(channel, levels[k], float(middles[k] - np.mean(np.delete(middles, k)))) for k in odd]
    steps = np.array([after.before - before.after for before, after in pairwise(levels)])
    return [
        _jumped(channel, levels[k], levels[k + 1], float(steps[k]))
        for k in _jumps(steps, middles)
        if abs(steps[k]) > limit
    ]


def _jumps(steps: np.ndarray, middles: np.ndarray) -> list[int]:
    """Return the places after which the zero stays elsewhere.

    A step must stand apart from the other steps, surely or nearly so; where nearly, the levels on its two sides must be
    surely apart. Levels alone would not do: they are apart in a zero that creeps all day, too.
    """
    apart = np.abs(stands_apart(steps, fewest=_FEWEST))
    return [
        int(k)
        for k in np.flatnonzero(apart > _NEARLY)
        if apart[k] > 1.0 or levels_apart(middles[: k + 1], middles[k + 1 :]) > 1.0
    ]


def _odd(values: np.ndarray) -> list[int]:
    return [int(k) for k in np.flatnonzero(np.abs(stands_apart(values, fewest=_FEWEST)) > 1.0)]


def _alone(channel: str, level: _Level, moved: float) -> Finding:
    size = said_reading(channel, abs(moved), digits=3)
    what = f"the zero of {channel} in run {level.run} stands {size} off where the campaign's other runs have it"
    return _finding(channel, level, what)


def _jumped(channel: str, before: _Level, level: _Level, moved: float) -> Finding:
    size = said_reading(channel, abs(moved), digits=3)
    what = f"the zero of {channel} jumped by {size} between run {before.run} and run {level.run}, and stayed there"
    return _finding(channel, level, what)


def _finding(channel: str, level: _Level, what: str) -> Finding:
    return Finding(
        code="zero-moved",
        severity="note" if level.both else "warning",
        message=f"{what}: more than they scatter",
        run=level.run,
        channel=channel,
        effect="none, as the run's own zeros were taken out; what moved the zero may have moved the scale, too"
        if level.both
        else "the run's zero was read on one side only: how far it moved while it ran is not known",
    )
