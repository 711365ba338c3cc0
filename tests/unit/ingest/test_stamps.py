"""Stamps of time in words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.ingest.stamps import seconds_of


def elapsed(*stamps: str | None) -> list[float]:
    seconds, _ = seconds_of(pl.Series(list(stamps), dtype=pl.String))
    return [float(value) for value in seconds - seconds[0]]


@pytest.mark.parametrize(
    ("stamps", "expected"),
    [
        (("2024-05-01T07:00:00", "2024-05-01T07:00:01.25"), 1.25),
        (("2024-05-01 07:00:00,000", "2024-05-01 07:00:00,500"), 0.5),
        (("2024/5/1 7:00:00", "2024/5/2 7:00:00"), 86400.0),
        (("2024-02-28T23:59:59Z", "2024-02-29T00:00:01Z"), 2.0),
        (("2024-03-31T01:59:59+01:00", "2024-03-31T03:00:00+02:00"), 1.0),
        (("2019-11-07 18:45:58:868", "2019-11-07 18:45:59:002"), 0.134),
        (("18:45:58:9", "18:45:58:47"), 0.038),  # milliseconds without leading zeros
        (("23:59:59.9", "00:00:00.1"), 0.2),
        (("11:59:59 AM", "12:00:01 PM"), 2.0),
        (("11:59:59 pm", "12:00:01 am"), 2.0),
        (("31.12.2023 23:59:59", "01.01.2024 00:00:00"), 1.0),
        (("9:05", "9:06"), 60.0),
    ],
)
def test_stamps_are_read(stamps: tuple[str, str], expected: float) -> None:
    assert elapsed(*stamps)[1] == pytest.approx(expected, abs=1e-9)


def test_midnight_is_passed_twice_and_a_stamp_that_comes_late_is_not_a_day_off() -> None:
    stamps = ("23:59:59.9", "00:00:00.0", "23:59:59.95", "00:00:00.1", "12:00:00", "23:59:59.9", "00:00:00")
    assert elapsed(*stamps) == pytest.approx([0.0, 0.1, 0.05, 0.2, 43200.1, 86400.0, 86400.1])


def test_blank_and_broken_stamps_are_gaps_not_zeros() -> None:
    values = elapsed("10:00:00", None, "", "10:0x:02", "10:00:03")
    assert np.isnan(values[1:4]).all()
    assert values[4] == 3.0


def test_a_day_that_the_calendar_does_not_have_falls_back_to_the_time_of_day() -> None:
    assert elapsed("2024-02-30 10:00:00", "2024-02-30 10:00:02") == [0.0, 2.0]


def test_the_midnight_that_dated_stamps_count_from_is_known() -> None:
    seconds, midnight = seconds_of(pl.Series(["1970-01-02T00:00:05"]))
    assert (seconds[0], midnight) == (5.0, 86400.0)
    assert seconds_of(pl.Series(["00:00:05"]))[1] == 0.0


@given(
    st.datetimes(datetime(1971, 1, 1), datetime(2099, 1, 1)),
    st.integers(0, 3 * 86400 * 1000),
    st.integers(-14 * 60, 14 * 60),
)
def test_iso_stamps_agree_with_the_standard_library(start: datetime, later: int, zone: int) -> None:
    begin = start.replace(microsecond=0, tzinfo=UTC)
    end = begin + timedelta(milliseconds=later)
    away = end.astimezone(timezone(timedelta(minutes=zone)))
    stamps = [begin.isoformat(timespec="milliseconds"), away.isoformat(timespec="milliseconds")]
    assert elapsed(*stamps)[1] == pytest.approx(later / 1000.0, abs=1e-6)
