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
from isothrust.reduction.pooling_budget import SCATTER
from isothrust.reduction.pooling_scatter import Components, Scatters, scatter_source
from isothrust.reduction.pooling_table import RunTable, labels_of
from isothrust.science.arrays import Bools, floats
from isothrust.science.budgets import Lines, combine_budgets, merge_lines
from isothrust.science.groups import Codes, first_seen, grouped
from isothrust.science.nested import NestedMean, nested_means
from isothrust.science.uncertainty import coverage_factor

__all__ = ["Part", "PooledMeans", "pooled_means"]


class Part(NamedTuple):
    """What one mean is taken of: runs of one design, of one of its samples, or one run."""

    design: str
    runs: tuple[int, ...]
    """Rows of the table."""


@dataclass(frozen=True, slots=True, eq=False)
class PooledMeans:
    """Means of p parts at m conditions; not a number where a part has no figure."""

    values: Floats
    """(p, m)"""
    uncertainties: Floats
    degrees_of_freedom: Floats
    half_widths: Floats
    """Of the 95 % interval as tested."""
    half_widths_of_design: Floats
    """Not a number where nothing tells how samples scatter."""
    half_widths_as_sold: Floats
    budgets: tuple[BudgetTable, ...]
    sample_contributions: tuple[BudgetTable, ...]

    def interval(self, half_widths: Floats, part: int, index: int) -> Interval | None:
        """Return an interval about a mean; None where it has none."""
        half, value = float(half_widths[part, index]), float(self.values[part, index])
        return None if np.isnan(half) else (value - half, value + half)


class _Named(NamedTuple):
    """Lines with their words: one row a line."""

    part: Codes
    sources: Sequence[str]
    keys: Sequence[str]
    scopes: Sequence[Scope]
    contributions: Floats
    degrees_of_freedom: Floats


def pooled_means(campaign: str, table: RunTable, scatters: Scatters, parts: Sequence[Part]) -> PooledMeans:
    """Return the mean of each part: over samples of the mean over mountings, each weighed by its own variance."""
    rows = np.array([row for part in parts for row in part.runs], dtype=np.intp)
    of_part = np.repeat(np.arange(len(parts)), [len(part.runs) for part in parts])
    inside = _Inside(campaign, table, scatters, parts, rows, of_part)
    mean = inside.mean
    tested = inside.merged(
        [inside.of_runs(), *inside.of_mountings(), *inside.of_samples(mean.sample_weights - inside.even)]
    )
    design = inside.of_samples(inside.even)
    sold = inside.next_samples()
    count = len(parts)
    spread = combine_budgets(tested.lines, count)
    of_design = inside.merged([tested.named, *design])
    as_sold = inside.merged([of_design.named, *sold])
    known = ~np.isnan(inside.relative(scatters.sample))

    def half(lines: Lines, where: Bools) -> Floats:
        found = combine_budgets(lines, count)
        width = coverage_factor(found.degrees_of_freedom) * found.uncertainty
        return floats(np.where(where & np.isfinite(mean.value), width, np.nan))

    return PooledMeans(
        values=mean.value,
        uncertainties=spread.uncertainty,
        degrees_of_freedom=spread.degrees_of_freedom,
        half_widths=half(tested.lines, np.isfinite(mean.value)),
        half_widths_of_design=half(of_design.lines, known),
        half_widths_as_sold=half(as_sold.lines, known),
        budgets=_tables(tested.named, count),
        sample_contributions=_tables(inside.merged(design).named, count),
    )


class _Merged(NamedTuple):
    lines: Lines
    named: _Named


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
        self.mounting_sd = np.nan_to_num(self.relative(scatters.mounting)) * typical
        self.sample_sd = np.nan_to_num(self.relative(scatters.sample)) * typical
        self.mean: NestedMean = nested_means(
            values,
            variances,
            mountings,
            samples,
            of_part,
            mounting_variance=self.mounting_sd**2,
            sample_variance=self.sample_sd**2,
        )
        self.even = self._even(first_seen(samples), len(at_sample))

    def relative(self, of: Components) -> Floats:
        """Return a component of scatter for each part (p, m)."""
        return floats(of.relative[self.design])

    def of_runs(self) -> _Named:
        """Return the lines of the runs, each times the run's weight."""
        lines = self.table.lines
        weight, part = np.zeros(self.table.values.shape), np.full(len(self.table.runs), -1)
        weight[self.rows], part[self.rows] = self.mean.weights, self.of_part
        chosen = np.flatnonzero(part[lines.of_run] >= 0)
        # Part after part, as the runs stand in them: a budget lists its runs in the order of the table.
        chosen = chosen[np.argsort(part[lines.of_run[chosen]], kind="stable")]
        return _Named(
            part[lines.of_run[chosen]],
            [lines.sources[row] for row in chosen],
            [lines.keys[row] for row in chosen],
            [lines.scopes[row] for row in chosen],
            floats(lines.contributions[chosen] * weight[lines.of_run[chosen]]),
            floats(lines.degrees_of_freedom[chosen]),
        )

    def of_mountings(self) -> list[_Named]:
        """Return what mountings add."""
        effects = self.mounting_sd[self.part_of_mounting] * self.mean.mounting_weights
        return self._scattered("mounting", self.scatters.mounting, self.part_of_mounting, self.mounting_keys, effects)

    def of_samples(self, weights: Floats) -> list[_Named]:
        """Return what samples add with some weights."""
        effects = self.sample_sd[self.part_of_sample] * weights
        return self._scattered("sample", self.scatters.sample, self.part_of_sample, self.sample_keys, floats(effects))

    def next_samples(self) -> list[_Named]:
        """Return what the next sample from the shop may differ by."""
        every = np.arange(len(self.parts))
        keys = ["sample, the next one"] * len(self.parts)
        return self._scattered("sample", self.scatters.sample, every, keys, self.sample_sd)

    def _scattered(
        self, what: Scope, of: Components, part: Codes, keys: Sequence[str], effects: Floats
    ) -> list[_Named]:
        """Return scatter lines: where the estimate is the campaign's, and where it is the design's own."""
        row = self.design[part]
        apart, dof = of.apart[row], floats(of.degrees_of_freedom[row])
        named = []
        for own, where in ((False, ~apart), (True, apart)):
            sources = [scatter_source(what, self.parts[one].design if own else None) for one in part]
            named.append(_Named(part, sources, keys, [what] * len(part), floats(effects * where), dof))
        return named

    def merged(self, groups: Sequence[_Named]) -> _Merged:
        """Return lines of one key and source added up."""
        part = np.concatenate([one.part for one in groups])
        sources = [source for one in groups for source in one.sources]
        keys = [key for one in groups for key in one.keys]
        scopes = [scope for one in groups for scope in one.scopes]
        # Of two scatter lines of one key only one acts at a condition: the campaign's estimate or the design's own.
        named = [
            f"{key}\n{source}" if source.startswith(SCATTER) else key for key, source in zip(keys, sources, strict=True)
        ]
        estimates = [source if source.startswith(SCATTER) else key for key, source in zip(keys, sources, strict=True)]
        codes = first_seen(named)
        lines = Lines(
            np.concatenate([one.contributions for one in groups]),
            np.concatenate([one.degrees_of_freedom for one in groups]),
            np.asarray(part, dtype=np.intp),
            codes,
            first_seen(estimates),
        )
        found = merge_lines(lines)
        first = grouped(lines.budgets, lines.keys).first
        return _Merged(
            found,
            _Named(
                found.budgets,
                [sources[row] for row in first],
                [keys[row] for row in first],
                [scopes[row] for row in first],
                found.contributions,
                found.degrees_of_freedom,
            ),
        )

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


def _tables(named: _Named, parts: int) -> tuple[BudgetTable, ...]:
    rows: list[list[int]] = [[] for _ in range(parts)]
    for row, part in enumerate(named.part):
        rows[part].append(row)
    return tuple(
        BudgetTable(
            tuple(named.sources[row] for row in own),
            tuple(named.keys[row] for row in own),
            tuple(named.scopes[row] for row in own),
            floats(named.contributions[own]),
            floats(named.degrees_of_freedom[own]),
        )
        for own in rows
    )
