"""Results, budgets, comparisons and findings as data frames, one row each, in shown units.

Every number is the one that `--json` prints: null where it is not known, and null for infinite degrees of freedom.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, Final

import polars as pl

from isothrust.present.objects import comparison_object, finding_object, result_object
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Comparison, Result

__all__ = ["budget_frame", "differences_frame", "findings_frame", "ranking_frame", "results_frame"]

Row = dict[str, Any]
Schema = Mapping[str, Any]

ASKED: Final[Schema] = MappingProxyType(
    {"measurand": pl.String, "condition": pl.String, "condition_value": pl.Float64, "condition_unit": pl.String}
)
"""What was asked: null condition where the measurand holds at none."""
OF_WHOM: Final[Schema] = MappingProxyType({"design": pl.String, "sample": pl.String, "campaign": pl.String})
FIGURE: Final[Schema] = MappingProxyType(
    {
        "value": pl.Float64,
        "unit": pl.String,
        "standard_uncertainty": pl.Float64,
        "low": pl.Float64,
        "high": pl.Float64,
        "low_of_design": pl.Float64,
        "high_of_design": pl.Float64,
        "low_as_sold": pl.Float64,
        "high_as_sold": pl.Float64,
        "degrees_of_freedom": pl.Float64,
        "runs": pl.List(pl.String),
        "flags": pl.List(pl.String),
        "absent": pl.String,
        "method_version": pl.Int64,
    }
)
BUDGET: Final[Schema] = MappingProxyType(
    {
        "source": pl.String,
        "key": pl.String,
        "scope": pl.String,
        "contribution": pl.Float64,
        "unit": pl.String,
        "degrees_of_freedom": pl.Float64,
    }
)
RANK: Final[Schema] = MappingProxyType({"class": pl.String, "place": pl.Int64, "tied_with": pl.List(pl.String)})
DIFFERENCE: Final[Schema] = MappingProxyType(
    {
        "class": pl.String,
        "campaign": pl.String,
        "first": pl.String,
        "second": pl.String,
        "difference": pl.Float64,
        "unit": pl.String,
        "relative": pl.Float64,
        "standard_uncertainty": pl.Float64,
        "half_width": pl.Float64,
        "degrees_of_freedom": pl.Float64,
        "real": pl.Boolean,
        "statement": pl.String,
    }
)
FINDING: Final[Schema] = MappingProxyType(
    {
        "campaign": pl.String,
        "run": pl.String,
        "design": pl.String,
        "code": pl.String,
        "severity": pl.String,
        "channel": pl.String,
        "start": pl.Float64,
        "end": pl.Float64,
        "count": pl.Int64,
        "effect": pl.String,
        "done": pl.String,
        "message": pl.String,
    }
)
INTERVALS: Final[Mapping[str, str]] = MappingProxyType(
    {"": "interval", "_of_design": "interval_of_design", "_as_sold": "interval_as_sold"}
)


def results_frame(results: Iterable[Result]) -> pl.DataFrame:
    """Return results as a frame, a row for each.

    Parameters
    ----------
    results
        As `collect_results` gives them.

    Returns
    -------
    polars.DataFrame
        Columns `measurand`, `condition`, `condition_value`, `condition_unit`, `design`, `sample`, `campaign`, `value`,
        `unit`, `standard_uncertainty`, the ends of the three 95 % intervals (`low`, `high`; `low_of_design`,
        `high_of_design`; `low_as_sold`, `high_as_sold`), `degrees_of_freedom`, `runs`, `flags`, `absent` (the reason,
        where `value` is null) and `method_version`. Values are in `unit`.

    Examples
    --------
    >>> results_frame([]).columns[:5]
    ['measurand', 'condition', 'condition_value', 'condition_unit', 'design']
    """
    return _frame((_result_row(result_object(result)) for result in results), ASKED, OF_WHOM, FIGURE)


def budget_frame(results: Iterable[Result]) -> pl.DataFrame:
    """Return budgets as a frame, a row for each source of uncertainty of each result.

    Parameters
    ----------
    results
        As `collect_results` gives them.

    Returns
    -------
    polars.DataFrame
        The columns that say which result, then `source`, `key` (what the error is common to), `scope`, `contribution`
        (signed, of one standard uncertainty, in `unit`) and `degrees_of_freedom`. The squares of a result's
        contributions add up to the square of its standard uncertainty.
    """
    rows = (
        {**_asked(found), **_picked(found, OF_WHOM), "unit": found["unit"], **line}
        for found in map(result_object, results)
        for line in _list(found["budget"])
    )
    return _frame(rows, ASKED, OF_WHOM, BUDGET)


def ranking_frame(comparisons: Iterable[Comparison]) -> pl.DataFrame:
    """Return rankings as a frame, a row for each place of each comparison.

    Parameters
    ----------
    comparisons
        As `compare_designs` gives them.

    Returns
    -------
    polars.DataFrame
        As `results_frame`, with `class`, `place` and `tied_with` before the figure. The interval that belongs to a
        ranking of designs is that of the design.
    """
    rows = (
        {**_result_row(rank["result"]), "class": found["class"], "place": rank["place"], "tied_with": rank["tied_with"]}
        for found in map(comparison_object, comparisons)
        for rank in _list(found["ranks"])
    )
    return _frame(rows, ASKED, RANK, OF_WHOM, FIGURE)


def differences_frame(comparisons: Iterable[Comparison]) -> pl.DataFrame:
    """Return differences as a frame, a row for each pair of designs of each comparison.

    Parameters
    ----------
    comparisons
        As `compare_designs` gives them.

    Returns
    -------
    polars.DataFrame
        `first` less `second` as `difference` in `unit`, with its `half_width`, which holds at 95 % for all pairs of the
        comparison at once; `real` where that leaves out zero; `relative` to `second`, as a proportion; `statement` says
        whether it is of the design or of these samples only.
    """
    rows = []
    for comparison in comparisons:
        found = comparison_object(comparison)
        result = comparison.ranks[0].result if comparison.ranks else None
        if result is not None:
            shared = {**_asked(found), "class": found["class"], "campaign": result.campaign}
            unit = result_object(result)["unit"]
            rows += [{**shared, "unit": unit, **pair} for pair in _list(found["pairs"])]
    return _frame(rows, ASKED, DIFFERENCE)


def findings_frame(runs: Iterable[ReducedRun]) -> pl.DataFrame:
    """Return findings as a frame, a row for each finding of each run.

    Parameters
    ----------
    runs
        Reduced runs.

    Returns
    -------
    polars.DataFrame
        `campaign`, `run`, `design`, `code`, `severity` (note, warning, fail), `channel`, `start` and `end` [s] on the
        recording's own clock, `count`, `effect`, `done` and `message`.
    """
    rows = (
        {**finding_object(finding), "campaign": run.campaign, "run": run.run, "design": run.design}
        for run in runs
        for finding in run.findings
    )
    return _frame(rows, FINDING)


def _result_row(found: Mapping[str, Any]) -> Row:
    ends: Row = {}
    for suffix, name in INTERVALS.items():
        ends[f"low{suffix}"], ends[f"high{suffix}"] = found[name] or (None, None)
    return {**_asked(found), **_picked(found, OF_WHOM), **ends, **_picked(found, FIGURE)}


def _asked(found: Mapping[str, Any]) -> Row:
    """Return what was asked, the condition laid out in columns of its own."""
    condition = found["condition"] or {"quantity": None, "value": None, "unit": None}
    return {
        "measurand": found["measurand"],
        "condition": condition["quantity"],
        "condition_value": condition["value"],
        "condition_unit": condition["unit"],
    }


def _picked(found: Mapping[str, Any], schema: Schema) -> Row:
    return {name: found[name] for name in schema if name in found}


def _list(rows: object) -> list[Row]:
    assert isinstance(rows, list)
    return rows


def _frame(rows: Iterable[Row], *schemas: Schema) -> pl.DataFrame:
    """Return rows as a frame whose columns and types do not depend on what there is."""
    schema = {name: kind for part in schemas for name, kind in part.items()}
    return pl.DataFrame([{name: row[name] for name in schema} for row in rows], schema=schema)
