"""From the figures of some runs of one design to a result: weights, merged budget, three intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution, ReducedRun
from isothrust.records.result import Condition, Interval, Result
from isothrust.reduction.pooling_budget import combined, interval_about, merged, weighed
from isothrust.reduction.pooling_means import PooledMeans
from isothrust.reduction.pooling_scatter import Component, RunFigure, Scatter, weighted_mean

__all__ = [
    "BORROWED",
    "SCATTERS_MORE",
    "UNKNOWN",
    "Spreads",
    "Subject",
    "absent_result",
    "mean_result",
    "next_sample",
    "scatter_flags",
    "spreads_of",
    "written",
]

BORROWED = "repeatability-borrowed"
"""Flag: the design was mounted once only, its scatter is that of the campaign's other designs."""
UNKNOWN = "repeatability-unknown"
"""Flag: nothing in the campaign was mounted twice; the interval is a lower bound."""
SCATTERS_MORE = "scatters-more"
"""Flag: the design scatters more than the others; the pooled figure would hide it."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What a result is about."""

    measurand: str
    condition: Condition | None
    design: str
    sample: str | None
    campaign: str


def absent_result(
    subject: Subject, reason: str, *, flags: Sequence[str] = (), runs: Sequence[str] = (), method_version: int = 0
) -> Result:
    """Return the result that says why there is none."""
    return Result(
        measurand=subject.measurand,
        condition=subject.condition,
        design=subject.design,
        sample=subject.sample,
        campaign=subject.campaign,
        runs=tuple(runs),
        value=None,
        standard_uncertainty=None,
        interval=None,
        interval_of_design=None,
        interval_as_sold=None,
        degrees_of_freedom=None,
        budget=(),
        sample_contributions=(),
        flags=tuple(flags),
        absent=reason,
        method_version=method_version,
    )


class Spreads(NamedTuple):
    """How much the figures of a design scatter, in their own unit."""

    typical: float
    """Plain mean of the runs, without its sign: what scatter is in proportion to."""
    mounting: float
    """Standard deviation from one mounting to the next; nil where it is not known."""
    sample: float


def spreads_of(figures: Sequence[RunFigure], scatter: Scatter) -> Spreads:
    """Return the scatter of some runs of one design in their own unit."""
    typical = abs(float(np.mean([item.value for item in figures])))
    mounting, sample = (part.relative or 0.0 for part in (scatter.mounting, scatter.sample))
    return Spreads(typical, mounting * typical, sample * typical)


def mean_result(subject: Subject, figures: Sequence[RunFigure], scatter: Scatter, extra_flags: Sequence[str]) -> Result:
    """Return the mean of some runs of one design, with its budget and intervals."""
    _, mounting_sd, sample_sd = spreads_of(figures, scatter)
    mean = weighted_mean(figures, mounting_sd, sample_sd)
    value = float(mean.value)
    # Uneven weights make the mean depart from the plain mean of these samples; of the design, the plain mean departs
    # from the mean of all. Both lines of a sample bear one key, so together they are its weight times its departure.
    even = 1.0 / mean.sample_weights.size
    of_design = _sample_lines(figures, scatter, np.full(mean.sample_weights.shape, sample_sd * even))
    budget = merged(
        [
            *_run_lines(figures, mean.weights),
            *_mounting_lines(subject.campaign, figures, scatter, mounting_sd * mean.mounting_weights),
            *_sample_lines(figures, scatter, sample_sd * (mean.sample_weights - even)),
        ]
    )
    spread = combined(budget)
    known = scatter.sample.relative is not None
    return Result(
        measurand=subject.measurand,
        condition=subject.condition,
        design=subject.design,
        sample=subject.sample,
        campaign=subject.campaign,
        runs=tuple(item.run.run for item in figures),
        value=value,
        standard_uncertainty=spread.uncertainty,
        interval=interval_about(value, spread),
        interval_of_design=_wider(value, [*budget, *of_design]) if known else None,
        interval_as_sold=_wider(value, [*budget, *of_design, next_sample(scatter.sample, sample_sd)])
        if known
        else None,
        degrees_of_freedom=spread.degrees_of_freedom,
        budget=budget,
        sample_contributions=tuple(of_design),
        flags=_flags(figures, scatter, extra_flags),
        absent=None,
        method_version=max(item.run.method_version for item in figures),
    )


def _run_lines(figures: Sequence[RunFigure], weights: Floats) -> list[Contribution]:
    return [
        line
        for item, weight in zip(figures, weights, strict=True)
        for line in weighed(item.figure.budget, float(weight))
    ]


def _mounting_lines(
    campaign: str, figures: Sequence[RunFigure], scatter: Scatter, effects: Floats
) -> list[Contribution]:
    keys = [f"mounting {campaign}/{label}" for label in dict.fromkeys(item.mounting for item in figures)]
    return _scatter_lines(scatter.mounting, "mounting", keys, effects)


def _sample_lines(figures: Sequence[RunFigure], scatter: Scatter, effects: Floats) -> list[Contribution]:
    keys = [f"sample {label}" for label in dict.fromkeys(item.sample for item in figures)]
    return _scatter_lines(scatter.sample, "sample", keys, effects)


def _scatter_lines(component: Component, scope: Scope, keys: Sequence[str], effects: Floats) -> list[Contribution]:
    """Return one line a key, in order of first appearance; none where the component is not known."""
    if component.relative is None:
        return []
    return [
        Contribution(component.source, key, scope, float(effect), component.degrees_of_freedom)
        for key, effect in zip(keys, effects, strict=True)
    ]


def next_sample(component: Component, sample_sd: float) -> Contribution:
    """Return what the next sample from the shop may differ by."""
    return Contribution(component.source, "sample, the next one", "sample", sample_sd, component.degrees_of_freedom)


def _wider(value: float, lines: Sequence[Contribution]) -> Interval:
    return interval_about(value, combined(merged(lines)))


def _flags(figures: Sequence[RunFigure], scatter: Scatter, extra: Sequence[str]) -> tuple[str, ...]:
    flags = [flag for item in figures for flag in item.figure.flags]
    return tuple(dict.fromkeys([*flags, *scatter_flags(scatter), *extra]))


def scatter_flags(scatter: Scatter) -> list[str]:
    """Return what must be said of where a design's scatter comes from."""
    flags = []
    if scatter.mounting.relative is None:
        flags.append(UNKNOWN)
    elif scatter.mounting.borrowed:
        flags.append(BORROWED)
    if scatter.mounting.stands_apart or scatter.sample.stands_apart:
        flags.append(SCATTERS_MORE)
    return flags


def written(
    subject: Subject, runs: Sequence[ReducedRun], means: PooledMeans, place: tuple[int, int], flags: tuple[str, ...]
) -> Result:
    """Return one of many means as a result; `place` is its part and its condition."""
    part, index = place
    return Result(
        measurand=subject.measurand,
        condition=subject.condition,
        design=subject.design,
        sample=subject.sample,
        campaign=subject.campaign,
        runs=tuple(run.run for run in runs),
        value=float(means.values[place]),
        standard_uncertainty=float(means.uncertainties[place]),
        interval=means.interval(means.half_widths, *place),
        interval_of_design=means.interval(means.half_widths_of_design, *place),
        interval_as_sold=means.interval(means.half_widths_as_sold, *place),
        degrees_of_freedom=float(means.degrees_of_freedom[place]),
        budget=means.budgets[part].at(index),
        sample_contributions=means.sample_contributions[part].at(index),
        flags=flags,
        absent=None,
        method_version=max(run.method_version for run in runs),
    )
