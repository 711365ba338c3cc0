"""Budgets of one figure at many conditions, kept as arrays; the lines of one are made when somebody reads them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import overload

from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution

__all__ = ["Budget", "BudgetTable"]


@dataclass(frozen=True, slots=True, eq=False)
class BudgetTable:
    """The k lines of a figure's budget at m conditions, in one order for all; at a condition each key acts once."""

    sources: tuple[str, ...]
    keys: tuple[str, ...]
    scopes: tuple[Scope, ...]
    contributions: Floats
    """(k, m), SI unit of the figure; nil where the source does not act."""
    degrees_of_freedom: Floats
    """(k, m)"""

    def at(self, index: int) -> Budget:
        """Return the budget at one of the conditions."""
        return Budget(self, index)


class Budget(Sequence[Contribution]):
    """The budget at one condition: a sequence of its lines, those that contribute nothing left out."""

    __slots__ = ("_lines", "place", "table")

    def __init__(self, table: BudgetTable, place: int) -> None:
        self.table = table
        self.place = place
        self._lines: tuple[Contribution, ...] | None = None

    @property
    def lines(self) -> tuple[Contribution, ...]:
        """The lines, made once."""
        if self._lines is None:
            table = self.table
            columns = zip(
                table.sources,
                table.keys,
                table.scopes,
                table.contributions[:, self.place].tolist(),
                table.degrees_of_freedom[:, self.place].tolist(),
                strict=True,
            )
            self._lines = tuple(Contribution(*column) for column in columns if column[3] != 0.0)
        return self._lines

    @overload
    def __getitem__(self, place: int) -> Contribution: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Contribution, ...]: ...
    def __getitem__(self, place: int | slice) -> Contribution | tuple[Contribution, ...]:
        """Return a line, or some of them."""
        return self.lines[place]

    def __len__(self) -> int:
        """Return how many lines contribute."""
        return len(self.lines)

    def __eq__(self, other: object) -> bool:
        """Say whether another sequence holds the same lines."""
        return isinstance(other, Sequence) and self.lines == tuple(other)

    def __hash__(self) -> int:
        """Return a hash of the lines."""
        return hash(self.lines)

    def __repr__(self) -> str:
        """Return the lines as a tuple would be shown."""
        return repr(self.lines)
