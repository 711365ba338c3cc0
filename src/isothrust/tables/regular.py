"""The slow way through an irregular log: line by line, keeping the rows that have as many cells as they should."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.tables.cells import is_blank, split_row
from isothrust.tables.dialect import is_comment
from isothrust.tables.log import LogTable

__all__ = ["NO_DELIMITER", "Regular", "regular_rows"]

NO_DELIMITER: Final = "\x1f"
"""What parts the cells of a table of one column: a character that no log contains."""

_BLANKS = re.compile(r"[ \t]+")
_SHOWN = 5


class _Kind(Enum):
    ROW = "row"
    NOTHING = "blank or comment"
    HEADS = "head row again"
    RAGGED = "row with the wrong number of cells"


@dataclass(frozen=True, slots=True)
class Regular:
    """The rows that fit, and what was left out on the way."""

    text: bytes
    """Rows that fit, one a line, without quotes."""
    delimiter: str
    """What parts their cells."""
    lines: NDArray[np.int64]
    """Line number of each row kept."""
    places: NDArray[np.int64]
    """Place of each row kept among all rows, those left out counted: what a clock by rate goes by."""
    ragged: int
    """Rows with the wrong number of cells."""
    ragged_lines: tuple[int, ...]
    """Line numbers of the first few of them."""
    repeated_heads: tuple[int, ...]
    """Line numbers of the head row, met again between the rows."""


def regular_rows(table: LogTable) -> Regular:
    """Return the rows of a log that have the right number of cells, with their line numbers.

    Blank lines and comments are passed over. At a row's end a cell may be missing where every other row ends in a
    delimiter, and empty ones may be too many. Every other row with too few or too many cells is left out and counted:
    nobody can say which of its cells belongs to which column.
    """
    kept: list[str] = []
    lines: list[int] = []
    places: list[int] = []
    ragged: list[int] = []
    heads: list[int] = []
    rows = _lines(table)
    # Where cells are quoted they may hold the delimiter: then the rows are written anew with another one.
    delimiter = table.dialect.delimiter
    written = NO_DELIMITER if not delimiter or any('"' in line for line in rows) else delimiter
    for number, line in enumerate(rows, table.dialect.first_line):
        kind, row = _sorted(line, table, written)
        if kind is _Kind.ROW:
            kept.append(row)
            lines.append(number)
            places.append(len(kept) - 1 + len(ragged))
        elif kind is _Kind.RAGGED:
            ragged.append(number)
        elif kind is _Kind.HEADS:
            heads.append(number)
    return Regular(
        ("\n".join(kept) + "\n" * bool(kept)).encode("utf-8"),
        written,
        np.array(lines, dtype=np.int64),
        np.array(places, dtype=np.int64),
        len(ragged),
        tuple(ragged[:_SHOWN]),
        tuple(heads[:_SHOWN]),
    )


def _lines(table: LogTable) -> list[str]:
    text = table.data[table.start :].decode("utf-8", errors="replace")
    text = text.replace("\r\n", "\n").replace(NO_DELIMITER, "\ufffd")
    if table.dialect.delimiter == " ":
        return [line.strip(" ") for line in _BLANKS.sub(" ", text).split("\n")]
    return text.split("\n")


def _sorted(line: str, table: LogTable, written: str) -> tuple[_Kind, str]:
    """Say what a line is, and where it is a row give it with exactly `layout.cells` cells, parted by `written`."""
    wanted, width, delimiter = table.layout.cells, table.dialect.width, table.dialect.delimiter
    if delimiter and '"' not in line and line.count(delimiter) == wanted - 1:
        # Nearly every line of a log goes this way; only one that begins like the head row is looked at again.
        row = line if written == delimiter else line.replace(delimiter, written)
        return (_Kind.HEADS, "") if _is_head(line, table) else (_Kind.ROW, row)
    if not line.strip() or is_comment(line):
        return _Kind.NOTHING, ""
    cells = split_row(line, delimiter)
    if len(cells) < width or not all(map(is_blank, cells[width:])) or (line.count('"') % 2):
        return _Kind.RAGGED, ""
    if _is_head(line, table):
        return _Kind.HEADS, ""
    return _Kind.ROW, written.join((cells + [""] * wanted)[:wanted])


def _is_head(line: str, table: LogTable) -> bool:
    heads = table.heads
    if not heads or line.lstrip(' "')[:1] != heads[0].text[:1]:
        return False
    return split_row(line, table.dialect.delimiter)[: len(heads)] == [head.text for head in heads]
