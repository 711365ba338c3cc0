"""Times written as text: ISO 8601, or a time of day that may pass midnight."""

from __future__ import annotations

import re
from typing import Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

__all__ = ["seconds_of"]

_DAY: Final = 86400.0
_DAY_NANOSECONDS: Final = 86400 * 10**9
_COMMON: Final = re.compile(
    r"(?:\d{4}(?P<date>[-/])\d{2}(?P=date)\d{2}(?P<between>[T ]))?\d{2}:\d{2}:\d{2}(?:\.\d{1,9})?"
    r"(?P<zone>Z|[+-]\d{2}:?\d{2})?"
)
_BASIC: Final = r"^(\s*\d{4})(\d{2})(\d{2})([Tt ])(\d{2})(\d{2})(\d{2})"
"""ISO 8601 without hyphens and colons."""
_STAMP: Final = (
    r"^\s*"
    r"(?:(?:(?P<year>\d{4})[-/.](?P<month>\d{1,2})[-/.](?P<day>\d{1,2})|\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4})[Tt,\s]\s*)?"
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:(?P<mark>[.,:])(?P<fraction>\d+))?)?"
    r"\s*(?P<half>[AaPp])?(?:\.?[Mm]\.?)?\s*"
    r"(?:[Zz]|(?P<zone>[+-]\d{2}):?(?P<zone_minute>\d{2})?)?\s*$"
)


def seconds_of(stamps: pl.Series) -> tuple[NDArray[np.float64], float]:
    """Return seconds since the midnight before the first stamp, and when that was.

    A date is used where it begins with the year. Any other order of day and month is ambiguous and not needed: the time
    of day is then followed across midnight, by steps of more than half a day.

    Parameters
    ----------
    stamps
        Text: `2024-05-01T07:00:00.25Z`, `20240501T070000.25`,
        `2019-11-07 18:45:58:868` (a colon before the milliseconds), `23:59:59.9`, `9:05:00 PM`.

    Returns
    -------
    tuple
        Time of each stamp [s], NaN where none can be read, not cleaned: repeats and steps back stay; and the midnight
        itself, seconds since 1970 where the stamps have dates, else 0.
    """
    quick = _uniform(stamps)
    return _any_form(stamps) if quick is None else quick


def _uniform(stamps: pl.Series) -> tuple[NDArray[np.float64], float] | None:
    """Return the times of stamps that are all written as the first one is, in the commonest forms; else None."""
    first = next(iter(stamps.head(1).drop_nulls()), "")
    found = _COMMON.fullmatch(first)
    if found is None:
        return None
    clock = "%H:%M:%S%.f"
    if found["date"] is None:
        ticks = stamps.str.to_time(clock, strict=False).to_physical()
    else:
        date = f"%Y{found['date']}%m{found['date']}%d{found['between']}"
        zone = "%z" if found["zone"] and found["zone"] != "Z" else found["zone"] or ""
        ticks = stamps.str.to_datetime(date + clock + zone, time_unit="ns", strict=False).to_physical()
    if ticks.null_count():
        return None
    nanoseconds = ticks.to_numpy()
    if found["date"] is None:
        return _past_midnight(nanoseconds * 1e-9), 0.0
    midnight = nanoseconds[0] // _DAY_NANOSECONDS * _DAY_NANOSECONDS
    return (nanoseconds - midnight) * 1e-9, float(midnight * 1e-9)


def _any_form(stamps: pl.Series) -> tuple[NDArray[np.float64], float]:
    stamps = stamps.str.replace(_BASIC, "${1}-${2}-${3}${4}${5}:${6}:${7}")
    parts = stamps.str.extract_groups(_STAMP).struct.unnest()
    whole = {name: _number(parts[name]) for name in parts.columns if name not in {"half", "mark", "fraction"}}
    hour = whole["hour"]
    half = parts["half"].str.to_lowercase()
    afternoon = (half == "p").fill_null(value=False).to_numpy()
    twelve = half.is_not_null().to_numpy() & (hour == 12)
    hour = hour - np.where(twelve, 12.0, 0.0) + np.where(afternoon, 12.0, 0.0)
    seconds = 3600.0 * hour + 60.0 * whole["minute"] + np.nan_to_num(whole["second"]) + _fraction(parts)
    zone = 3600.0 * np.nan_to_num(whole["zone"])
    zone += np.copysign(60.0 * np.nan_to_num(whole["zone_minute"]), zone)
    seconds -= zone
    days = _days(parts)
    known = np.isfinite(seconds)
    if known.any() and np.isfinite(days[known]).all():
        first = days[known][0]
        return seconds + _DAY * (days - first), float(_DAY * first)
    return _past_midnight(seconds), 0.0


def _number(texts: pl.Series) -> NDArray[np.float64]:
    return texts.cast(pl.Float64, strict=False).to_numpy().astype(np.float64)


def _fraction(parts: pl.DataFrame) -> NDArray[np.float64]:
    """Return the part of a second; behind a colon it is a number of milliseconds, with or without leading zeros."""
    digits = parts["fraction"]
    decimal = np.nan_to_num(_number("0." + digits))
    counted = (parts["mark"] == ":").fill_null(value=False).to_numpy() & (
        digits.str.len_chars().fill_null(0) <= 3
    ).to_numpy()
    return np.where(counted, np.nan_to_num(_number(digits)) / 1000.0, decimal)


def _days(parts: pl.DataFrame) -> NDArray[np.float64]:
    """Return days since 1970; NaN where the calendar has no such day."""
    dates = parts["year"].str.zfill(4) + "-" + parts["month"].str.zfill(2) + "-" + parts["day"].str.zfill(2)
    return dates.str.to_date("%Y-%m-%d", strict=False).to_physical().cast(pl.Float64).to_numpy().astype(np.float64)


def _past_midnight(seconds: NDArray[np.float64]) -> NDArray[np.float64]:
    known = np.flatnonzero(np.isfinite(seconds))
    steps = np.diff(seconds[known], prepend=seconds[known[:1]])
    days = np.cumsum((steps < -_DAY / 2).astype(np.float64) - (steps > _DAY / 2).astype(np.float64))
    followed = seconds.copy()
    followed[known] += _DAY * days
    return followed
