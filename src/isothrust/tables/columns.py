"""The wanted columns of a log as numbers, fast: rows are only looked at one by one where the counts do not agree."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.errors import LogError, Where
from isothrust.tables.cells import BLANK_WORDS, decimal_mark, parse_number
from isothrust.tables.log import LogTable
from isothrust.tables.mapped import source_of
from isothrust.tables.regular import NO_DELIMITER, Regular, regular_rows

__all__ = ["Columns", "Unreadable", "read_columns"]

_SHOWN = 5
_TOLD = 20_000
"""Cells that are held to tell the decimal mark of a column."""


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Cells of one column that hold something, but no number."""

    rows: NDArray[np.int64]
    """Indices among the rows read."""
    shown: tuple[tuple[int, str], ...]
    """Line number and text of the first few."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Columns of one log, by index from 0."""

    rows: int
    """Rows that were read."""
    numbers: Mapping[int, NDArray[np.float64]]
    """NaN where a cell is blank or unreadable."""
    texts: Mapping[int, pl.Series]
    """Cells as text."""
    unreadable: Mapping[int, Unreadable] = field(default_factory=dict)
    """Only columns that have any."""
    regular: Regular | None = None
    """Which rows were left out; None where every row had the right number of cells."""
    first_line: int = 1
    lines: NDArray[np.int64] | None = None
    """Line number of each row, where they do not simply follow one another."""

    def line(self, row: int) -> int:
        """Return the line number of a row."""
        lines = self.lines if self.regular is None else self.regular.lines
        return self.first_line + row if lines is None else int(lines[row])

    @property
    def places(self) -> NDArray[np.int64]:
        """Place of each row among all rows, those left out counted."""
        return np.arange(self.rows) if self.regular is None else self.regular.places

    def rows_at(self, lines: Sequence[int]) -> list[int]:
        """Return the first row below each of some lines."""
        own = self.lines if self.regular is None else self.regular.lines
        if own is None:
            return [min(max(line - self.first_line, 0), self.rows) for line in lines]
        return [int(row) for row in np.searchsorted(own, lines)]

    def part(self, start: int, stop: int) -> Columns:
        """Return the rows from `start` to `stop` alone."""
        inside = {
            column: Unreadable(rows - start, tuple(each for each in fault.shown if self._holds(each[0], start, stop)))
            for column, fault in self.unreadable.items()
            if (rows := fault.rows[(fault.rows >= start) & (fault.rows < stop)]).size
        }
        regular = self.regular
        if regular is not None:
            places = regular.places[start:stop]
            regular = replace(regular, lines=regular.lines[start:stop], places=places - places[:1])
        return replace(
            self,
            rows=stop - start,
            numbers={column: values[start:stop] for column, values in self.numbers.items()},
            texts={column: cells[start:stop] for column, cells in self.texts.items()},
            unreadable=inside,
            regular=regular,
            first_line=self.first_line + start,
            lines=None if self.lines is None else self.lines[start:stop],
        )

    def _holds(self, line: int, start: int, stop: int) -> bool:
        return self.line(start) <= line <= self.line(stop - 1)


def read_columns(table: LogTable, numbers: Sequence[int], texts: Sequence[int] = ()) -> Columns:
    """Return the wanted columns of a log.

    Rows with the wrong number of cells are never read: see `regular_rows`. A cell that is no number spoils only itself.

    Raises LogError with the code ragged-log where more rows have a wrong number of cells than a right one.
    """
    plain = _plain(table)
    if not table.layout.sure and any(table.layout.decimals):
        table, plain = (_with_mark_of(each, plain, numbers) for each in (table, plain))
    frame = _fast(plain, numbers, texts)
    if frame is not None:
        columns = _columns(plain, frame, numbers, None)
        if not _head_may_repeat(table, columns):
            return columns
    regular = regular_rows(plain if table.dialect.delimiter == " " else table)
    _refuse_mostly_ragged(table, regular)
    return _columns(table, _parsed(table, numbers, texts, regular), numbers, regular)


def _plain(table: LogTable) -> LogTable:
    """Return the log with single blanks between cells where runs of blanks part them, and without quotes.

    Without its quotes a cell that holds the delimiter makes its row too long, which the count of cells brings to light.
    """
    data = table.data
    if table.dialect.delimiter == " ":
        data = data.replace(b"\t", b" ").replace(b"\r\n", b"\n")
        while b"  " in data:
            data = data.replace(b"  ", b" ")
        data = data.replace(b"\n ", b"\n").replace(b" \n", b"\n").strip(b" ")
    if data.find(b'"', table.start) >= 0:
        data = data.replace(b'"', b"")
    return table if data is table.data else replace(table, data=data)


def _with_mark_of(table: LogTable, plain: LogTable, numbers: Sequence[int]) -> LogTable:
    """Return the log with the decimal mark that all of its cells tell, where those at its beginning left it open."""
    try:
        cells = _parsed(plain, (), numbers).head(_TOLD)
    except pl.exceptions.PolarsError:
        return table
    mark, sure = decimal_mark([cells[name].drop_nulls().to_list() for name in cells.columns])
    if not sure:
        return table
    return replace(table, layout=replace(table.layout, sure=True, dialect=replace(table.dialect, decimal=mark)))


def _fast(table: LogTable, numbers: Sequence[int], texts: Sequence[int]) -> pl.DataFrame | None:
    """Parse the log as it stands; None where not every row has the right number of cells, or where that is not sure."""
    last = table.layout.cells - 1
    watched = texts if last in numbers else [*texts, last]
    try:
        frame = _parsed(table, numbers, watched)
    except pl.exceptions.PolarsError:
        return None
    # polars fills up short rows with nulls, so the last column has none only if no row is short. It refuses a long row,
    # but where columns are left out it does not look: then the count of delimiters tells. Blank lines are short rows.
    mark = (table.dialect.delimiter or NO_DELIMITER).encode()
    if frame[_name(last)].null_count() == 0:
        even = frame.width > last or table.data.count(mark, table.start) == frame.height * last
    else:
        even = last > 0 and _even(table.data[table.start :], mark, last)
    return frame if even else None


def _even(data: bytes, mark: bytes, count: int) -> bool:
    """Say whether every line holds `count` delimiters."""
    characters = np.frombuffer(data if data.endswith(b"\n") else data + b"\n", dtype=np.uint8)
    before = np.searchsorted(np.flatnonzero(characters == mark[0]), np.flatnonzero(characters == ord("\n")))
    return bool((np.diff(before, prepend=0) == count).all())


def _name(column: int) -> str:
    return f"column_{column + 1}"


def _parsed(
    table: LogTable, numbers: Sequence[int], texts: Sequence[int], regular: Regular | None = None
) -> pl.DataFrame:
    data = table.data if regular is None else regular.text
    wanted = sorted({*numbers, *texts})
    schema = {_name(i): pl.Float64 if i in numbers else pl.String for i in range(table.layout.cells)}
    if not data:
        return pl.DataFrame(schema={_name(i): schema[_name(i)] for i in wanted})
    delimiter = table.dialect.delimiter or NO_DELIMITER
    return pl.read_csv(
        source_of(data),
        glob=False,
        has_header=False,
        schema=schema,
        columns=[_name(i) for i in wanted],
        separator=delimiter if regular is None else regular.delimiter,
        quote_char=None,
        skip_lines=table.skipped if regular is None else 0,
        decimal_comma=table.dialect.decimal == ",",
        ignore_errors=True,
    )


def _columns(table: LogTable, frame: pl.DataFrame, numbers: Sequence[int], regular: Regular | None) -> Columns:
    texts = {i: frame[_name(i)] for i in range(table.layout.cells) if _name(i) in frame.columns and i not in numbers}
    lines = None if table.lines is None else table.lines[table.skipped : table.skipped + frame.height]
    read = Columns(frame.height, {}, texts, {}, regular, table.dialect.first_line, lines)
    values: dict[int, NDArray[np.float64]] = {}
    unreadable: dict[int, Unreadable] = {}
    for column in numbers:
        values[column] = _array(frame.drop_in_place(_name(column)))
    grouped = _may_hold_groups(table)
    odd = [column for column in numbers if grouped or not np.isfinite(values[column]).all()]
    if odd:
        cells = _parsed(table, (), odd, regular)
        for column in odd:
            if grouped:
                values[column][cells[_name(column)].str.contains(".", literal=True).fill_null(value=False)] = np.nan
            if cells[_name(column)].null_count() == np.count_nonzero(~np.isfinite(values[column])):
                continue  # nothing but empty cells
            faults = _repaired(values[column], cells[_name(column)], table)
            if faults:
                shown = tuple((read.line(row), text) for row, text in faults[:_SHOWN])
                unreadable[column] = Unreadable(np.array([row for row, _ in faults]), shown)
    return replace(read, numbers=values, unreadable=unreadable)


def _array(series: pl.Series) -> NDArray[np.float64]:
    """Return an array of its own, copied once: a long column lies in many pieces."""
    values, start = np.empty(len(series)), 0
    for piece in series.get_chunks():
        values[start : start + len(piece)] = piece.to_numpy()
        start += len(piece)
    return values


def _may_hold_groups(table: LogTable) -> bool:
    """Say whether points stand in a table of decimal commas: polars would read `1.234` as a fraction."""
    return table.dialect.decimal == "," and table.data.find(b".", table.start) >= 0


def _repaired(values: NDArray[np.float64], cells: pl.Series, table: LogTable) -> list[tuple[int, str]]:
    """Read what polars could not (blanks around a number, groups of digits) into `values`; return what is no number."""
    decimal = table.dialect.decimal
    rows = np.flatnonzero(~np.isfinite(values))
    values[rows] = np.nan
    texts = cells.gather(rows).str.strip_chars()
    plain = texts
    if decimal == ",":  # with a point in it, it may be a group of digits: that is weighed below
        plain = texts.set(texts.str.contains(".", literal=True), None).str.replace(",", ".", literal=True)
    read = plain.cast(pl.Float64, strict=False).to_numpy()
    finite = np.isfinite(read)
    values[rows[finite]] = read[finite]
    filled = (
        texts.is_not_null().to_numpy()
        & ~texts.str.to_lowercase().is_in(list(BLANK_WORDS)).fill_null(value=True).to_numpy()
    )
    faults: list[tuple[int, str]] = []
    sure = table.layout.sure or decimal_mark([cells.drop_nulls().head(_TOLD).to_list()]) == (decimal, True)
    for place in np.flatnonzero(~finite & filled):
        text = texts[int(place)]
        try:
            values[rows[place]] = parse_number(text, decimal=decimal, sure=sure)
        except ValueError:
            faults.append((int(rows[place]), text))
    return faults


def _head_may_repeat(table: LogTable, columns: Columns) -> bool:
    return any(
        text == table.heads[column].text
        for column, fault in columns.unreadable.items()
        if table.heads
        for _, text in fault.shown
    )


def _refuse_mostly_ragged(table: LogTable, regular: Regular) -> None:
    if regular.ragged <= regular.lines.size:
        return
    raise LogError(
        f"{regular.ragged} of {regular.ragged + regular.lines.size} rows do not have {table.dialect.width} cells",
        code="ragged-log",
        where=Where(table.file, regular.ragged_lines[0]),
        expected="rows with one number of cells",
        fix="look at the line that is named: a terminal may have wrapped long lines, or two loggers wrote one file",
    )
