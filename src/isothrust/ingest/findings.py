"""What was odd in a log and could be read all the same, in sentences with counts and line numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np

from isothrust.errors import Problem
from isothrust.ingest.clock import Clock
from isothrust.ingest.reading import TableReading
from isothrust.records.finding import Finding
from isothrust.tables.columns import Columns

__all__ = ["absent_finding", "table_findings"]

_SHOWN = 5


def table_findings(reading: TableReading, run: str) -> list[Finding]:
    """Return the findings of one table: rows left out, cells left out, units passed over."""
    name = Path(reading.table.file).name
    findings = [*_rows(reading, run, name), *_clock(reading, run, name)]
    findings += [*_cells(reading, run, name), *_timeless(reading, run, name)]
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


def _rows(reading: TableReading, run: str, name: str) -> list[Finding]:
    table, columns = reading.table, reading.columns
    findings = []
    if table.layout.cut_first is not None:
        findings.append(
            Finding(
                "truncated-first-line",
                "warning",
                f"{name}: the first row (line {table.layout.cut_first}) has lost its beginning",
                run=run,
                count=1,
                done="left out",
            )
        )
    if table.cut_last is not None:
        line, text = table.cut_last
        findings.append(
            Finding(
                "truncated-last-line",
                "warning",
                f'{name}: the last row (line {line}) breaks off: "{_short(text)}"',
                run=run,
                count=1,
                done="left out",
            )
        )
    if table.summary is not None:
        line, count = table.summary
        findings.append(
            Finding(
                "summary-left-out",
                "note",
                f"{name}: {_counted(count, 'line')} below the rows, from line {line} on, "
                f"{'is' if count == 1 else 'are'} a summary of them",
                run=run,
                count=count,
                done="left out",
            )
        )
    regular = columns.regular if columns is not None else None
    if regular is not None and regular.ragged:
        findings.append(
            Finding(
                "ragged-rows",
                "warning",
                f"{name}: {_counted(regular.ragged, 'row')} of {regular.ragged + regular.lines.size} "
                f"{'has' if regular.ragged == 1 else 'have'} not the {table.dialect.width} cells of the others "
                f"(line {_listed(regular.ragged_lines, regular.ragged)})",
                run=run,
                count=regular.ragged,
                done="left out",
            )
        )
    heads = regular.repeated_heads if regular is not None else ()
    if heads:
        findings.append(
            Finding(
                "repeated-head",
                "note",
                f"{name}: the head row stands again in line {_listed(heads[:_SHOWN], len(heads))}",
                run=run,
                count=len(heads),
                done="passed over",
            )
        )
    return findings


def _clock(reading: TableReading, run: str, name: str) -> list[Finding]:
    """Tell of a counter that ran over, and of a logger that restarted."""
    findings = [] if reading.restarted is None else [replace(reading.restarted, run=run)]
    clock = reading.clock
    if isinstance(clock, Clock) and clock.wraps:
        findings.append(
            Finding(
                "clock-wrapped",
                "note",
                f"{name}: the clock's counter, of {clock.wrap:.9g} s, ran over {_times(clock.wraps)} and was counted on",
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
        seen = ", ".join(f'line {line} "{_short(text)}"' for line, text in shown[:_SHOWN])
        findings.append(
            Finding(
                "unreadable-cells",
                "warning",
                f"{name}: {_counted(len(rows), 'cell')} of {quantity} "
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
            f"{name}: {_counted(len(rows), 'row')} with readings but no time "
            f"(line {_listed(map(columns.line, rows[:_SHOWN]), len(rows))})",
            run=run,
            channel="time",
            count=len(rows),
            done="left out",
        )
    ]


def _places(reading: TableReading, quantity: str) -> tuple[int, ...]:
    return reading.picked[quantity].columns if quantity in reading.picked else ()


def _unreadable(columns: Columns, column: int) -> Iterable[int]:
    return map(int, columns.unreadable[column].rows) if column in columns.unreadable else ()


def _time(clock: Clock | None, reading: TableReading, row: int) -> float | None:
    time = float("nan") if clock is None else float(clock.time[row] + reading.shift)
    return time if math.isfinite(time) else None


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" + ("" if count == 1 else "s")


def _listed(lines: Iterable[int], total: int | None = None) -> str:
    numbers = list(lines)
    return ", ".join(map(str, numbers)) + (", …" if total is not None and total > len(numbers) else "")


def _short(text: str) -> str:
    plain = " ".join(text.split())
    return plain if len(plain) <= 40 else plain[:39] + "…"
