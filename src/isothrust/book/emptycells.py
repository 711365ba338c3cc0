"""Cells that must be filled and are empty: told together, column by column, with the lines of all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from isothrust.errors import Problem, Where

__all__ = ["EmptyCell", "empty_cell_problems", "spans"]


@dataclass(frozen=True, slots=True)
class EmptyCell:
    """A cell that must be filled."""

    name: str
    """Of its column, without unit."""
    line: int
    expected: str
    fix: str
    then: str
    """What to type once it is filled, empty where nothing special."""


def empty_cell_problems(file: str, cells: Mapping[str, Sequence[EmptyCell]]) -> list[Problem]:
    """Return a problem for each column, by head, that has empty cells."""
    problems: list[Problem] = []
    for head, empty in cells.items():
        first = empty[0]
        what, fix = f'"{first.name}" is empty', ", ".join(part for part in (first.fix, first.then) if part)
        if len(empty) > 1:
            what += f" in {len(empty)} rows: lines {spans([cell.line for cell in empty])}"
            fix = f"{first.fix} in each" + (", then: isothrust check" if first.then else "")
        problems.append(Problem("missing-value", what, Where(file, first.line, head), first.expected, fix))
    return problems


def spans(lines: list[int]) -> str:
    """Say which lines, runs of them as spans.

    Examples
    --------
    >>> spans([3, 4, 5, 9])
    '3-5, 9'
    """
    spans: list[list[int]] = []
    for line in lines:
        if spans and line == spans[-1][1] + 1:
            spans[-1][1] = line
        else:
            spans.append([line, line])
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in spans)
