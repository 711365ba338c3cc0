"""A table for people: heads, rows and what must be said below it, laid out for a width."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass, replace
from typing import Literal

__all__ = ["GAP", "Mark", "Table", "broken_cell", "column_widths", "wrapped"]

Mark = Literal["body", "first", "fail", "warning", "note"]

GAP = 2
"""Spaces between columns."""


@dataclass(frozen=True, slots=True)
class Table:
    """Cells are text, of several lines where they need them. Without heads the rows stand alone.

    Columns in `left` are set to the left, the others to the right.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: frozenset[int] = frozenset({0})
    notes: tuple[str, ...] = ()
    wrap: int | None = None
    """A column of long text that is broken to fit the width."""
    marks: tuple[Mark, ...] = ()
    """One a row, drawn where colour can be shown; never the only sign of what it says."""


def column_widths(table: Table) -> list[int]:
    """Return the width that each column needs."""
    lines = [cell.split("\n") for row in (table.heads, *table.rows) for cell in row]
    count = max((len(row) for row in (table.heads, *table.rows)), default=0)
    return [max(len(line) for cell in lines[index::count] for line in cell) for index in range(count)]


def wrapped(table: Table, width: int) -> Table:
    """Return the table with its long column broken so that the whole fits the width; its own line ends are kept."""
    if table.wrap is None:
        return table
    widths = column_widths(table)
    if not widths:
        return table
    others = sum(widths) - widths[table.wrap] + GAP * (len(widths) - 1)
    room = max(width - others, 20)
    rows = tuple(
        tuple(broken_cell(cell, room) if index == table.wrap else cell for index, cell in enumerate(row))
        for row in table.rows
    )
    return replace(table, rows=rows, wrap=None)


_LABEL = re.compile(r"\s*(?:(?:where|expected|fix|effect|done):\s+)?")


def broken_cell(cell: str, room: int) -> str:
    """Break the lines of a cell; what hangs over goes under the text behind the line's label, such as `fix:`."""
    lines = []
    for part in cell.split("\n"):
        match = _LABEL.match(part)
        under = " " * min(match.end() if match else 0, room // 2)
        lines += textwrap.wrap(part, room, subsequent_indent=under, break_on_hyphens=False) or [""]
    return "\n".join(lines)
