"""The means of many designs, samples or runs at many conditions in one pass: weights, budgets, three intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from isothrust.records.budget import BudgetTable
from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.records.result import Interval
from isothrust.reduction.pooling_lines import WordedLines, merged_lines, tables_of
from isothrust.reduction.pooling_scatter import Components, RunFigure, Scatters, scatter_source
from isothrust.reduction.pooling_table import RunTable, labels_of, of_figure, run_table
from isothrust.science.arrays import Bools, floats
from isothrust.science.budgets import Lines, combine_budgets
from isothrust.science.groups import Codes, first_seen, grouped
from isothrust.science.nested import NestedMean, nested_means
from isothrust.science.uncertainty import coverage_factor

__all__ = ["Part", "PooledMeans", "Stated", "Weighing", "mean_of_figures", "pooled_means"]


class Part(NamedTuple):
    """What one mean is taken of: runs of one design, of one of its samples, or one run."""

    design: str
    runs: tuple[int, ...]
    """Rows of the table."""


class Weighing(NamedTuple):
    """How the figures of each part were weighed: by their own variances and by the scatter in their own unit."""

    mean: NestedMean
    typical: Floats
    """Plain mean of a part's runs, without its sign: what scatter is in proportion to (p, m)."""
    mounting_sd: Floats
    """Standard deviation from one mounting to the next; nil where it is not known (p, m)."""
    sample_sd: Floats


class Stated(NamedTuple):
    """What is said of each mean, each (p, m); not a number where it cannot be said."""

    uncertainty: Floats
    degrees_of_freedom: Floats
    coverage_factor: Floats
    """Half width of the 95 % interval over the uncertainty."""


@dataclass(frozen=True, slots=True, eq=False)
class PooledMeans:
    """Means of p parts at m conditions; not a number where a part has no figure."""

    values: Floats
    """(p, m)"""
    tested: Stated
    of_design: Stated
    """Where something tells how samples scatter."""
    as_sold: Stated
    budgets: tuple[BudgetTable, ...]
    """As tested."""
    sample_contributions: tuple[BudgetTable, ...]
    """What 'of the design' adds."""
    next_samples: tuple[BudgetTable, ...]
    """What 'as sold' adds to that: what the next sample from the shop may differ by."""
    weighing: Weighing

    def interval(self, stated: Stated, part: int, index: int) -> Interval | None:
        """Return an interval about a mean; None where it has none."""
        place = part, index
        half, value = float(stated.coverage_factor[place] * stated.uncertainty[place]), float(self.values[place])
        return None if np.isnan(half) else (value - half, value + half)


def pooled_means(campaign: str, table: RunTable, scatters: Scatters, parts: Sequence[Part]) -> PooledMeans:
    """Return the mean of each part: over samples of the mean over mountings, each weighed by its own variance."""
    rows = np.array([row for part in parts for row in part.runs], dtype=np.intp)
    of_part = np.repeat(np.arange(len(parts)), [len(part.runs) for part in parts])
    inside = _Inside(campaign, table, scatters, parts, rows, of_part)
    mean, count = inside.weighing.mean, len(parts)
    # Uneven weights make the mean depart from the plain mean of these samples; of the design, the plain mean departs
    # from the mean of all. Both lines of a sample bear one key, so together they are its weight times its departure.
    uneven, even = inside.of_samples(mean.sample_weights - inside.even), inside.of_samples(inside.even)
    following = inside.next_samples()
    tested = merged_lines([inside.of_runs(), *inside.of_mountings(), *uneven])
    of_design = merged_lines([tested.worded, *even])
    as_sold = merged_lines([of_design.worded, *following])
    there = np.isfinite(mean.value)
    known = there & ~np.isnan(inside.relative(scatters.sample))
    return PooledMeans(
        values=mean.value,
        tested=_stated(tested.lines, there),
        of_design=_stated(of_design.lines, known),
        as_sold=_stated(as_sold.lines, known),
        budgets=tables_of(tested.worded, count),
        sample_contributions=tables_of(merged_lines(even).worded, count),
        next_samples=tables_of(merged_lines(following).worded, count),
        weighing=inside.weighing,
    )


def _stated(lines: Lines, where: Bools) -> Stated:
    u, dof = (floats(np.where(where, part, np.nan)) for part in combine_budgets(lines, len(where)))
    return Stated(u, dof, coverage_factor(dof))


def mean_of_figures(campaign: str, figures: Sequence[RunFigure], scatters: Scatters) -> PooledMeans:
    """Return the mean of some runs of one design at one condition: one part, one condition."""
    runs = [item.run for item in figures]
    table = run_table(runs, [of_figure(item.figure) for item in figures], 1)
    return pooled_means(campaign, table, scatters, [Part(runs[0].design, tuple(range(len(runs))))])


class _Inside:
    """One pass at work: the weights, and the lines that follow from them."""

    def __init__(
        self, campaign: str, table: RunTable, scatters: Scatters, parts: Sequence[Part], rows: Codes, of_part: Codes
    ) -> None:
        self.table, self.scatters, self.parts, self.rows, self.of_part = table, scatters, parts, rows, of_part
        self.conditions = table.values.shape[1]
        self.design = np.array([scatters.designs.index(part.design) for part in parts], dtype=np.intp)
        labels = [labels_of(table.runs[row]) for row in rows]
        # One mounting may hold runs of several parts, where each run is a part of its own.
        mountings = [f"{part} {one.mounting}" for part, one in zip(of_part, labels, strict=True)]
        samples = [f"{part} {one.sample}" for part, one in zip(of_part, labels, strict=True)]
        at_mounting, at_sample = grouped(mountings).first, grouped(samples).first
        self.mounting_keys = [f"mounting {campaign}/{labels[row].mounting}" for row in at_mounting]
        self.sample_keys = [f"sample {labels[row].sample}" for row in at_sample]
        self.part_of_mounting, self.part_of_sample = of_part[at_mounting], of_part[at_sample]
        values, variances = table.values[rows], table.own_variances[rows]
        self.there = np.isfinite(values)
        typical = self._typical(values)
        mounting_sd = floats(np.nan_to_num(self.relative(scatters.mounting)) * typical)
        sample_sd = floats(np.nan_to_num(self.relative(scatters.sample)) * typical)
        mean = nested_means(
            values,
            variances,
            mountings,
            samples,
            of_part,
            mounting_variance=mounting_sd**2,
            sample_variance=sample_sd**2,
        )
        self.weighing = Weighing(mean, typical, mounting_sd, sample_sd)
        self.even = self._even(first_seen(samples), len(at_sample))

    def relative(self, of: Components) -> Floats:
        """Return a component of scatter for each part (p, m)."""
        return floats(of.relative[self.design])

    def of_runs(self) -> WordedLines:
        """Return the lines of the runs, each times the run's weight."""
        lines = self.table.lines
        weight, part = np.zeros(self.table.values.shape), np.full(len(self.table.runs), -1)
        weight[self.rows], part[self.rows] = self.weighing.mean.weights, self.of_part
        chosen = np.flatnonzero(part[lines.of_run] >= 0)
        # Part after part, as the runs stand in them: a budget lists its runs in the order of the table.
        chosen = chosen[np.argsort(part[lines.of_run[chosen]], kind="stable")]
        return WordedLines(
            part[lines.of_run[chosen]],
            [lines.sources[row] for row in chosen],
            [lines.keys[row] for row in chosen],
            [lines.scopes[row] for row in chosen],
            floats(lines.contributions[chosen] * weight[lines.of_run[chosen]]),
            floats(lines.degrees_of_freedom[chosen]),
        )

    def of_mountings(self) -> list[WordedLines]:
        """Return what mountings add."""
        effects = self.weighing.mounting_sd[self.part_of_mounting] * self.weighing.mean.mounting_weights
        return self._scattered("mounting", self.scatters.mounting, self.part_of_mounting, self.mounting_keys, effects)

    def of_samples(self, weights: Floats) -> list[WordedLines]:
        """Return what samples add with some weights."""
        effects = self.weighing.sample_sd[self.part_of_sample] * weights
        return self._scattered("sample", self.scatters.sample, self.part_of_sample, self.sample_keys, floats(effects))

    def next_samples(self) -> list[WordedLines]:
        """Return what the next sample from the shop may differ by."""
        every = np.arange(len(self.parts))
        keys = ["sample, the next one"] * len(self.parts)
        return self._scattered("sample", self.scatters.sample, every, keys, self.weighing.sample_sd)

    def _scattered(
        self, what: Scope, of: Components, part: Codes, keys: Sequence[str], effects: Floats
    ) -> list[WordedLines]:
        """Return scatter lines: where the estimate is the campaign's, and where it is the design's own."""
        row = self.design[part]
        apart, dof = of.apart[row], floats(of.degrees_of_freedom[row])
        named = []
        for own, where in ((False, ~apart), (True, apart)):
            sources = [scatter_source(what, self.parts[one].design if own else None) for one in part]
            named.append(WordedLines(part, sources, keys, [what] * len(part), floats(effects * where), dof))
        return named

    def _typical(self, values: Floats) -> Floats:
        """Return the plain mean of each part's runs, without its sign (p, m): what scatter is in proportion to."""
        total, number = np.zeros((2, len(self.parts), self.conditions))
        np.add.at(total, self.of_part, np.where(self.there, values, 0.0))
        np.add.at(number, self.of_part, self.there)
        return floats(np.abs(total / np.maximum(number, 1.0)))

    def _even(self, sample: Codes, count: int) -> Floats:
        """Return the weight of each sample, were those of its part that have a figure all alike (s, m)."""
        there = np.zeros((count, self.conditions))
        np.maximum.at(there, sample, floats(self.there))
        number = np.zeros((len(self.parts), self.conditions))
        np.add.at(number, self.part_of_sample, there)
        return floats(there / np.maximum(number, 1.0)[self.part_of_sample])
