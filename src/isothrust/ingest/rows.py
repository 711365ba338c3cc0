"""What was odd in the rows of a log: which table was read, rows that were left out, heads that stand again."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from isothrust.ingest.reading import TableReading
from isothrust.records.finding import Finding
from isothrust.tables.log import LogTable
from isothrust.tables.regular import Regular

__all__ = ["counted", "listed", "row_findings", "short"]

_SHOWN: Final = 5


def row_findings(reading: TableReading, run: str, name: str) -> list[Finding]:
    """Return the findings about the rows of one table; `name` is what the file is called in them."""
    regular = reading.columns.regular if reading.columns is not None else None
    found = [*_chosen(reading.table, run), *_cut(reading.table, run, name), *_summary(reading.table, run, name)]
    return found if regular is None else [*found, *_irregular(regular, reading.table.dialect.width, run, name)]


def _chosen(table: LogTable, run: str) -> list[Finding]:
    """Tell which table of a file was read."""
    if table.part is None:
        return []
    number, count = table.part
    return [
        Finding(
            "table-chosen",
            "note",
            f"{Path(table.file).parent.name} holds {count} tables one below the other; number {number}, from "
            f"line {table.dialect.first_line} on, was read: it has the rig's columns",
            run=run,
        )
    ]


def _cut(table: LogTable, run: str, name: str) -> list[Finding]:
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
                f'{name}: the last row (line {line}) breaks off: "{short(text)}"',
                run=run,
                count=1,
                done="left out",
            )
        )
    return findings


def _summary(table: LogTable, run: str, name: str) -> list[Finding]:
    if table.summary is None:
        return []
    line, count = table.summary
    return [
        Finding(
            "summary-left-out",
            "note",
            f"{name}: {counted(count, 'line')} below the rows, from line {line} on, "
            f"{'is' if count == 1 else 'are'} a summary of them",
            run=run,
            count=count,
            done="left out",
        )
    ]


def _irregular(regular: Regular, width: int, run: str, name: str) -> list[Finding]:
    findings = []
    if regular.ragged:
        findings.append(
            Finding(
                "ragged-rows",
                "warning",
                f"{name}: {counted(regular.ragged, 'row')} of {regular.ragged + regular.lines.size} "
                f"{'has' if regular.ragged == 1 else 'have'} not the {width} cells of the others "
                f"(line {listed(regular.ragged_lines, regular.ragged)})",
                run=run,
                count=regular.ragged,
                done="left out",
            )
        )
    heads = regular.repeated_heads
    if heads:
        findings.append(
            Finding(
                "repeated-head",
                "note",
                f"{name}: the head row stands again in line {listed(heads[:_SHOWN], len(heads))}",
                run=run,
                count=len(heads),
                done="passed over",
            )
        )
    return findings


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: 1 row, 2 rows."""
    return f"{count} {noun}" + ("" if count == 1 else "s")


def listed(lines: Iterable[int], total: int | None = None) -> str:
    """Return line numbers with commas between, and a mark where there are more."""
    numbers = list(lines)
    return ", ".join(map(str, numbers)) + (", …" if total is not None and total > len(numbers) else "")


def short(text: str) -> str:
    """Return a text in one line of at most forty signs."""
    plain = " ".join(text.split())
    return plain if len(plain) <= 40 else plain[:39] + "…"
