"""What was odd in a log and could be read all the same, in sentences with counts and line numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np

from isothrust.errors import Problem
from isothrust.ingest.assigning import is_waveform
from isothrust.ingest.clock import Clock, holes_between
from isothrust.ingest.reading import TableReading
from isothrust.ingest.rows import counted, listed, row_findings, short
from isothrust.records.finding import Finding
from isothrust.tables.columns import Columns

__all__ = ["absent_finding", "table_findings"]

_SHOWN = 5


def table_findings(reading: TableReading, run: str) -> list[Finding]:
    """Return the findings of one table: rows left out, cells left out, units passed over."""
    name = Path(reading.table.file).name
    if reading.table.part is not None or reading.table.tag is not None:
        name = f"{Path(reading.table.file).parent.name}/{name}"
    findings = [*row_findings(reading, run, name), *_clock(reading, run, name)]
    findings += [*_cells(reading, run, name), *_timeless(reading, run, name), *_holes(reading, run, name)]
    for quantity, picked in reading.picked.items():
        findings += [Finding("head-unit-differs", "note", note, run=run, channel=quantity) for note in picked.notes]
    return findings


def absent_finding(quantity: str, problems: Iterable[Problem], run: str) -> Finding:
    """Return the finding of a channel that the rig has and the log has not."""
    reasons = "; ".join(
        problem.what + (f" ({problem.expected})" if problem.code == "missing-column" and problem.expected else "")
        for problem in problems
    )
    return Finding(
        "channel-missing",
        "warning",
        f"{quantity} is missing: {reasons}",
        run=run,
        channel=quantity,
        effect="what depends on it is absent",
    )


def _clock(reading: TableReading, run: str, name: str) -> list[Finding]:
    """Tell of a counter that ran over, and of a logger that restarted."""
    findings = [] if reading.restarted is None else [replace(reading.restarted, run=run)]
    clock = reading.clock
    if isinstance(clock, Clock) and clock.wraps:
        findings.append(
            Finding(
                "clock-wrapped",
                "note",
                f"{name}: the clock's counter ran over {_times(clock.wraps)} at {clock.wrap:.9g} s; it was counted on",
                run=run,
                channel="time",
                count=clock.wraps,
            )
        )
    return findings


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _cells(reading: TableReading, run: str, name: str) -> list[Finding]:
    columns = reading.columns
    findings: list[Finding] = []
    if columns is None:
        return findings
    clock = reading.clock if isinstance(reading.clock, Clock) else None
    for quantity, picked in reading.picked.items():
        faults = [columns.unreadable[column] for column in picked.columns if column in columns.unreadable]
        shown = [entry for fault in faults for entry in fault.shown]
        rows = sorted({int(row) for fault in faults for row in fault.rows})
        if quantity == "time" and clock is not None and clock.unreadable:
            shown = [(columns.line(row), text) for row, text in clock.unreadable]
            rows = [row for row, _ in clock.unreadable]
        if not rows:
            continue
        seen = ", ".join(f'line {line} "{short(text)}"' for line, text in shown[:_SHOWN])
        findings.append(
            Finding(
                "unreadable-cells",
                "warning",
                f"{name}: {counted(len(rows), 'cell')} of {quantity} "
                f"{'holds' if len(rows) == 1 else 'hold'} no number ({seen}{', …' if len(rows) > _SHOWN else ''})",
                run=run,
                channel=quantity,
                start=_time(clock, reading, rows[0]),
                end=_time(clock, reading, rows[-1]),
                count=len(rows),
                done="left out",
            )
        )
    return findings


def _timeless(reading: TableReading, run: str, name: str) -> list[Finding]:
    """Tell of rows that hold readings, but no time: nobody knows when they were taken."""
    columns, clock = reading.columns, reading.clock
    if columns is None or not isinstance(clock, Clock) or np.isfinite(clock.time).all():
        return []
    clocked = [column for name, plan in reading.plans.items() if plan.rate is None for column in _places(reading, name)]
    read = [np.isfinite(columns.numbers[column]) for column in clocked]
    told = {row for row, _ in clock.unreadable}
    told |= {int(row) for column in _places(reading, "time") for row in _unreadable(columns, column)}
    lost = np.isnan(clock.time) & (np.any(read, axis=0) if read else False)
    rows = [int(row) for row in np.flatnonzero(lost) if int(row) not in told]
    if not rows:
        return []
    return [
        Finding(
            "rows-without-time",
            "warning",
            f"{name}: {counted(len(rows), 'row')} with readings but no time "
            f"(line {listed(map(columns.line, rows[:_SHOWN]), len(rows))})",
            run=run,
            channel="time",
            count=len(rows),
            done="left out",
        )
    ]


def _holes(reading: TableReading, run: str, name: str) -> list[Finding]:
    """Tell of blocks of blank cells in a channel that keeps a rate of its own and is filled in every row else."""
    columns, findings = reading.columns, list[Finding]()
    if columns is None or is_waveform(reading.table):
        return findings
    for quantity, plan in reading.plans.items():
        places = _places(reading, quantity)
        if plan.rate is None or quantity == "time" or not places:
            continue
        unreadable = np.array(sorted(_unreadable(columns, places[0])), dtype=np.int64)
        holes = holes_between(columns.numbers[places[0]], unreadable)
        if not holes:
            continue
        blank = sum(last - first + 1 for first, last in holes)
        first, last = max(holes, key=lambda hole: hole[1] - hole[0])
        findings.append(
            Finding(
                "samples-dropped",
                "warning",
                f"{name}: {counted(blank, 'cell')} of {quantity} {'is' if blank == 1 else 'are'} blank between filled "
                f"ones, in {counted(len(holes), 'block')} (the longest from line {columns.line(first)} to "
                f"{columns.line(last)}): {blank / plan.rate:.3g} s without a reading",
                run=run,
                channel=quantity,
                count=blank,
                effect="none on what was read: the clock of the channel goes on over the blank rows",
            )
        )
    return findings


def _places(reading: TableReading, quantity: str) -> tuple[int, ...]:
    return reading.picked[quantity].columns if quantity in reading.picked else ()


def _unreadable(columns: Columns, column: int) -> Iterable[int]:
    return map(int, columns.unreadable[column].rows) if column in columns.unreadable else ()


def _time(clock: Clock | None, reading: TableReading, row: int) -> float | None:
    time = float("nan") if clock is None else float(clock.time[row] + reading.shift)
    return time if math.isfinite(time) else None
