"""When each row of a log was written: from a column of time, from stamps in words, or from a rate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.errors import Problem, Where
from isothrust.ingest.stamps import seconds_of
from isothrust.ingest.units import unit_of_head
from isothrust.ingest.wraps import unwrapped
from isothrust.records.rig import ChannelPlan
from isothrust.tables.columns import Columns
from isothrust.tables.log import LogTable

__all__ = ["Clock", "clock_of_columns", "clock_of_rate", "holes_between", "own_clock", "reads_stamps"]

_RARE: Final = 0.02
"""Runs of blank cells for each reading, at most, where a channel is filled in row after row."""
_EPOCH: Final = 1e8
"""Seconds, three years: a clock in numbers that shows more counts from a date, not from the logger's start."""


@dataclass(frozen=True, slots=True)
class Clock:
    """Time of each row of one table."""

    time: NDArray[np.float64]
    """[s], zero at the first stamp; NaN where a row's stamp is blank or unreadable."""
    first: float
    """The first stamp itself [s], on whatever clock the column keeps; 0 for a clock by rate."""
    unreadable: tuple[tuple[int, str], ...] = ()
    """Row and text of stamps in words that cannot be read."""
    kind: Literal["count", "date", "rate"] = "count"
    """What it goes by: a counter from the logger's start, a date or time of day, or the number of rows."""
    wraps: int = 0
    """How often its counter ran over and was counted on."""
    wrap: float = 0.0
    """Range of that counter [s]."""

    def part(self, start: int, stop: int) -> Clock:
        """Return the clock of some of the rows, from zero at the first stamp among them."""
        time = self.time[start:stop]
        first = _first_finite(time) or 0.0
        told = tuple((row - start, text) for row, text in self.unreadable if start <= row < stop)
        return replace(self, time=time - first, first=self.first + first, unreadable=told)


def reads_stamps(plan: ChannelPlan, column: int, table: LogTable) -> bool:
    """Say whether a time column is to be read as words: stamps in the rows, no unit in the rig."""
    return plan.unit is None and (table.layout.stamps[column] or _unit_factor(plan, column, table) is None)


def clock_of_rate(rate: float, columns: Columns) -> Clock:
    """Return the clock of a log without a time column; a row that was left out took its time all the same."""
    return Clock(columns.places / rate, 0.0, kind="rate")


def clock_of_columns(plan: ChannelPlan, places: Sequence[int], table: LogTable, columns: Columns) -> Clock | Problem:
    """Return the clock of a time column, or what is wrong with it.

    Several columns of numbers (minutes, seconds) add up in the unit of the first, each by its own weight; several of
    words (a date, a time of day) make one stamp.
    """
    column = places[0]
    if column in columns.texts:
        return _clock_of_stamps(plan, places, table, columns)
    factor = plan.sign * plan.ratio * (_unit_factor(plan, column, table) or 1.0)
    values = columns.numbers[column]
    for place, pick in zip(places[1:], plan.picks[1:], strict=True):
        values += pick.weight * columns.numbers[place]
    ran_over = unwrapped(values)
    if ran_over is not None:
        values = ran_over.stamps
    first = _first_finite(values)
    if first is None:
        return _useless(plan, column, table, "holds no number", "times as numbers, in the unit that the rig states")
    values -= first  # in place: the column is nobody else's
    if factor != 1.0:
        values *= factor
    wraps, wrap = (0, 0.0) if ran_over is None else (ran_over.count, abs(ran_over.size * factor))
    kind: Literal["count", "date"] = "date" if abs(first * factor) > _EPOCH else "count"
    return Clock(values, first * factor, kind=kind, wraps=wraps, wrap=wrap)


def own_clock(
    rate: float, values: NDArray[np.float64], columns: Columns, unreadable: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Return the time of each row for a channel that keeps a rate of its own.

    A blank cell is no sample and takes no time; a cell that cannot be read was one. Where the channel is filled in row
    after row and blanks stand only at the end or in holes between, rows left out and blank ones are counted too.
    """
    sampled = np.isfinite(values)
    sampled[unreadable] = True
    filled = np.flatnonzero(sampled)
    if filled.size and filled[-1] + 1 == filled.size:
        return columns.places / rate
    if holes_between(values, unreadable):
        since: NDArray[np.int64] = columns.places - columns.places[filled[0]]
        return since / rate
    return (np.cumsum(sampled) - 1) / rate


def holes_between(values: NDArray[np.float64], unreadable: NDArray[np.int64]) -> list[tuple[int, int]]:
    """Return first and last row of each run of blank cells in a channel that has a reading in nearly every row else.

    A channel slower than the log has blanks all along: those are no holes.
    """
    sampled = np.isfinite(values)
    sampled[unreadable] = True
    filled = np.flatnonzero(sampled)
    steps = np.diff(filled)
    at = np.flatnonzero(steps > 1)
    if at.size == 0 or at.size > _RARE * filled.size:
        return []
    return [(int(filled[k]) + 1, int(filled[k + 1]) - 1) for k in at]


def _clock_of_stamps(plan: ChannelPlan, places: Sequence[int], table: LogTable, columns: Columns) -> Clock | Problem:
    column = places[0]
    stamps = columns.texts[column]
    if len(places) > 1:
        cells = [columns.texts[place].str.strip_chars() for place in places]
        stamps = pl.select(pl.concat_str(cells, separator=" ")).to_series()
    seconds, midnight = seconds_of(stamps)
    first = _first_finite(seconds)
    if first is None:
        return _useless(
            plan,
            column,
            table,
            f'holds "{next(iter(stamps.drop_nulls()), "")}", and no unit is stated for it',
            "a unit (s, ms, us, 0.1 s), or stamps in ISO 8601 or as a time of day",
            'add  unit = "ms"',
        )
    bad = np.flatnonzero(~np.isfinite(seconds) & stamps.is_not_null().to_numpy())
    unreadable = tuple((int(row), stamps[int(row)].strip()) for row in bad if stamps[int(row)].strip())
    return Clock(seconds - first, midnight + first, unreadable, kind="date")


def _useless(
    plan: ChannelPlan, column: int, table: LogTable, what: str, expected: str, fix: str | None = None
) -> Problem:
    name = table.heads[column].text if table.heads else None
    stamps = table.layout.stamps[column]
    return Problem(
        "time-without-unit" if plan.unit is None else "not-numeric",
        f"the time column {name or column + 1} {what}"
        + (": its cells are stamps in words" if stamps and plan.unit else ""),
        Where(table.file, table.dialect.first_line, name),
        expected,
        f"{fix or ('delete the unit' if stamps else 'correct the column')} under [channels.time] of the rig file",
    )


def _unit_factor(plan: ChannelPlan, column: int, table: LogTable) -> float | None:
    """Return seconds in one of the column's unit: the rig's, else the head's."""
    if plan.unit is not None:
        return plan.factor
    unit = unit_of_head(table.heads[column].unit, "time") if table.heads else None
    return None if unit is None else unit.factor


def _first_finite(values: NDArray[np.float64]) -> float | None:
    if values.size and np.isfinite(values[0]):
        return float(values[0])
    finite = np.flatnonzero(np.isfinite(values))
    return float(values[finite[0]]) if finite.size else None
