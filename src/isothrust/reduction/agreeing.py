"""Does one fresh run agree with the earlier runs of its design? Differences with the interval for a single new run.

The new run has its own noise and zeros, its own mounting and, unless an earlier run had the same one, its own sample;
what it shares with the earlier runs (the rig's scales, the air's sensors) cancels as far as it really does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from isothrust.quantities import parse_unit
from isothrust.records.agreement import Agreement, AgreementPart, Earlier, FreshAir, PointDifference, Unknown
from isothrust.records.reduced import Contribution, Figure, ReducedRun
from isothrust.records.result import Condition
from isothrust.reduction.agreeing_causes import likely_cause
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.reduction.figures_words import said_range
from isothrust.reduction.pooling import AtCondition, CampaignRuns, Question, figures_asked
from isothrust.reduction.pooling_budget import Spread, combined, merged, weighed
from isothrust.reduction.pooling_means import mean_of_figures
from isothrust.reduction.pooling_runs import CURVE_KINDS, counts_for
from isothrust.reduction.pooling_scatter import RunFigure
from isothrust.science.uncertainty import coverage_factor

__all__ = ["agreement"]

_RPM: Final = parse_unit("rpm").factor
_GF: Final = parse_unit("gf").factor
_AT: Final = (0.5, 0.75, 0.97)
"""Where in the range in common figures are compared, in proportion to its top."""
_MISSED: Final = 0.04
_MISSED_AT_A_POINT: Final = 0.01
"""Shares of healthy runs that may be called different, by the means and by single points: 5 % in all."""
_LEAST: Final = 0.01
"""What is off by less is no reason to record a run again, and a scatter known from a few repeats is often too small."""
_BLUNT: Final = 0.1
"""An interval wider than this tells nothing at a bench."""


@dataclass(frozen=True, slots=True)
class _Ground:
    """What can be compared."""

    measurands: tuple[str, ...]
    quantity: Literal["speed", "thrust"]
    conditions: tuple[float, ...]
    per_density: float
    """Change of a figure, in proportion, for a change of density, in proportion."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """A fresh run and what it is held against."""

    fresh: ReducedRun
    earlier: CampaignRuns
    own: set[str]
    """The runs that its figures are held against."""
    air: FreshAir
    diameter: float | None


@dataclass(frozen=True, slots=True)
class _Point:
    """One measurand at one condition."""

    condition: Condition
    difference: float
    lines: tuple[Contribution, ...]
    repeats: int
    """Independent repeats in the campaign: what is said of a new run rests on no more than these."""
    unknown: tuple[Unknown, ...]


def agreement(fresh: ReducedRun, earlier: CampaignRuns, air: FreshAir, *, diameter: float | None) -> Agreement:
    """Hold a fresh run against the mean of its design's earlier runs.

    Parameters
    ----------
    fresh
        As `reduce_run` gave it, with the campaign's name: equal keys mean the same error.
    earlier
        The runs of the campaign without the fresh one; those of other designs tell how mountings and samples scatter.
    air
        Where the fresh run's air came from.
    diameter
        Nominal, of the design [m]; None where nobody states it.

    Returns
    -------
    Agreement
        With the reason where nothing can be said.
    """
    said = Agreement("nothing", fresh.design, fresh.sample, air=air)
    if fresh.kind not in CURVE_KINDS:
        return replace(said, absent=f"curves are compared of ramps and holds, not of a run of kind {fresh.kind}")
    own = [run for run in earlier.runs if run.design == fresh.design and counts_for(run, "thrust-coefficient")]
    if not own:
        return replace(said, absent=f"campaign {earlier.name} has no earlier run of {fresh.design} that counts")
    # Against its own sample where that was run before: a mounting moves less than another sample does.
    same = [run for run in own if run.sample == fresh.sample]
    own = same or own
    ground = _ground(fresh, own, diameter)
    if isinstance(ground, str):
        return replace(said, absent=ground)
    asked = _Asked(fresh, earlier, {run.run for run in own}, air, diameter)
    points = {name: _points(asked, ground, name) for name in ground.measurands}
    points = {name: found for name, found in points.items() if found}
    if not points:
        return replace(said, absent="this log and the earlier runs have no curve in common")
    unknown: list[Unknown] = [what for found in points.values() for point in found for what in point.unknown]
    if same:
        unknown = [what for what in unknown if what != "sample"]
    parts = tuple(_part(name, found, len(points)) for name, found in points.items())
    differs = any(part.real or any(point.real for point in part.points) for part in parts)
    if not differs and max(part.half_width for part in parts) > _BLUNT:
        unknown.append("repeats")
    return replace(
        said,
        says=_says(unknown, differs=differs),
        known_sample=bool(same),
        earlier=_earlier(earlier.name, own),
        parts=parts,
        unknown=tuple(dict.fromkeys(unknown)),
        look_at=likely_cause(parts, ground.quantity) if differs else "",
    )


def _says(unknown: Sequence[Unknown], *, differs: bool) -> Literal["agrees", "differs", "unclear"]:
    """Return the verdict: what is within a bound that is too low agrees all the same, what is beyond it may not."""
    if "repeats" in unknown or (differs and unknown):
        return "unclear"
    return "differs" if differs else "agrees"


def _earlier(campaign: str, own: Sequence[ReducedRun]) -> Earlier:
    mountings = {(run.sample, run.mounting) for run in own}
    return Earlier(campaign, tuple(run.run for run in own), len(mountings), len({run.sample for run in own}))


def _ground(fresh: ReducedRun, own: Sequence[ReducedRun], diameter: float | None) -> _Ground | str:
    """Return what to compare and where; or why there is nothing."""
    if not fresh.curves:
        return "this log gives no curve"
    alike = [run for run in own if run.abscissa == fresh.abscissa]
    if not alike:
        return "this log has a speed and the earlier runs have none, or the other way round"
    everyone = [fresh, *(run for run in alike if run.curves)]
    ends = [(curve.low, curve.high) for run in everyone for curve in list(run.curves.values())[:1]]
    low, high = max(end[0] for end in ends), min(end[1] for end in ends)
    if fresh.abscissa == "speed":
        if low >= high:
            return f"no speed in common: this log goes from {said_range('speed', *ends[0])}"
        densities = [run.density is not None for run in everyone]
        coefficients = diameter is not None and all(densities)
        names = ("thrust-coefficient", "power-coefficient") if coefficients else ("thrust", "torque")
        return _Ground(names, "speed", _spread(low, high, 500.0 * _RPM), -1.0)
    low, high = low**2, high**2
    if low >= high:
        return f"no thrust in common: this log goes from {said_range('thrust', ends[0][0] ** 2, ends[0][1] ** 2)}"
    # In the air of the day: power at a thrust goes as density^-0.5 (momentum theory).
    return _Ground(("electrical-power", "throttle"), "thrust", _spread(low, high, 50.0 * _GF), -0.5)


def _spread(low: float, high: float, step: float) -> tuple[float, ...]:
    """Return a few conditions in the range, on round numbers where these lie in it."""
    wanted = [share * high for share in _AT if share * high > low] or [0.5 * (low + high)]
    rounded = [round(value / step) * step for value in wanted]
    return tuple(
        dict.fromkeys(near if low < near < high else value for value, near in zip(wanted, rounded, strict=True))
    )


def _points(asked: _Asked, ground: _Ground, measurand: str) -> list[_Point]:
    run, conditions = asked.fresh, np.array(ground.conditions)
    own = evaluate_figure(run, measurand, ground.quantity, conditions, RunContext(asked.diameter))
    question = Question(measurand, ground.quantity, ground.conditions, (run.design,))
    points = []
    for index, found in enumerate(figures_asked(asked.earlier, question)):
        figure = own.at(index)
        members = found.there([one for one in found.counting if one.run in asked.own])
        if figure.value is not None and members:
            points.append(_point(RunFigure(run, figure), members, found, asked.air, ground.per_density))
    return points


def _point(
    fresh: RunFigure, members: Sequence[RunFigure], found: AtCondition, air: FreshAir, per_density: float
) -> _Point:
    """Return the ratio of the two figures less one, with what one standard uncertainty of each source does to it."""
    assert found.condition is not None
    run = fresh.run
    scatter = found.scatters.at(run.design, 0)
    new, of_new = _mean([RunFigure(run, _with_own_air(run, fresh.figure, air))], found, run.campaign)
    old, of_old = _mean(members, found, run.campaign)
    ratio = new / old
    doubt = math.hypot(air.doubt, _density_gap(run, members) if per_density > -1.0 else 0.0)
    lines = [
        *weighed(of_new, 1.0 / old),
        *weighed(of_old, -ratio / old),
        Contribution("air of the run", f"run {run.run} air", "run", per_density * doubt * ratio, math.inf),
    ]
    unknown: list[Unknown] = [] if run.density and all(item.run.density for item in members) else ["air"]
    unknown += ["mounting"] if scatter.mounting.relative is None else []
    unknown += ["sample"] if scatter.sample.relative is None else []
    return _Point(found.condition, ratio - 1.0, merged(lines), _repeats(found), tuple(unknown))


def _mean(figures: Sequence[RunFigure], found: AtCondition, campaign: str) -> tuple[float, list[Contribution]]:
    """Return the mean of some runs of one design, and what acts on it as a mean of the design."""
    means = mean_of_figures(campaign, figures, found.scatters)
    return float(means.values[0, 0]), [*means.budgets[0].at(0), *means.sample_contributions[0].at(0)]


def _repeats(found: AtCondition) -> int:
    """Return how many differences between mountings of one sample the campaign holds.

    A scatter that came out as nil, by luck, leaves a budget with more degrees of freedom than that.
    """
    items = found.there(found.counting)
    return len({item.mounting for item in items}) - len({item.sample for item in items})


def _with_own_air(run: ReducedRun, figure: Figure, air: FreshAir) -> Figure:
    """Give errors of the air a key of their own, where the fresh run's was not read by the sensors of the others."""
    if air.shared:
        return figure
    lines = (
        replace(line, key=f"run {run.run} {line.source}") if line.source.startswith("air ") else line
        for line in figure.budget
    )
    return replace(figure, budget=tuple(lines))


def _density_gap(run: ReducedRun, members: Sequence[RunFigure]) -> float:
    """Return by how much the densities of the days differ, in proportion: figures over thrust are not referred."""
    known = [item.run.density for item in members if item.run.density]
    return abs(math.log(run.density / (sum(known) / len(known)))) if run.density and known else 0.0


def _part(measurand: str, points: Sequence[_Point], parts: int) -> AgreementPart:
    share = 1.0 / len(points)
    spread = combined(merged([line for point in points for line in weighed(point.lines, share)]))
    difference = share * math.fsum(point.difference for point in points)
    half = _half_width(spread, _MISSED / parts, min(point.repeats for point in points))
    return AgreementPart(
        measurand,
        difference,
        spread.uncertainty,
        spread.degrees_of_freedom,
        half,
        abs(difference) > max(half, _LEAST),
        tuple(_point_difference(point, _MISSED_AT_A_POINT / (parts * len(points))) for point in points),
    )


def _point_difference(point: _Point, missed: float) -> PointDifference:
    half = _half_width(combined(point.lines), missed, point.repeats)
    real = abs(point.difference) > max(half, _LEAST)
    return PointDifference(point.condition, point.difference, half, real)


def _half_width(spread: Spread, missed: float, repeats: int) -> float:
    freedom = min(spread.degrees_of_freedom, repeats) if repeats else spread.degrees_of_freedom
    return float(coverage_factor(freedom, level=1.0 - missed)) * spread.uncertainty
