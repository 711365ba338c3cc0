"""The figures of all runs of a campaign at all conditions of a question, as arrays that every mean is taken from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction.figures import FigureSeries
from isothrust.reduction.figures_budget import BudgetLine, contributions_at
from isothrust.science.groups import Codes

__all__ = ["Labels", "RunLines", "RunSeries", "RunTable", "labels_of", "of_figure", "of_series", "run_table"]


class RunSeries(NamedTuple):
    """One run's figure at m conditions."""

    values: Floats
    lines: Sequence[BudgetLine]
    flags: tuple[str, ...]
    absent: tuple[str | None, ...]

    def at(self, index: int, measurand: str) -> Figure:
        """Return the figure at one of the conditions as a record."""
        reason = self.absent[index]
        if reason is not None:
            return Figure(measurand, None, (), self.flags, reason)
        return Figure(measurand, float(self.values[index]), contributions_at(self.lines, index), self.flags)


class RunLines(NamedTuple):
    """The budget lines of all runs, one below the other."""

    of_run: Codes
    sources: tuple[str, ...]
    keys: tuple[str, ...]
    scopes: tuple[Scope, ...]
    contributions: Floats
    """(l, m); nil where the run has no figure."""
    degrees_of_freedom: Floats
    """(l, m)"""


@dataclass(frozen=True, slots=True, eq=False)
class RunTable:
    """The figures of r runs at m conditions."""

    runs: tuple[ReducedRun, ...]
    values: Floats
    """(r, m); not a number where a run has none."""
    own_variances: Floats
    """What scatters each run alone, its noise and its zeros (r, m)."""
    lines: RunLines
    series: tuple[RunSeries, ...]

    def there(self, run: int, index: int) -> bool:
        """Say whether a run has a figure at a condition."""
        return self.series[run].absent[index] is None


class Labels(NamedTuple):
    """Design, sample and mounting of each run."""

    design: str
    sample: str
    mounting: str


def labels_of(run: ReducedRun) -> Labels:
    """Return a run's labels; a run without a named mounting was mounted for itself."""
    sample = f"{run.design}/{run.sample}"
    return Labels(run.design, sample, f"{sample}/{run.mounting or run.run}")


def of_series(series: FigureSeries) -> RunSeries:
    """Return a run's figure at the conditions of a question."""
    return RunSeries(series.values, series.lines, series.flags, series.absent)


def of_figure(figure: Figure) -> RunSeries:
    """Return a figure that holds at no condition, as one at one condition."""
    lines = [
        BudgetLine(
            line.source, line.key, line.scope, np.array([line.contribution]), np.array([line.degrees_of_freedom])
        )
        for line in figure.budget
    ]
    value = np.nan if figure.value is None else figure.value
    absent = None if figure.value is not None else figure.absent or "no reason was given"
    return RunSeries(np.array([value]), lines, figure.flags, (absent,))


def run_table(runs: Sequence[ReducedRun], series: Sequence[RunSeries], conditions: int) -> RunTable:
    """Return the figures of some runs as arrays."""
    values = np.array([one.values for one in series]).reshape(len(series), conditions)
    lines = [line for one in series for line in one.lines]
    of_run = np.repeat(np.arange(len(series)), [len(one.lines) for one in series])
    known = np.isfinite(values)[of_run]
    contributions = np.array([line.contributions for line in lines]).reshape(len(lines), conditions)
    dofs = np.array([line.degrees_of_freedom for line in lines]).reshape(len(lines), conditions)
    contributions, dofs = np.where(known, contributions, 0.0), np.where(known, dofs, np.inf)
    scopes = tuple(line.scope for line in lines)
    own = np.array([scope == "run" for scope in scopes], dtype=bool)
    variances = np.zeros(values.shape)
    np.add.at(variances, of_run[own], contributions[own] ** 2)
    return RunTable(
        tuple(runs),
        values,
        variances,
        RunLines(
            of_run,
            tuple(line.source for line in lines),
            tuple(line.key for line in lines),
            scopes,
            contributions,
            dofs,
        ),
        tuple(series),
    )
