"""The slow way through an irregular log: line by line, keeping the rows that have as many cells as they should."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.tables.cells import is_blank, split_row
from isothrust.tables.dialect import is_comment
from isothrust.tables.log import LogTable

__all__ = ["NO_DELIMITER", "Regular", "regular_rows"]

NO_DELIMITER: Final = "\x1f"
"""What parts the cells of a table of one column: a character that no log contains."""

_SHOWN = 5


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
    """Line numbers of the head row, met again between the rows; all of them."""


def regular_rows(table: LogTable) -> Regular:
    """Return the rows of a log that have the right number of cells, with their line numbers.

    Blank lines and comments are passed over. At a row's end a cell may be missing where every other row ends in a
    delimiter, and empty ones may be too many. Every other row with too few or too many cells is left out and counted:
    nobody can say which of its cells belongs to which column.
    """
    rows = _lines(table)
    # Where cells are quoted they may hold the delimiter: then the rows are written anew with another one.
    delimiter = table.dialect.delimiter
    quoted = any('"' in line for line in rows)
    written = NO_DELIMITER if quoted or not delimiter else delimiter
    fits = np.array([_fits(line, table) for line in rows]) if quoted or not delimiter else _counted(rows, table)
    if delimiter != written and quoted:
        rows = [line.replace(delimiter, written) if fit else line for line, fit in zip(rows, fits, strict=True)]
    left_out: list[int] = []
    heads: list[int] = []
    for place in np.flatnonzero(~fits | _like_heads(rows, table)):
        line = rows[place]
        if _is_head(line, table, written if fits[place] else delimiter):
            heads.append(int(place))
            fits[place] = False
        elif not fits[place] and line.strip() and not is_comment(line):
            mended = _mended(line, table, written)
            if mended is None:
                left_out.append(int(place))
            else:
                rows[place], fits[place] = mended, True
    left_out = _without_titles(left_out, heads, rows)
    kept = np.flatnonzero(fits)
    return Regular(
        "".join(rows[place] + "\n" for place in kept).encode("utf-8"),
        written,
        _numbers(kept, table),
        np.arange(kept.size) + np.searchsorted(np.array(left_out, dtype=np.int64), kept),
        len(left_out),
        tuple(map(int, _numbers(left_out[:_SHOWN], table))),
        tuple(map(int, _numbers(heads, table))),
    )


def _numbers(places: Sequence[int] | NDArray[np.int64], table: LogTable) -> NDArray[np.int64]:
    """Return the line numbers of rows given by their place below the heads."""
    found = np.asarray(places, dtype=np.int64) + table.skipped
    return found + 1 if table.lines is None else table.lines[found]


def _without_titles(left_out: list[int], heads: list[int], rows: list[str]) -> list[int]:
    """Return the lines left out but for those of words right above a head that stands again: a logger's greeting."""
    titles: set[int] = set()
    for head in heads:
        place = head - 1
        while place >= 0 and not any(character.isdigit() for character in rows[place][:1]):
            if rows[place].strip() and place not in left_out:
                break
            titles.add(place)
            place -= 1
    return [place for place in left_out if place not in titles]


def _lines(table: LogTable) -> list[str]:
    text = table.data[table.start :].decode("utf-8", errors="replace")
    return text.replace("\r\n", "\n").replace(NO_DELIMITER, "\ufffd").split("\n")


def _counted(rows: list[str], table: LogTable) -> NDArray[np.bool_]:
    """Say of each line whether it has as many delimiters as a row."""
    delimiter, wanted = table.dialect.delimiter, table.layout.cells - 1
    return np.array([line.count(delimiter) == wanted for line in rows])


def _fits(line: str, table: LogTable) -> bool:
    """Say whether a line is a row as it stands, where none is quoted in it."""
    if not table.dialect.delimiter:
        return bool(line.strip()) and '"' not in line and not is_comment(line)
    return '"' not in line and line.count(table.dialect.delimiter) == table.layout.cells - 1


def _like_heads(rows: list[str], table: LogTable) -> NDArray[np.bool_]:
    """Say of each line whether it begins as the head row does; only these are compared with it."""
    if not table.heads:
        return np.zeros(len(rows), dtype=bool)
    beginning = table.heads[0].text[:1]
    return np.array([line.lstrip(' "')[:1] == beginning for line in rows])


def _mended(line: str, table: LogTable, written: str) -> str | None:
    """Return a line as a row of exactly `layout.cells` cells, or None where its cells are too few or too many."""
    wanted, width = table.layout.cells, table.dialect.width
    cells = split_row(line, table.dialect.delimiter)
    if len(cells) < width or not all(map(is_blank, cells[width:])) or line.count('"') % 2:
        return None
    return written.join((cells + [""] * wanted)[:wanted])


def _is_head(line: str, table: LogTable, delimiter: str) -> bool:
    heads = table.heads
    if not heads or line.lstrip(' "')[:1] != heads[0].text[:1]:
        return False
    return split_row(line, delimiter)[: len(heads)] == [head.text for head in heads]
