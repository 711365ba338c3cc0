"""The one passage of a log that is kept where its logger restarted, and what is said of the others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.errors import Problem, Where
from isothrust.ingest.clock import Clock
from isothrust.ingest.passages import Passage, passages_of, usable_passage
from isothrust.ingest.picks import Picked
from isothrust.ingest.wraps import never_falls
from isothrust.records.finding import Finding
from isothrust.tables.columns import Columns

__all__ = ["Kept", "one_passage"]

_TIE: Final = 0.9
"""A second passage of at least this share of the longest may be the run as well as that one."""
_TELLING: Final = ("throttle", "speed", "thrust")


@dataclass(frozen=True, slots=True)
class Kept:
    """What is left of a table whose logger restarted: columns and clock of one passage, or why none can be chosen."""

    columns: Columns
    clock: Clock | Problem
    finding: Finding | None = None


def one_passage(columns: Columns, clock: Clock, picked: Mapping[str, Picked], file: str) -> Kept:
    """Return the longest passage that may be a run; all of the log where its logger never restarted.

    Two passages are never glued: nobody knows how long the logger was off, nor whether it took its zeros anew. Where
    two are as good, the clock is the problem `several-passages`.
    """
    heads = columns.rows_at(columns.regular.repeated_heads) if columns.regular is not None else []
    if not heads and (clock.kind == "rate" or never_falls(clock.time)):
        return Kept(columns, clock)
    by_rate, counts = clock.kind == "rate", clock.kind == "count"
    found = passages_of(clock.first + clock.time, heads, by_rate=by_rate, counts=counts)
    if len(found) == 1:
        return Kept(columns, clock)
    telling: list[NDArray[np.float64]] = [
        columns.numbers[picked[quantity].columns[0]]
        for quantity in _TELLING
        if quantity in picked and picked[quantity].columns
    ]
    ranked = usable_passage(found, clock.time, telling)
    best = ranked[0]
    rivals = [other for other in ranked[1:] if other.moves == best.moves and other.duration >= _TIE * best.duration]
    if rivals:
        return Kept(columns, _tie(sorted([best, *rivals], key=lambda each: each.start), columns, file))
    finding = _told(best, ranked[1:], columns, file)
    return Kept(columns.part(best.start, best.stop), clock.part(best.start, best.stop), finding)


def _lines(passage: Passage, columns: Columns) -> str:
    return f"lines {columns.line(passage.start)} to {columns.line(passage.stop - 1)}, {passage.duration:.3g} s"


def _told(best: Passage, others: list[Passage], columns: Columns, file: str) -> Finding:
    left = ", ".join(_lines(other, columns) for other in sorted(others, key=lambda each: each.start)[:3])
    rows = sum(other.stop - other.start for other in others)
    why = "the longest in which the motor ran" if best.moves else "the longest"
    return Finding(
        "logger-restarted",
        "warning",
        f"{Path(file).name}: the logger started anew {'once' if len(others) == 1 else f'{len(others)} times'}; "
        f"{_lines(best, columns)}, {why}, is kept, and {rows} rows are not ({left}{', …' if len(others) > 3 else ''})",
        channel="time",
        count=rows,
        done="left out",
    )


def _tie(passages: list[Passage], columns: Columns, file: str) -> Problem:
    told = "; ".join(_lines(passage, columns) for passage in passages[:4])
    return Problem(
        "several-passages",
        f"the logger started anew, and {len(passages)} passages may each be the run: {told}",
        Where(file, columns.line(passages[1].start)),
        "one passage that is longer than all others, or one file for each",
        "copy each passage into a file of its own, with the head row above it, and name the one that is this run",
    )
