"""Small tables of words and numbers, as somebody's spreadsheet left them: the book's own tables."""

from __future__ import annotations

import os
import re
from collections import Counter
from dataclasses import dataclass

from isothrust.errors import BookError, IsothrustError, Problem, Where, raise_problems
from isothrust.tables.cells import is_open, parse_number, split_row
from isothrust.tables.decoding import decode_file
from isothrust.tables.dialect import DELIMITERS, Dialect, is_comment
from isothrust.tables.heads import Head, find_head

__all__ = ["Row", "StringTable", "read_string_table"]

_DECLARED = re.compile(r'"?sep=(.)"?\s*', re.IGNORECASE)
_LONGEST_CELL = 50  # lines; a quote that is not closed by then was never meant to open a cell
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_POINT_NUMBER = re.compile(r"[+-]?\d+\.\d+")


@dataclass(frozen=True, slots=True)
class Row:
    """One row: as many cells as there are heads; left-out cells at its end are empty."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StringTable:
    """A table with a head row; rows of blank cells, blank lines and comment lines are left out."""

    file: str
    heads: tuple[Head, ...]
    rows: tuple[Row, ...]
    dialect: Dialect
    comments: tuple[tuple[int, str], ...] = ()
    """Lines that are neither head nor row, with their numbers."""

    def index(self, name: str) -> int | None:
        """Return the index of the column that `name` means, None where there is none.

        Raises BookError (ambiguous-column) where several columns have that name.
        """
        found = find_head(name, self.heads)
        if len(found) > 1:
            names = ", ".join(f'"{self.heads[place].text}" (column {place + 1})' for place in found)
            raise BookError(
                f'{len(found)} columns are named "{name}": {names}',
                code="ambiguous-column",
                where=Where(self.file, self.dialect.head_line, name),
                expected="every column's name once",
                fix="rename or delete all but one of them",
            )
        return found[0] if found else None

    def number(self, cell: str) -> float:
        """Return a cell's number by this table's decimal mark; raises ValueError, whose text says what is wrong."""
        return parse_number(cell, decimal=self.dialect.decimal)


def read_string_table(path: str | os.PathLike[str], *, kind: type[IsothrustError] = BookError) -> StringTable:
    """Read a table with a head row from comma, semicolon, tab or bar delimited text, plain or gzip.

    Raises `kind` with the code missing-file, unreadable-file, empty-table, binary-table or ragged-row; all ragged rows
    of the file are reported together.
    """
    decoded = decode_file(path, kind=kind)
    lines = _logical_lines(decoded.data.decode("utf-8"))
    declared = _DECLARED.fullmatch(lines[0][1]) if lines else None
    if declared is not None:
        lines = lines[1:]
    used = [(number, line) for number, line in lines if not is_comment(line)]
    comments = tuple((number, line.strip()) for number, line in lines if is_comment(line))
    if not used:
        raise kind(
            "the table has no head row",
            code="empty-table",
            where=Where(os.fspath(path)),
            expected="a first row with the names of the columns",
            fix="write the head row, or delete the file",
        )
    texts = [line for _, line in used]
    delimiter, head_place = (declared[1], 0) if declared is not None else _delimiter_and_head(texts)
    comments += tuple((number, line.strip()) for number, line in used[:head_place])
    head_line, head_text = used[head_place]
    heads = _heads(head_text, delimiter)
    rows = _rows(used[head_place + 1 :], delimiter, len(heads), Where(os.fspath(path)), kind)
    first = rows[0].line if rows else head_line + 1
    dialect = Dialect(decoded.encoding, delimiter, _decimal(rows), head_line, None, first, len(heads))
    return StringTable(os.fspath(path), heads, rows, dialect, comments)


def _logical_lines(text: str) -> list[tuple[int, str]]:
    """Return the lines that are not blank with their numbers; a quoted cell may run over several lines."""
    found: list[tuple[int, str]] = []
    physical = text.replace("\r\n", "\n").split("\n")
    place = 0
    while place < len(physical):
        start, line = place, physical[place]
        end = place
        while not is_comment(line) and is_open(line) and end + 1 < len(physical) and end - start < _LONGEST_CELL:
            end += 1
            line += "\n" + physical[end]
        if end > place and not is_open(line):
            place = end
        else:
            line = physical[start]
        place += 1
        if line.strip():
            found.append((start + 1, line))
    return found


def _delimiter_and_head(lines: list[str]) -> tuple[str, int]:
    """Return the delimiter and the place of the head row: the first line that as many cells as the rows agree with."""
    best = (0.0, 0, "", 0)
    for delimiter in DELIMITERS:
        if delimiter in {"", " "}:
            continue
        counts = [len(split_row(line, delimiter)) for line in lines[:200]]
        usual = Counter(count for count in counts if count > 1).most_common(1)
        if not usual:
            continue
        # The first line may be a title; a head has at least half as many cells as the rows usually have.
        place = next(place for place, count in enumerate(counts) if count > 1 and 2 * count >= usual[0][0])
        rows = counts[place:]
        agreeing = sum(1 < count <= counts[place] for count in rows) / len(rows)
        best = max(best, (agreeing / (1 + place), counts[place], delimiter, place))
    return best[2], best[3]


def _heads(text: str, delimiter: str) -> tuple[Head, ...]:
    cells = [" ".join(cell.split()) for cell in split_row(text, delimiter)]
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return tuple(Head.of(cell) for cell in cells)


def _rows(
    lines: list[tuple[int, str]], delimiter: str, width: int, where: Where, kind: type[IsothrustError]
) -> tuple[Row, ...]:
    rows: list[Row] = []
    problems: list[Problem] = []
    for number, line in lines:
        cells = split_row(line, delimiter)
        if not any(cells):
            continue
        if any(cells[width:]):
            problems.append(
                Problem(
                    "ragged-row",
                    f"the row has {len(cells)} cells, the head names {width} columns",
                    Where(where.file, number),
                    f"at most {width} cells, a {DELIMITERS[delimiter]} inside a cell only between double quotes",
                    "put that cell in double quotes, or give the extra column a name in the head row",
                )
            )
            continue
        rows.append(Row(number, tuple((cells + [""] * width)[:width])))
    raise_problems(problems, kind)
    return tuple(rows)


def _decimal(rows: tuple[Row, ...]) -> str:
    cells = [cell for row in rows for cell in row.cells]
    commas = sum(_COMMA_NUMBER.fullmatch(cell) is not None for cell in cells)
    points = sum(_POINT_NUMBER.fullmatch(cell) is not None for cell in cells)
    return "," if commas > points else "."
