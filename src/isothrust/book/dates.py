"""Dates of runs, in ISO 8601; one that could be two days is refused."""

from __future__ import annotations

import re
from datetime import date, datetime

__all__ = ["AmbiguousDateError", "iso_date"]

_YEAR_FIRST = re.compile(
    r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]+(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?)?\s*(Z|[+-]\d{2}:?\d{2})?"
)
_YEAR_LAST = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})(?:[T ]+(\d{1,2}):(\d{2})(?::(\d{2}))?)?")


class AmbiguousDateError(ValueError):
    """The two first numbers could be day and month, or month and day."""


def iso_date(text: str) -> str:
    """Return a date, or date and time of day, in ISO 8601.

    Raises AmbiguousDateError, or ValueError where there is no such date.

    Examples
    --------
    >>> iso_date("2026-3-1 9:05")
    '2026-03-01T09:05'
    >>> iso_date("27/03/2026")
    '2026-03-27'
    """
    year_first = _YEAR_FIRST.fullmatch(text.strip())
    if year_first:
        year, month, day = (int(part) for part in year_first.groups()[:3])
        return _iso(year, month, day, year_first.groups()[3:6]) + (year_first[7] or "")
    year_last = _YEAR_LAST.fullmatch(text.strip())
    if not year_last:
        message = "not a date that can be read"
        raise ValueError(message)
    first, second, year = (int(part) for part in year_last.groups()[:3])
    if first <= 12 and second <= 12 and first != second:
        raise AmbiguousDateError(f"{date(year, second, first)} or {date(year, first, second)}")
    day, month = (first, second) if second <= 12 else (second, first)
    return _iso(year, month, day, year_last.groups()[3:6])


def _iso(year: int, month: int, day: int, clock: tuple[str | None, ...]) -> str:
    if clock[0] is None:
        return date(year, month, day).isoformat()
    hour, minute, second = (int(part or 0) for part in clock)
    moment = datetime(year, month, day, hour, minute, second)
    return moment.isoformat(timespec="minutes" if clock[2] is None else "seconds")
