"""Differences between results: what they share cancels as far as it really does, at many conditions in one pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, overload

import numpy as np
from numpy.typing import NDArray

from isothrust.records.budget import Budget, BudgetTable
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution
from isothrust.records.result import Pair, Result
from isothrust.reduction.pooling_budget import SCATTER
from isothrust.science.arrays import Bools, floats
from isothrust.science.budgets import Lines, budget_differences, merge_lines
from isothrust.science.groups import Codes
from isothrust.science.ranking import pair_intervals, place_numbers, tied_pairs

__all__ = ["OF_DESIGN", "THESE_SAMPLES", "Pairs", "Ranked", "rank_all", "statement_for"]

Statement = Literal["of the design", "these samples only"]
OF_DESIGN: Statement = "of the design"
THESE_SAMPLES: Statement = "these samples only"


@dataclass(frozen=True, slots=True, eq=False)
class _Differences:
    """First index less second, in the order of rank; each (n, n)."""

    difference: Floats
    half_width: Floats
    uncertainty: Floats
    degrees_of_freedom: Floats
    real: Bools


class Pairs(Sequence[Pair]):
    """Every pair once, the better one first, in the order of rank; each is made when somebody asks for it."""

    __slots__ = ("_designs", "_found", "_places", "_statement", "_values")

    def __init__(self, results: Sequence[Result], found: _Differences, statement: Statement) -> None:
        self._designs = [result.design for result in results]
        self._values = [_value(result) for result in results]
        self._found = found
        self._statement = statement
        self._places = np.triu_indices(len(results), 1)

    @overload
    def __getitem__(self, place: int) -> Pair: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Pair, ...]: ...
    def __getitem__(self, place: int | slice) -> Pair | tuple[Pair, ...]:
        """Return a pair, or some of them."""
        if isinstance(place, slice):
            return tuple(self[one] for one in range(*place.indices(len(self))))
        return self._pair(int(self._places[0][place]), int(self._places[1][place]))

    def __len__(self) -> int:
        """Return how many pairs there are."""
        return len(self._places[0])

    def __iter__(self) -> Iterator[Pair]:
        """Yield every pair."""
        return (self[place] for place in range(len(self)))

    def __eq__(self, other: object) -> bool:
        """Say whether another sequence holds the same pairs."""
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Return a hash of the pairs."""
        return hash(tuple(self))

    def _pair(self, first: int, second: int) -> Pair:
        found = self._found
        difference, reference = float(found.difference[first, second]), self._values[second]
        return Pair(
            first=self._designs[first],
            second=self._designs[second],
            difference=difference,
            relative=difference / reference if reference != 0.0 else None,
            uncertainty=float(found.uncertainty[first, second]),
            degrees_of_freedom=float(found.degrees_of_freedom[first, second]),
            half_width=float(found.half_width[first, second]),
            real=bool(found.real[first, second]),
            statement=self._statement,
        )


class Ranked(NamedTuple):
    """Results with a value in the order of rank, their places, ties and pairs."""

    results: tuple[Result, ...]
    places: tuple[int, ...]
    """Each one's place: one more than the number that are really better."""
    ties: tuple[tuple[str, ...], ...]
    """Names of those from whom each cannot be told apart, in the order of rank."""
    pairs: Sequence[Pair]
    statement: Statement


def rank_all(columns: Sequence[Sequence[Result]], *, more_is_better: bool) -> list[Ranked]:
    """Return the ranking of each of some lists of results: of one measurand and class, one list a condition.

    Lists of the same designs that make the same statement are worked out together.
    """
    alike: dict[tuple[Statement, tuple[str, ...]], list[int]] = {}
    for number, results in enumerate(columns):
        key = (statement_for(results), tuple(result.design for result in results))
        alike.setdefault(key, []).append(number)
    found: dict[int, Ranked] = {}
    for (statement, _), numbers in alike.items():
        ranked = _ranked([columns[number] for number in numbers], statement, more_is_better=more_is_better)
        found.update(zip(numbers, ranked, strict=True))
    return [found[number] for number in range(len(columns))]


def _ranked(columns: Sequence[Sequence[Result]], statement: Statement, *, more_is_better: bool) -> Iterator[Ranked]:
    values = np.array([[_value(result) for result in results] for results in columns])
    spread = budget_differences(_lines(columns, statement), values.shape[1])
    found = pair_intervals(values, spread.uncertainty, spread.degrees_of_freedom)
    places = place_numbers(found.difference, found.real, more_is_better=more_is_better)
    ties = tied_pairs(found.difference, found.real)
    for number, results in enumerate(columns):
        # sorted keeps the order of equals, also in reverse
        order = sorted(range(len(results)), key=values[number].__getitem__, reverse=more_is_better)
        at = np.ix_([number], order, order)
        ordered = tuple(results[place] for place in order)
        names = np.array([result.design for result in ordered], dtype=object)
        differences = _Differences(
            found.difference[at][0],
            found.half_width[at][0],
            spread.uncertainty[at][0],
            spread.degrees_of_freedom[at][0],
            found.real[at][0],
        )
        yield Ranked(
            results=ordered,
            places=tuple(int(places[number, place]) for place in order),
            ties=tuple(tuple(names[row].tolist()) for row in ties[at][0]),
            pairs=Pairs(ordered, differences, statement),
            statement=statement,
        )


def statement_for(results: Sequence[Result]) -> Statement:
    """Return which statement all results can make: of the design only where the scatter of samples is known."""
    return OF_DESIGN if all(result.interval_of_design is not None for result in results) else THESE_SAMPLES


def _value(result: Result) -> float:
    assert result.value is not None
    return result.value


def _lines(columns: Sequence[Sequence[Result]], statement: Statement) -> Lines:
    """Return the budgets of n designs at m conditions as lines merged by key."""
    tables: list[BudgetTable] = []
    owners: list[int] = []
    for number in range(len(columns[0])):
        column = [results[number] for results in columns]
        own = [_table([result.budget for result in column])]
        if statement == OF_DESIGN:
            own.append(_table([result.sample_contributions for result in column]))
        tables += own
        owners += [number] * len(own)
    key_codes, estimate_codes = _Codes(), _Codes()
    keys, estimates = [], []
    for table in tables:
        for source, key in zip(table.sources, table.keys, strict=True):
            scatter = source.startswith(SCATTER)
            # Of two scatter lines of one key only one acts at a condition.
            keys.append(key_codes.of(f"{key}\n{source}" if scatter else key))
            estimates.append(estimate_codes.of(source if scatter else key))
    lines = Lines(
        floats(np.concatenate([table.contributions for table in tables])),
        floats(np.concatenate([table.degrees_of_freedom for table in tables])),
        np.repeat(owners, [len(table.keys) for table in tables]),
        _codes(keys),
        _codes(estimates),
    )
    return merge_lines(lines)


class _Codes:
    """Whole numbers for words, in the order in which they are first met."""

    def __init__(self) -> None:
        self._known: dict[str, int] = {}

    def of(self, word: str) -> int:
        """Return a word's number."""
        return self._known.setdefault(word, len(self._known))


def _codes(numbers: Sequence[int]) -> Codes:
    return np.array(numbers, dtype=np.intp)


def _table(budgets: Sequence[Sequence[Contribution]]) -> BudgetTable:
    """Return the budgets of one design at some conditions as one table."""
    first = budgets[0]
    if isinstance(first, Budget) and all(isinstance(one, Budget) and one.table is first.table for one in budgets):
        places: NDArray[np.intp] = np.array([one.place for one in budgets if isinstance(one, Budget)], dtype=np.intp)
        table = first.table
        return BudgetTable(
            table.sources,
            table.keys,
            table.scopes,
            floats(table.contributions[:, places]),
            floats(table.degrees_of_freedom[:, places]),
        )
    lines: dict[tuple[str, str], int] = {}
    for budget in budgets:
        for line in budget:
            lines.setdefault((line.key, line.source), len(lines))
    contributions, dofs = np.zeros((len(lines), len(budgets))), np.full((len(lines), len(budgets)), np.inf)
    scopes = {(line.key, line.source): line.scope for budget in budgets for line in budget}
    for number, budget in enumerate(budgets):
        for line in budget:
            row = lines[line.key, line.source]
            contributions[row, number] += line.contribution
            dofs[row, number] = min(dofs[row, number], line.degrees_of_freedom)
    return BudgetTable(
        tuple(source for _, source in lines),
        tuple(key for key, _ in lines),
        tuple(scopes[name] for name in lines),
        contributions,
        dofs,
    )
