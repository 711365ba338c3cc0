"""Tables whose cells are numbers already, read column by column when they are asked for, beside tables of text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Protocol

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.tables.columns import Columns, Unreadable, read_columns
from isothrust.tables.dialect import Dialect
from isothrust.tables.heads import Head
from isothrust.tables.layout import Layout
from isothrust.tables.limits import MOST_COLUMNS, check_expansion, too_many_columns
from isothrust.tables.log import LogTable

__all__ = [
    "Cells",
    "NumericColumn",
    "NumericTable",
    "WordedDialect",
    "check_room",
    "columns_of",
    "emptied",
    "numeric_table",
    "step_of",
    "worded",
]

_SHOWN = 5
_NUMBER = 8
"""Bytes of one number in memory."""


class Cells(Protocol):
    """Where the cells of a numeric table come from."""

    def numbers(self, column: int) -> NDArray[np.float64]:
        """Return one column as numbers, an array that is the caller's own; NaN where a cell is blank."""
        ...

    def texts(self, column: int) -> pl.Series:
        """Return one column as text, as stamps are read."""
        ...


@dataclass(frozen=True, slots=True)
class WordedDialect(Dialect):
    """How a file that is no plain text was read, in words of its own."""

    words: str = ""

    def __str__(self) -> str:
        """Say it in words: 'Parquet, 8 columns'."""
        return self.words


@dataclass(frozen=True, slots=True)
class NumericTable(LogTable):
    """A table whose cells are not text. `data` is empty; a line number is the number of a row, from 1."""

    cells: Cells | None = None
    rows: int = 0
    steps: tuple[float | None, ...] = ()
    """Step between neighbouring readings of each column, where the format tells it [column's unit]."""
    rate: float | None = None
    """Rows a second [Hz], where the file says so itself: a waveform."""
    bits: int | None = None
    """Of a waveform's whole numbers, sign included; None for floating point."""


def worded(dialect: Dialect, words: str) -> WordedDialect:
    """Return a dialect that tells itself in these words."""
    return WordedDialect(**{each.name: getattr(dialect, each.name) for each in fields(Dialect)}, words=words)


@dataclass(frozen=True, slots=True)
class NumericColumn:
    """What is known of one column."""

    head: Head
    stamps: bool = False
    """True where it holds times of day or dates."""
    step: float | None = None
    """Between neighbouring readings, where the format tells it [column's unit]."""


def numeric_table(
    file: str, columns: Sequence[NumericColumn], rows: int, cells: Cells, *, words: str, notes: Sequence[str] = ()
) -> NumericTable:
    """Return a table of numeric columns; raises LogError with the code too-many-columns."""
    width = len(columns)
    if width > MOST_COLUMNS:
        raise too_many_columns(width, file)
    dialect = WordedDialect(
        encoding="",
        delimiter="",
        decimal=".",
        head_line=None,
        units_line=None,
        first_line=1,
        width=width,
        words=f"{words}, {width} column{'' if width == 1 else 's'}",
    )
    layout = Layout(
        dialect,
        width,
        tuple(column.head for column in columns),
        preamble=tuple((0, note) for note in notes),
        decimals=(None,) * width,
        stamps=tuple(column.stamps for column in columns),
    )
    steps = tuple(column.step for column in columns)
    return NumericTable(file=file, data=b"", layout=layout, cells=cells, rows=rows, steps=steps)


def columns_of(table: LogTable, numbers: Sequence[int], texts: Sequence[int] = ()) -> Columns:
    """Return the wanted columns of a table of any format; see `read_columns` for text."""
    if not isinstance(table, NumericTable):
        return read_columns(table, numbers, texts)
    assert table.cells is not None
    values = {place: table.cells.numbers(place) for place in numbers if place not in texts}
    unreadable = {place: found for place, column in values.items() if (found := _infinite(column)) is not None}
    words = {place: table.cells.texts(place) for place in texts}
    return Columns(rows=table.rows, numbers=values, texts=words, unreadable=unreadable)


def check_room(rows: int, columns: int, size: int, file: str) -> None:
    """Raise LogError where so many numbers would take far more memory than the file's size allows for."""
    check_expansion(float(rows) * columns * _NUMBER, size, file)


def step_of(table: LogTable, column: int) -> float | None:
    """Return the step of a column's last digit [column's unit], None where nothing tells it."""
    if isinstance(table, NumericTable):
        return table.steps[column] if table.steps else None
    decimals = table.layout.decimals[column]
    return None if decimals is None else 10.0**-decimals


def emptied(table: LogTable) -> LogTable:
    """Return a table without its cells: what is known of it, and no more."""
    return replace(table, cells=None) if isinstance(table, NumericTable) else replace(table, data=b"")


def _infinite(values: NDArray[np.float64]) -> Unreadable | None:
    """Turn infinite readings into absent ones, and return where they stood."""
    rows = np.flatnonzero(np.isinf(values))
    if not rows.size:
        return None
    shown = tuple((int(row) + 1, f"{values[row]:g}") for row in rows[:_SHOWN])
    values[rows] = np.nan
    return Unreadable(rows, shown)
