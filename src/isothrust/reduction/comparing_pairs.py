"""Differences between results: what they share cancels as far as it really does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from isothrust.records.reduced import Contribution
from isothrust.records.result import Pair, Result
from isothrust.reduction.pooling_budget import Spread, combined, merged, weighed
from isothrust.science.ranking import PairIntervals, pair_intervals, places, tied_with

__all__ = ["OF_DESIGN", "THESE_SAMPLES", "Ranked", "difference_spread"]

Statement = Literal["of the design", "these samples only"]
OF_DESIGN: Statement = "of the design"
THESE_SAMPLES: Statement = "these samples only"


class Ranked:
    """Results with a value in the order of rank, their places, ties and pairs."""

    def __init__(self, results: Sequence[Result], *, more_is_better: bool) -> None:
        self.statement = statement_for(results)
        self.results = sorted(results, key=_value, reverse=more_is_better)
        self._more_is_better = more_is_better
        self._spreads = [
            [difference_spread(first, second, self.statement) for second in self.results] for first in self.results
        ]
        self._found = _intervals(self.results, self._spreads)

    @property
    def places(self) -> tuple[int, ...]:
        """Each one's place: one more than the number that are really better."""
        return places(self._found.difference, self._found.real, more_is_better=self._more_is_better)

    @property
    def ties(self) -> tuple[tuple[str, ...], ...]:
        """Names of those from whom each cannot be told apart."""
        tied = tied_with(self._found.difference, self._found.real)
        return tuple(tuple(self.results[other].design for other in others) for others in tied)

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Every pair once, the better one first."""
        count = len(self.results)
        return tuple(self._pair(first, second) for first in range(count) for second in range(first + 1, count))

    def _pair(self, first: int, second: int) -> Pair:
        spread = self._spreads[first][second]
        difference = float(self._found.difference[first, second])
        reference = _value(self.results[second])
        return Pair(
            first=self.results[first].design,
            second=self.results[second].design,
            difference=difference,
            relative=difference / reference if reference != 0.0 else None,
            uncertainty=spread.uncertainty,
            degrees_of_freedom=spread.degrees_of_freedom,
            half_width=float(self._found.half_width[first, second]),
            real=bool(self._found.real[first, second]),
            statement=self.statement,
        )


def _value(result: Result) -> float:
    assert result.value is not None
    return result.value


def _intervals(results: Sequence[Result], spreads: Sequence[Sequence[Spread]]) -> PairIntervals:
    uncertainties = np.array([[spread.uncertainty for spread in row] for row in spreads])
    dofs = np.array([[spread.degrees_of_freedom for spread in row] for row in spreads])
    return pair_intervals([_value(result) for result in results], uncertainties, dofs)


def statement_for(results: Sequence[Result]) -> Statement:
    """Return which statement all results can make: of the design only where the scatter of samples is known."""
    return OF_DESIGN if all(result.interval_of_design is not None for result in results) else THESE_SAMPLES


def difference_spread(first: Result, second: Result, statement: Statement) -> Spread:
    """Return the standard uncertainty of first - second: u^2 is the sum over keys of (c_1 - c_2)^2 (GUM 5.2.2)."""
    return combined(merged([*_lines(first, statement), *weighed(_lines(second, statement), -1.0)]))


def _lines(result: Result, statement: Statement) -> list[Contribution]:
    return [*result.budget, *(result.sample_contributions if statement == OF_DESIGN else ())]
