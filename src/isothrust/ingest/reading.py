"""One table of a run: which of its columns are wanted, its clock, and the channels made of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from isothrust.errors import Problem, Where
from isothrust.ingest.assigning import is_waveform
from isothrust.ingest.clock import Clock, clock_of_columns, clock_of_rate, own_clock, reads_stamps
from isothrust.ingest.picks import Picked, pick_columns
from isothrust.ingest.readers.numeric import NumericTable, columns_of, step_of
from isothrust.ingest.restarts import one_passage
from isothrust.ingest.units import unit_of_head
from isothrust.ingest.waves import clock_of_waveform, full_scale
from isothrust.quantities import CHANNELS, DIMENSIONLESS, parse_unit
from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.records.rig import ChannelPlan
from isothrust.tables.columns import Columns
from isothrust.tables.log import LogTable

__all__ = ["TableReading", "choose", "make_channel", "read_table"]

_AXES = ("acceleration",)
"""Quantities whose columns stand side by side; those of every other quantity add up."""
_PROBED = 2000
_FEWEST = 10  # distinct values: a supply that was seen at three levels has shown nothing of its sensor's step


@dataclass(frozen=True, slots=True)
class TableReading:
    """What is wanted of one table, and after `read_table` what was read."""

    table: LogTable
    plans: Mapping[str, ChannelPlan]
    """Quantities read from this table, time left out."""
    picked: Mapping[str, Picked]
    """Time included, where the table has a column of it."""
    time: ChannelPlan | None
    keeps_time: bool
    """True for the log, by whose clock the others go."""
    columns: Columns | None = None
    clock: Clock | Problem | None = None
    restarted: Finding | None = None
    """What was left out, where the logger restarted."""
    beside: Mapping[str, int] = field(default_factory=dict)
    """Columns that no channel is made of and that are read all the same: name -> column."""
    shift: float = 0.0
    """What is added to the clock's time so that it counts from the log's first stamp [s]."""


def choose(table: LogTable, plans: Mapping[str, ChannelPlan], time: ChannelPlan | None, rig: str) -> TableReading:
    """Find the columns of all channels in a table; `time` is the rig's plan of the log's clock, wherever it stands."""
    own = {quantity: plan for quantity, plan in plans.items() if quantity != "time"}
    picked = {quantity: pick_columns(plan, table, rig) for quantity, plan in own.items()}
    if (
        time is not None
        and time.picks
        and not is_waveform(table)
        and ("time" in plans or any(plan.rate is None for plan in own.values()))
    ):
        picked["time"] = pick_columns(time, table, rig)
    by_rate = time is not None and not time.picks and "time" in plans
    clocked = time if by_rate or "time" in picked else None
    return TableReading(table, own, picked, clocked, keeps_time="time" in plans)


def read_table(reading: TableReading) -> TableReading:
    """Read the chosen columns and the clock."""
    table, time = reading.table, reading.time
    stamped = reading.picked["time"].columns if "time" in reading.picked else ()
    words = bool(stamped) and time is not None and reads_stamps(time, stamped[0], table)
    numbers = {column for picked in reading.picked.values() for column in picked.columns} | set(reading.beside.values())
    texts = list(stamped) if words else []
    columns = columns_of(table, sorted(numbers.difference(texts)), texts)
    clock: Clock | Problem | None = None
    if stamped and time is not None:
        clock = clock_of_columns(time, stamped, table, columns)
    elif time is not None and time.rate is not None:
        clock = clock_of_rate(time.rate, columns)
    elif isinstance(table, NumericTable) and table.rate is not None:
        clock = clock_of_waveform(table, reading.plans)
    if not isinstance(clock, Clock) or is_waveform(table):
        return replace(reading, columns=columns, clock=clock)
    kept = one_passage(columns, clock, reading.picked, table.file)
    return replace(reading, columns=kept.columns, clock=kept.clock, restarted=kept.finding)


@dataclass(frozen=True, slots=True)
class _Sum:
    """Readings of one channel before they are converted."""

    values: NDArray[np.float64]
    unreadable: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    """Rows in which a cell could not be read."""
    step: float | None = None
    """Step of the last digit [column unit, arm included]."""


def make_channel(quantity: str, reading: TableReading) -> Channel | Problem:
    """Return a channel in SI on its own clock, or why there is none."""
    plan, columns = reading.plans[quantity], reading.columns
    assert columns is not None  # read_table came first
    whole = full_scale(plan, reading.table)
    if isinstance(whole, Problem):
        return whole
    total = _sum(quantity, reading, columns)
    if plan.rate is not None and not is_waveform(reading.table):
        time: NDArray[np.float64] = own_clock(plan.rate, _one_axis(total.values), columns, total.unreadable)
    elif isinstance(reading.clock, Clock):
        time = reading.clock.time + reading.shift if reading.shift else reading.clock.time
    else:
        return _no_clock(quantity, reading)
    values, scale = _converted(plan, total.values, reading, whole)
    keep = np.isfinite(_one_axis(values)) & np.isfinite(time)
    if not keep.all():
        time, values = time[keep], values[keep]
    if not time.size:
        return _no_values(quantity, reading)
    step = None if total.step is None else abs(total.step * scale)
    return Channel(quantity, time, values, step if quantity == "throttle" else _resolution(values, step))


def _sum(quantity: str, reading: TableReading, columns: Columns) -> _Sum:
    picks, places = reading.plans[quantity].picks, reading.picked[quantity].columns
    weights = [pick.weight * (1.0 if pick.arm is None else pick.arm) for pick in picks]
    read = [_times(columns.numbers[place], weight) for place, weight in zip(places, weights, strict=True)]
    if quantity in _AXES:
        values = np.stack(read, axis=1)
    else:
        values = read[0]
        for column in read[1:]:
            values += column
    bad = [columns.unreadable[place].rows for place in places if place in columns.unreadable]
    steps = [step_of(reading.table, place) for place in places]
    known = [step for step in steps if step is not None]
    step = max(abs(w) * each for w, each in zip(weights, known, strict=True)) if len(known) == len(places) else None
    return _Sum(values, np.unique(np.concatenate(bad)) if bad else np.empty(0, dtype=np.int64), step)


def _times(values: NDArray[np.float64], factor: float) -> NDArray[np.float64]:
    """Multiply in place: a column belongs to one channel alone, and a copy of a long one costs more than reading it."""
    if factor != 1.0:
        values *= factor
    return values


def _converted(
    plan: ChannelPlan, readings: NDArray[np.float64], reading: TableReading, whole: float
) -> tuple[NDArray[np.float64], float]:
    """Return the readings in SI, made in place, and the SI value of one of them; `whole` as `full_scale` has it."""
    if plan.throttle_range is not None:
        low, high = plan.throttle_range
        readings -= low
        readings /= high - low
        return readings, 1.0 / (high - low)
    factor, offset = _factor(plan, reading)
    scale = plan.sign * plan.ratio * _pressure(plan, reading.table) / (plan.pole_pairs or 1.0)
    values = _times(readings, scale * factor * whole)
    if offset:
        values += scale * offset
    return values, scale * factor * whole


def _factor(plan: ChannelPlan, reading: TableReading) -> tuple[float, float]:
    """Return factor and offset of the rig; where it states no unit, of the unit in the log's head, if that has one."""
    if plan.unit is None and (plan.factor, plan.offset) == (1.0, 0.0) and reading.table.heads:
        head = reading.table.heads[reading.picked[plan.quantity].columns[0]]
        unit = unit_of_head(head.unit, plan.quantity)
        if unit is not None:
            return unit.factor, unit.offset
    return plan.factor, plan.offset


def _pressure(plan: ChannelPlan, table: LogTable) -> float:
    """Return pascals per reading of a microphone [Pa/V or Pa]; 1 where no sensitivity makes its level absolute."""
    if plan.quantity != "sound" or plan.sensitivity is None or (plan.unit is None and not is_waveform(table)):
        return 1.0
    dimension = DIMENSIONLESS if plan.unit is None else parse_unit(plan.unit).dimension
    if dimension == CHANNELS["voltage"].dimension:
        return 1.0 / plan.sensitivity
    return plan.full_scale / plan.sensitivity if plan.full_scale and dimension == DIMENSIONLESS else 1.0


def _one_axis(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return one number a row that is finite where all axes are."""
    return values if values.ndim == 1 else values.sum(axis=1)


def _resolution(values: NDArray[np.float64], step: float | None) -> float | None:
    """Return the last digit's step, or the coarser one between the few values that a quantised channel takes."""
    probe = np.unique(values[:: max(1, len(values) // _PROBED)])
    if not _FEWEST <= probe.size < _PROBED // 8:
        return step
    coarse = float(np.diff(probe).min())
    if coarse <= 1e-9 * float(np.abs(probe).max()):
        return step
    return coarse if step is None or coarse > 1.5 * step else step


def _no_clock(quantity: str, reading: TableReading) -> Problem:
    if isinstance(reading.clock, Problem):
        return reading.clock
    return Problem(
        "no-clock",
        f"nothing says when {quantity} was read: the file has no time column and the channel no rate",
        Where(reading.table.file),
        "the rig's time column in this file too, or a rate of the channel's own",
        f'add  rate = "1 kHz"  (the rig\'s own) under [channels.{quantity}]',
    )


def _no_values(quantity: str, reading: TableReading) -> Problem:
    table, places = reading.table, reading.picked[quantity].columns
    name = table.heads[places[0]].text if table.heads else str(places[0] + 1)
    texts = reading.columns.unreadable.get(places[0]) if reading.columns is not None else None
    shown = texts.shown[0] if texts is not None and texts.shown else None
    seen = f'"{shown[1]}"' if shown is not None else "nothing but blanks"
    return Problem(
        "not-numeric",
        f"the column of {quantity} holds no number, but {seen}",
        Where(table.file, shown[0] if shown is not None else table.dialect.first_line, name),
        "numbers with a decimal point or a decimal comma",
        f"correct the column under [channels.{quantity}] of the rig file, or take the channel out of it",
    )
