"""The rows of the one run that every made log holds, as text, and ways of writing and spoiling them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from logs.truth import HEADS, ROWS, reading

Cells = list[list[str]]


def cells(rows: Sequence[int] = range(ROWS), *, decimal: str = ".") -> Cells:
    return [[f"{reading(column, k):.3f}".replace(".", decimal) for column in HEADS] for k in rows]


def joined(rows: Sequence[Sequence[str]], delimiter: str = ",", end: str = "\n") -> str:
    return "".join(delimiter.join(row) + end for row in rows)


def table(delimiter: str = ",", decimal: str = ".", end: str = "\n") -> str:
    return joined([HEADS, *cells(decimal=decimal)], delimiter, end)


def with_time(stamp: Callable[[int], str]) -> str:
    return joined([HEADS, *([stamp(k), *row[1:]] for k, row in enumerate(cells()))])


def clock(start: datetime, pattern: str, zone: str = "") -> Callable[[int], str]:
    def stamp(k: int) -> str:
        at = start + timedelta(milliseconds=10 * k)
        return at.strftime(pattern) + f"{at.microsecond // 1000:03d}" + zone

    return stamp


def edited(change: Callable[[Cells], None]) -> str:
    """Return the plain table after its rows (the head row first) were changed in place."""
    rows = [list(HEADS), *cells()]
    change(rows)
    return joined(rows)


def finding(code: str, count: int | None, lines: Sequence[int], channel: str | None = None) -> str:
    entries = [f'code = "{code}"', f"lines = {list(lines)}"]
    entries += [f"count = {count}"] if count is not None else []
    entries += [f'channel = "{channel}"'] if channel is not None else []
    return "[[findings]]\n" + "\n".join(entries) + "\n"
