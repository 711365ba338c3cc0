"""Results of a campaign: every measurand asked, at every condition asked, for every design, sample or run.

The campaign is the unit: repeatability is learnt from all its designs, also those that were not asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from isothrust.records.reduced import Figure, ReducedRun
from isothrust.records.result import Condition, Result
from isothrust.reduction.figures import RunContext, Solved, evaluate_figure, single_figure, solve_conditions
from isothrust.reduction.pooling_means import Part, PooledMeans, pooled_means
from isothrust.reduction.pooling_reasons import joint_reason, nothing_counts
from isothrust.reduction.pooling_results import Subject, absent_result, mean_result, scatter_flags
from isothrust.reduction.pooling_runs import ACCEPTED, SetAside, counts_for
from isothrust.reduction.pooling_scatter import RunFigure, Scatters, campaign_scatters
from isothrust.reduction.pooling_table import RunSeries, RunTable, of_figure, of_series, run_table

__all__ = [
    "ASIDE",
    "AtCondition",
    "CampaignRuns",
    "Per",
    "Question",
    "figures_asked",
    "parts_of",
    "pool_campaign",
    "results_at",
]

Per = Literal["design", "sample", "run"]
ASIDE = "runs-set-aside"
"""Flag of a design of which some runs do not count."""


@dataclass(frozen=True, slots=True)
class CampaignRuns:
    """The reduced runs of one campaign, sorted out."""

    name: str
    runs: tuple[ReducedRun, ...]
    """Those that count."""
    set_aside: tuple[SetAside, ...] = ()
    accepted: frozenset[str] = frozenset()
    """Runs that failed a check and were accepted by a decision."""
    contexts: Mapping[str, RunContext] = field(default_factory=dict)
    """Run -> what its figures need beside it."""
    missing: Mapping[str, str] = field(default_factory=dict)
    """Design -> why some or all of its runs could not be reduced."""


@dataclass(frozen=True, slots=True)
class Question:
    """One measurand at some conditions, for some designs."""

    measurand: str
    quantity: Literal["thrust", "speed"] | None
    conditions: tuple[float, ...]
    """Thrusts [N] or speeds [rad/s]; empty where the measurand holds at no condition."""
    designs: tuple[str, ...]
    per: Per = "design"


@dataclass(frozen=True, slots=True)
class AtCondition:
    """What the runs of a campaign give at one condition, before anything is averaged."""

    condition: Condition | None
    counting: tuple[ReducedRun, ...]
    """Runs whose kind counts for the measurand."""
    figures: Mapping[str, Figure]
    """Run -> its figure, or the reason why it has none."""
    scatters: Scatters
    """How each design of the campaign scatters, at this condition alone."""

    def there(self, members: Sequence[ReducedRun]) -> list[RunFigure]:
        """Return those of some runs that have a figure."""
        found = [RunFigure(run, self.figures[run.run]) for run in members]
        return [item for item in found if item.figure.value is not None]


def pool_campaign(campaign: CampaignRuns, questions: Sequence[Question]) -> list[Result]:
    """Return the results of all questions, one or more for each design asked at each condition."""
    solver = _Solver()
    return [result for question in questions for result in _pool(campaign, question, solver)]


def _pool(campaign: CampaignRuns, question: Question, solver: _Solver) -> list[Result]:
    counting = _counting(campaign, question)
    conditions = _conditions(question)
    series = [_series(run, question, campaign.contexts.get(run.run, RunContext()), solver) for run in counting]
    table = run_table(counting, series, len(conditions))
    return _results(campaign, question, conditions, table, campaign_scatters(table))


def _results(
    campaign: CampaignRuns,
    question: Question,
    conditions: Sequence[Condition | None],
    table: RunTable,
    scatters: Scatters,
) -> list[Result]:
    """Return the results of one question, condition by condition and design by design, worked out in one pass."""
    subjects = [(design, rows) for design in question.designs for rows in _rows_of(table.runs, design, question.per)]
    parts = [Part(design, rows) for design, rows in subjects if rows]
    means = pooled_means(campaign.name, table, scatters, parts)
    pooled = _Pooled(campaign, question, table, scatters, means)
    places = iter(range(len(parts)))
    numbered = [(design, rows, next(places) if rows else None) for design, rows in subjects]
    return [
        pooled.result(condition, index, design, rows, part)
        for index, condition in enumerate(conditions)
        for design, rows, part in numbered
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Pooled:
    """One question, answered: what is left is to write it down."""

    campaign: CampaignRuns
    question: Question
    table: RunTable
    scatters: Scatters
    means: PooledMeans

    def result(
        self, condition: Condition | None, index: int, design: str, rows: Sequence[int], part: int | None
    ) -> Result:
        """Return the result of one part at one condition, or why there is none."""
        runs = [self.table.runs[row] for row in rows]
        sample = None if self.question.per == "design" or not runs else runs[0].sample
        subject = Subject(self.question.measurand, condition, design, sample, self.campaign.name)
        aside = [one for one in self.campaign.set_aside if one.design == design]
        extra = [ASIDE] if aside else []
        if part is None:
            return self._nothing(subject, aside, extra)
        there = [row for row in rows if self.table.there(row, index)]
        series = self.table.series
        if not there:
            reasons = {run.run: series[row].absent[index] or "" for run, row in zip(runs, rows, strict=True)}
            flags = dict.fromkeys([*(flag for row in rows for flag in series[row].flags), *extra])
            version = max(run.method_version for run in runs)
            names = [run.run for run in runs]
            return absent_result(subject, joint_reason(reasons), flags=tuple(flags), runs=names, method_version=version)
        counted = [self.table.runs[row] for row in there]
        if any(run.run in self.campaign.accepted for run in counted):
            extra.append(ACCEPTED)
        own = [flag for row in there for flag in series[row].flags]
        said = scatter_flags(self.scatters.at(design, index))
        return mean_result(subject, counted, self.means, (part, index), tuple(dict.fromkeys([*own, *said, *extra])))

    def _nothing(self, subject: Subject, aside: Sequence[SetAside], extra: Sequence[str]) -> Result:
        others = [run.kind for run in self.campaign.runs if run.design == subject.design]
        missing = self.campaign.missing.get(subject.design)
        reason = nothing_counts(self.campaign.name, subject.measurand, aside, others, missing)
        return absent_result(subject, reason, flags=extra)


def _rows_of(runs: Sequence[ReducedRun], design: str, per: Per) -> list[tuple[int, ...]]:
    """Return the rows that each result of a design rests on; one empty part where there are none."""
    rows = tuple(row for row, run in enumerate(runs) if run.design == design)
    if per == "design" or not rows:
        return [rows]
    if per == "run":
        return [(row,) for row in rows]
    samples = sorted({runs[row].sample for row in rows})
    return [tuple(row for row in rows if runs[row].sample == sample) for sample in samples]


def _counting(campaign: CampaignRuns, question: Question) -> tuple[ReducedRun, ...]:
    return tuple(run for run in campaign.runs if counts_for(run, question.measurand))


def _series(run: ReducedRun, question: Question, context: RunContext, solver: _Solver) -> RunSeries:
    if question.quantity is None:
        return of_figure(single_figure(run, question.measurand))
    solved = solver.solve(run, question.quantity, question.conditions)
    conditions = np.array(question.conditions)
    return of_series(evaluate_figure(run, question.measurand, question.quantity, conditions, context, solved))


def figures_asked(campaign: CampaignRuns, question: Question) -> list[AtCondition]:
    """Return what the runs give at each condition of a question: what its results are the means of."""
    counting, conditions, solver = _counting(campaign, question), _conditions(question), _Solver()
    series = [_series(run, question, campaign.contexts.get(run.run, RunContext()), solver) for run in counting]
    scatters = campaign_scatters(run_table(counting, series, len(conditions)))
    return [
        AtCondition(
            condition,
            counting,
            {run.run: one.at(index, question.measurand) for run, one in zip(counting, series, strict=True)},
            scatters.only(index),
        )
        for index, condition in enumerate(conditions)
    ]


class _Solver:
    """Remembers where on each run's curves the conditions lie: most questions share them."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, str, tuple[float, ...]], Solved] = {}

    def solve(self, run: ReducedRun, quantity: Literal["thrust", "speed"], conditions: tuple[float, ...]) -> Solved:
        """Return the abscissa at each condition."""
        key = (run.run, quantity, conditions)
        if key not in self._known:
            self._known[key] = solve_conditions(run, quantity, np.array(conditions))
        return self._known[key]


def _conditions(question: Question) -> list[Condition | None]:
    if question.quantity is None:
        return [None]
    return [Condition(question.quantity, value) for value in question.conditions]


def results_at(campaign: CampaignRuns, question: Question, found: AtCondition) -> list[Result]:
    """Return the results of a question at one of its conditions, in the order of `parts_of`, design by design."""
    table = run_table(found.counting, [of_figure(found.figures[run.run]) for run in found.counting], 1)
    return _results(campaign, question, [found.condition], table, found.scatters)


def parts_of(found: AtCondition, design: str, per: Per) -> list[list[ReducedRun]]:
    """Return the runs that each result of a design rests on; one empty part where there are none."""
    return [[found.counting[row] for row in rows] for rows in _rows_of(found.counting, design, per)]
