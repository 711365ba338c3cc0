"""Means written down as results, and what must be said of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Condition, Result
from isothrust.reduction.pooling_means import PooledMeans
from isothrust.reduction.pooling_scatter import Scatter

__all__ = ["BORROWED", "SCATTERS_MORE", "UNKNOWN", "Subject", "absent_result", "mean_result", "scatter_flags"]

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


def mean_result(
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
        standard_uncertainty=float(means.tested.uncertainty[place]),
        interval=means.interval(means.tested, *place),
        interval_of_design=means.interval(means.of_design, *place),
        interval_as_sold=means.interval(means.as_sold, *place),
        degrees_of_freedom=float(means.tested.degrees_of_freedom[place]),
        budget=means.budgets[part].at(index),
        sample_contributions=means.sample_contributions[part].at(index),
        flags=flags,
        absent=None,
        method_version=max(run.method_version for run in runs),
    )
