"""The result in an explanation: from runs to the mean, the budget, and the three statements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.explanation_words import (
    GAP_LINE,
    answer,
    freedom,
    indented,
    listed,
    listed_freedom,
    named_source,
    paragraph,
    scaled,
    table_at,
    title,
    unit_words,
    working,
)
from isothrust.present.plain import Line
from isothrust.present.shown import in_shown_unit, unit_label
from isothrust.present.table import Table
from isothrust.records.reduced import Contribution
from isothrust.records.result import Result
from isothrust.records.trail import FigureTrail, GroupMean, PoolTrail, ScatterFacts, Statement

__all__ = ["budget_section", "mean_section"]

SCOPES: Final = ("rig", "campaign", "sample", "mounting", "run")
"""In the order in which a budget lists them: what many share first."""
NOTHING_COMPARED: Final[Mapping[str, str]] = MappingProxyType(
    {"mounting": "nothing was mounted twice", "sample": "no design has two samples"}
)


def mean_section(trail: FigureTrail, width: int) -> list[Line]:
    """Return how the runs' figures became one."""
    pool, result = trail.pool, trail.result
    assert pool is not None and result.value is not None
    unit = unit_words(result.measurand)
    lines = title("From runs to the mean")
    rows = tuple(
        (
            run.run,
            run.sample.removeprefix(f"{result.design}/"),
            run.mounting.rsplit("/", 1)[-1],
            _shown(result, run.value),
            answer(scaled(result.measurand, run.own_uncertainty)),
            working(run.weight_within),
            working(run.weight),
        )
        for run in pool.runs
    )
    heads = ("run", "sample", "mounting", f"figure{unit}", f"own u{unit}", "weight in\nmounting", "weight")
    lines += table_at(Table("", heads, rows, frozenset({0, 1, 2})), width)
    lines.append(GAP_LINE)
    for scatter in (pool.mounting, pool.sample):
        lines += paragraph(_scatter_words(scatter, pool, result), width)
    if len(pool.runs) > 1:
        lines += _levels(pool, result, width)
    label = unit_label(result.measurand)
    return [*lines, indented(f"mean = sum of weight * figure = {_answered(result, result.value)} {label}".rstrip())]


def _levels(pool: PoolTrail, result: Result, width: int) -> list[Line]:
    return [
        *_groups("mounting", "weight in\nsample", pool.mountings, result, width),
        *_groups("sample", "weight in\nmean", pool.samples, result, width),
        GAP_LINE,
        *paragraph(
            "Within each group a weight goes as 1 / u^2: of a run its own u; of a mounting and of a sample the u that "
            "its members leave, with the scatter of its level: u^2 = (u of members)^2 + scatter^2, where (u of "
            "members)^2 = sum of weight^2 * u^2. A weight in the whole is the product of those on the way.",
            width,
        ),
    ]


def _groups(what: str, within: str, groups: Sequence[GroupMean], result: Result, width: int) -> list[Line]:
    unit = unit_words(result.measurand)
    rows = tuple(
        (
            group.label.removeprefix(f"{result.design}/"),
            _shown(result, group.value),
            working(scaled(result.measurand, group.uncertainty_below)),
            working(scaled(result.measurand, group.uncertainty)),
            working(group.weight_within),
            working(group.weight),
        )
        for group in groups
    )
    heads = (what, f"mean{unit}", f"u of\nmembers{unit}", f"u{unit}", within, "weight")
    return [GAP_LINE, *table_at(Table("", heads, rows), width)]


def _scatter_words(scatter: ScatterFacts, pool: PoolTrail, result: Result) -> str:
    name = f"{scatter.what} scatter"
    if scatter.relative is None:
        return f"{name}: not known; {NOTHING_COMPARED[scatter.what]} in the campaign"
    whose = {True: "its own", False: "pooled over the campaign"}[scatter.stands_apart]
    if scatter.borrowed:
        whose += ", borrowed from the other designs"
    if scatter.standard_deviation == 0.0:
        return f"{name}: nil, {whose}; the figures differ no more than their own u explains"
    label = unit_label(result.measurand)
    typical = _shown(result, pool.plain_mean)
    sd = working(scaled(result.measurand, scatter.standard_deviation))
    return (
        f"{name}: {working(100.0 * scatter.relative)} % of the runs' plain mean {typical} = {sd} {label}".rstrip()
        + f", dof {listed_freedom(scatter.degrees_of_freedom)}; {whose}, by restricted maximum likelihood"
    )


def budget_section(trail: FigureTrail, width: int) -> list[Line]:
    """Return the budget and what follows from it, statement by statement."""
    result = trail.result
    lines = title("Budget as tested")
    if result.budget:
        lines += [*table_at(_budget_table(result), width), GAP_LINE]
        lines += paragraph(
            "A contribution is what one standard uncertainty of the source does to the mean: the runs' own, times "
            "their weights, added up with their signs where the error is the same one (equal words); scatter, times "
            "the weight of the mounting, or times what the weight of the sample departs from an even one.",
            width,
        )
    else:
        lines += paragraph("Nothing that was measured enters, so nothing scatters it.", width)
    for statement in trail.statements:
        lines += _statement(statement, result, width)
    lines += [GAP_LINE]
    lines += paragraph(
        "Sum of squares: lines with equal words, or equal words in brackets, added first. Effective dof = u^4 / sum of "
        "(c^4 / dof), where the lines of one scatter (one source) count as one c^2, the sum of theirs. t: Student's "
        "factor for 95 %.",
        width,
    )
    return lines


def _budget_table(result: Result) -> Table:
    ordered = sorted(result.budget, key=lambda line: SCOPES.index(line.scope))
    total = sum(line.contribution**2 for line in ordered)
    rows = tuple(
        (
            listed(scaled(result.measurand, line.contribution)),
            f"{100.0 * line.contribution**2 / total:.1f}",
            listed_freedom(line.degrees_of_freedom),
            line.scope,
            named_source(line),
        )
        for line in ordered
    )
    heads = (f"contribution{unit_words(result.measurand)}", "of u^2 [%]", "dof", "scope", "source [common to]")
    return Table("", heads, rows, frozenset({3, 4}), (), 4)


def _statement(statement: Statement, result: Result, width: int) -> list[Line]:
    name, label = result.measurand, unit_label(result.measurand)
    lines = [GAP_LINE, indented(statement.name)]
    if statement.added:
        lines += table_at(_added(statement.added, name), width, 2)
    elif statement.name != "as tested":
        lines += paragraph("nothing is added: samples differ no more than their own u explains", width, 2)
    assert result.value is not None
    u = scaled(name, statement.uncertainty)
    low, high = (in_shown_unit(name, end) for end in statement.interval)
    lines += [
        indented(f"sum of squares = {working(u**2)}, u = {answer(u)} {label}".rstrip(), 2),
        indented(
            f"effective dof = {freedom(statement.degrees_of_freedom)}, t = {answer(statement.coverage_factor)}", 2
        ),
        indented(
            f"interval = {_answered(result, result.value)} ± t * u = {answer(low)} to {answer(high)} {label}".rstrip(),
            2,
        ),
    ]
    return lines


def _added(lines: Sequence[Contribution], measurand: str) -> Table:
    rows = tuple(
        (
            listed(scaled(measurand, line.contribution)),
            listed_freedom(line.degrees_of_freedom),
            line.scope,
            named_source(line),
        )
        for line in lines
    )
    heads = (f"added{unit_words(measurand)}", "dof", "scope", "source [common to]")
    return Table("", heads, rows, frozenset({2, 3}), (), 3)


def _shown(result: Result, value: float) -> str:
    return working(in_shown_unit(result.measurand, value))


def _answered(result: Result, value: float) -> str:
    return answer(in_shown_unit(result.measurand, value))
