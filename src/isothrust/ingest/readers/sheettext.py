"""Cells of a spreadsheet's sheet as text that is read like a log, and the blocks that stand side by side in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from isothrust.errors import LogError
from isothrust.ingest.readers.numeric import worded
from isothrust.tables.cells import is_blank
from isothrust.tables.decoding import Decoded
from isothrust.tables.log import LogTable, log_of

__all__ = ["Rows", "blocks_of", "sheet_table"]

Rows = Sequence[Sequence[Any]]
_CLEAN: Final = str.maketrans({"\t": " ", "\n": " ", "\r": " ", '"': "'"})


def sheet_table(rows: Rows, file: str, words: str) -> LogTable:
    """Return a sheet's cells as a table; lines are the sheet's rows, columns the sheet's columns.

    Raises LogError as `log_of` does.
    """
    dated = {place for row in rows for place, cell in enumerate(row) if isinstance(cell, datetime)}
    text = "\n".join("\t".join(_text(cell, place in dated) for place, cell in enumerate(row)) for row in rows) + "\n"
    table = log_of(Decoded(text.encode("utf-8"), "utf-8", cut=False), file)
    head = table.dialect.head_line
    told = "no head" if head is None else f"head in row {head}"
    return replace(
        table, layout=replace(table.layout, dialect=worded(table.dialect, f"{words}, {told}")), cut_last=None
    )


def blocks_of(rows: Rows, file: str, words: str) -> tuple[LogTable, ...]:
    """Return the tables that blank columns part in a sheet, each with its rows where they stand in the sheet.

    Only where there are at least two; a block that holds no rows of numbers is none.
    """
    found: list[LogTable] = []
    for start, stop in _filled_columns(rows):
        number = len(found) + 1
        if stop - start < 2:
            continue
        block = [row[start:stop] for row in rows]
        while block and not any(_filled(cell) for cell in block[-1]):
            block.pop()
        try:
            found.append(sheet_table(block, f"{file}, block {number}", f"{words}, block {number}"))
        except LogError:  # A remark or a drawing's numbers at the side are no log, and need not be one.
            continue
    return tuple(found) if len(found) > 1 else ()


def _filled_columns(rows: Rows) -> Iterator[tuple[int, int]]:
    """Yield from where to where columns hold anything."""
    width = max((len(row) for row in rows), default=0)
    filled = [any(_filled(row[place]) for row in rows if place < len(row)) for place in range(width)]
    start: int | None = None
    for place, holds in enumerate([*filled, False]):
        if holds and start is None:
            start = place
        elif not holds and start is not None:
            yield start, place
            start = None


def _filled(cell: Any) -> bool:  # noqa: ANN401
    return not isinstance(cell, str) or not is_blank(cell)


def _text(cell: Any, dated: bool) -> str:  # noqa: ANN401, FBT001 (a midnight is a mere date to the library)
    """Return a cell's text as a log would have it; `dated`: others of its column hold a time of day as well."""
    if isinstance(cell, bool):
        return str(int(cell))
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.isoformat(" ", timespec="microseconds")
    if isinstance(cell, timedelta):
        return repr(cell.total_seconds())
    if isinstance(cell, date):
        return f"{cell.isoformat()} 00:00:00.000000" if dated else cell.isoformat()
    if isinstance(cell, time):
        return cell.isoformat(timespec="microseconds")
    return str(cell).translate(_CLEAN).strip()
