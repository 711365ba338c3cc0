"""From runs to a result, seen step by step: means, weights, scatter and the three statements.

The numbers are those that `pooling_means` works with, taken apart; nothing is estimated a second time.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution
from isothrust.records.result import Interval, Result
from isothrust.records.trail import GroupMean, PooledRun, PoolTrail, ScatterFacts, Statement
from isothrust.reduction.pooling_means import PooledMeans, Stated
from isothrust.reduction.pooling_scatter import Component, RunFigure, Scatter

__all__ = ["pool_trail", "statements_of"]


def pool_trail(figures: Sequence[RunFigure], means: PooledMeans, scatter: Scatter) -> PoolTrail:
    """Return how the figures of some runs of one design became their mean, which `mean_of_figures` gave."""
    mean, *spreads = means.weighing
    weights, mounting_weights, sample_weights = (
        mean.weights[:, 0],
        mean.mounting_weights[:, 0],
        mean.sample_weights[:, 0],
    )
    typical, mounting_sd, sample_sd = (float(spread[0, 0]) for spread in spreads)
    of_run = [item.mounting for item in figures]
    mountings = list(dict.fromkeys(of_run))
    sample_of = {item.mounting: item.sample for item in figures}
    samples = list(dict.fromkeys(sample_of.values()))

    place = [mountings.index(label) for label in of_run]
    within = _share(weights, mounting_weights[place])
    low = _groups(
        [item.value for item in figures], np.array([item.own_variance for item in figures]), within, place, mounting_sd
    )
    at = [samples.index(sample_of[label]) for label in mountings]
    in_sample = _share(mounting_weights, sample_weights[at])
    high = _groups([value for value, _, _ in low], np.array([full for _, _, full in low]), in_sample, at, sample_sd)
    return PoolTrail(
        runs=tuple(
            PooledRun(
                item.run.run,
                item.sample,
                item.mounting,
                item.value,
                float(np.sqrt(item.own_variance)),
                float(share),
                float(weight),
            )
            for item, share, weight in zip(figures, within, weights, strict=True)
        ),
        mountings=_means(mountings, low, in_sample, mounting_weights),
        samples=_means(samples, high, sample_weights, sample_weights),
        plain_mean=typical,
        mounting=_facts("mounting", scatter.mounting, mounting_sd),
        sample=_facts("sample", scatter.sample, sample_sd),
    )


def statements_of(result: Result, means: PooledMeans) -> tuple[Statement, ...]:
    """Return what can be said of a result: as tested, and where samples tell, of the design and as sold."""
    of_design = tuple(means.sample_contributions[0].at(0))
    as_sold = (*of_design, *means.next_samples[0].at(0))
    made = (
        _statement("as tested", (), means.tested, result.interval),
        _statement("of the design", of_design, means.of_design, result.interval_of_design),
        _statement("as sold", as_sold, means.as_sold, result.interval_as_sold),
    )
    return tuple(one for one in made if one is not None)


def _statement(
    name: str, added: tuple[Contribution, ...], stated: Stated, interval: Interval | None
) -> Statement | None:
    if interval is None:
        return None
    u, dof, factor = (float(part[0, 0]) for part in stated)
    return Statement(name, added, u, dof, factor, interval)


def _share(part: Floats, whole: Floats) -> Floats:
    """Return each weight within its group; a group that has no weight at all shares nothing out."""
    return np.asarray(np.where(whole > 0.0, part / np.where(whole > 0.0, whole, 1.0), 0.0))


def _groups(
    values: Sequence[float], variances: Floats, shares: Floats, place: Sequence[int], sd: float
) -> list[tuple[float, float, float]]:
    """Return each group's mean, the variance its members leave, and that variance with the scatter of its level."""
    found = []
    for group in range(max(place) + 1):
        inside = np.array(place) == group
        mean = float(shares[inside] @ np.asarray(values)[inside])
        left = float(shares[inside] ** 2 @ variances[inside])
        found.append((mean, left, left + sd**2))
    return found


def _means(
    labels: Sequence[str], groups: Sequence[tuple[float, float, float]], within: Floats, weights: Floats
) -> tuple[GroupMean, ...]:
    return tuple(
        GroupMean(label, mean, float(np.sqrt(left)), float(np.sqrt(full)), float(share), float(weight))
        for label, (mean, left, full), share, weight in zip(labels, groups, within, weights, strict=True)
    )


def _facts(what: str, component: Component, sd: float) -> ScatterFacts:
    return ScatterFacts(
        what,
        component.relative,
        sd,
        component.degrees_of_freedom,
        component.source,
        component.borrowed,
        component.stands_apart,
    )
