"""What stands out in a chart: the designs that are told apart, and the comparison point."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final, Literal

from isothrust.errors import UsageError, Where
from isothrust.present.charts.catalogue import Chart
from isothrust.present.charts.palette import IDENTITIES
from isothrust.quantities import MEASURANDS
from isothrust.records.book import Book
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Condition, Result
from isothrust.reduction.pooling import Question
from isothrust.workflows.chart_scope import Scope
from isothrust.workflows.results import answer_questions
from isothrust.workflows.selection import Selection

__all__ = ["answers_of", "comparison_point", "identities_of", "one_condition"]

CHOOSING: Final[tuple[tuple[str, Literal["thrust", "speed"]], ...]] = (
    ("shaft-power", "thrust"),
    ("electrical-power", "thrust"),
    ("thrust", "speed"),
)
"""By what the designs that are told apart are chosen where none is named: the first of these that anybody has."""
_ONE_GROUP: Final[Mapping[str, int]] = MappingProxyType({})


def answers_of(book: Book, runs: Sequence[ReducedRun], scope: Scope, question: Question) -> list[Result]:
    """Return the results of a question for every design of a scope."""
    selection = Selection(designs=scope.designs, campaigns=(scope.campaign,))
    return list(answer_questions(book, runs, selection, [question]).results)


def identities_of(
    book: Book,
    runs: Sequence[ReducedRun],
    scope: Scope,
    designs: Sequence[str],
    groups: Mapping[str, int] = _ONE_GROUP,
) -> dict[str, int]:
    """Return the designs that are told apart, each with its slot: those named, or the first of the class.

    Where none is named they follow the power that the middle comparison point needs, whatever the chart shows, so that
    a design looks the same in every chart of its class. With groups, the first of each group come first.

    Raises
    ------
    UsageError
        Where more are named than can be told apart.
    """
    named = list(dict.fromkeys(designs))
    if len(named) > len(IDENTITIES):
        raise UsageError(
            f"{len(named)} designs are named, and nobody tells more than {len(IDENTITIES)} lines apart",
            code="too-many-lines",
            where=Where("--design"),
            expected=f"{len(IDENTITIES)} designs or fewer; the others of the class are drawn thin beside them",
            fix="leave some out",
        )
    if named:
        return {design: slot for slot, design in enumerate(named)}
    ranked: dict[int, list[str]] = {}
    for design in _by_power(book, runs, scope):
        ranked.setdefault(groups.get(design, 0), []).append(design)
    turn = {design: (place, group) for group, members in ranked.items() for place, design in enumerate(members)}
    return {design: slot for slot, design in enumerate(sorted(turn, key=turn.__getitem__)[: len(IDENTITIES)])}


def _by_power(book: Book, runs: Sequence[ReducedRun], scope: Scope) -> list[str]:
    for measurand, quantity in CHOOSING:
        points = book.comparison_thrusts if quantity == "thrust" else book.comparison_speeds
        if not points:
            continue
        results = answers_of(book, runs, scope, Question(measurand, quantity, (middle_of(points),), ()))
        valued = [result for result in results if result.value is not None]
        if valued:
            more = MEASURANDS[measurand].better == "more"
            valued.sort(key=lambda result: result.value or 0.0, reverse=more)
            first = [result.design for result in valued]
            return [*first, *(design for design in scope.designs if design not in first)]
    return list(scope.designs)


def middle_of(points: Iterable[float]) -> float:
    """Return the middle one of some comparison points, the lower of two."""
    rising = sorted(points)
    return rising[(len(rising) - 1) // 2]


def one_condition(book: Book, selection: Selection, measurand: str) -> Selection:
    """Return the selection with one measurand and one condition that suits it: as named, else the book's middle one."""
    alone = replace(selection, measurands=(measurand,))
    if selection.thrusts or selection.speeds:
        thrusts = selection.thrusts[:1]
        return replace(alone, thrusts=thrusts, speeds=() if thrusts else selection.speeds[:1])
    kind = MEASURANDS[measurand].condition
    if kind in {"thrust", "both"} and book.comparison_thrusts:
        return replace(alone, thrusts=(middle_of(book.comparison_thrusts),))
    if kind in {"speed", "both"} and book.comparison_speeds:
        return replace(alone, speeds=(middle_of(book.comparison_speeds),))
    return alone


def comparison_point(book: Book, chart: Chart, selection: Selection) -> Condition | None:
    """Return where the upright of a curve chart stands: at the condition named, else at the book's middle one.

    Raises
    ------
    UsageError
        Where only the other quantity is named.
    """
    assert chart.abscissa is not None
    named = selection.thrusts if chart.abscissa == "thrust" else selection.speeds
    if not named and (selection.thrusts or selection.speeds):
        other = "speed" if chart.abscissa == "thrust" else "thrust"
        raise UsageError(
            f"{chart.name} is drawn over {chart.abscissa}, and --at names a {other}",
            code="wrong-condition",
            where=Where("--at"),
            expected={"thrust": "--at thrust=500gf", "speed": "--at speed=14000rpm"}[chart.abscissa],
            fix=f"name a {chart.abscissa}, or leave --at out",
        )
    points = named[:1] or (book.comparison_thrusts if chart.abscissa == "thrust" else book.comparison_speeds)
    return Condition(chart.abscissa, middle_of(points)) if points else None
