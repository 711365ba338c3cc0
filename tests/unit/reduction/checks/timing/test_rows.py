"""What the steps of a clock say of the logger: bursts, gaps, unevenness."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Recording
from isothrust.reduction.checks.timing.bursts import bursty, check_bursts
from isothrust.reduction.checks.timing.dropped import dropped
from isothrust.reduction.checks.timing.jitter import jitter
from isothrust.reduction.checks.timing.steps import measured, steps_of
from unit.reduction.channels import channel, clock


def found(time: np.ndarray) -> list[Finding]:
    steps = measured(channel("thrust", time, np.zeros(time.size)))
    assert steps is not None
    return [] if bursty(steps) else [*dropped(steps), *jitter(steps)]


def in_bursts(rows: int, size: int, rate: float = 1000.0) -> np.ndarray:
    """Rows that wait for the last of their burst, and are stamped 20 us apart as the buffer is written."""
    number = np.arange(rows)
    last = np.minimum((number // size + 1) * size - 1, rows - 1)
    return np.asarray(last / rate + 2e-5 * (number % size) - 2e-5 * (last % size))


@pytest.mark.parametrize("rate", [10.0, 80.0, 1000.0])
def test_an_even_clock_is_not_told_of(rate: float) -> None:
    assert found(clock(20.0, rate)) == []


@pytest.mark.parametrize("rate", [300.0, 400.0, 640.0, 900.0, 97.0])
def test_stamps_of_few_digits_are_neither_gaps_nor_jitter(rate: float) -> None:
    assert found(np.round(clock(20.0, rate), 3)) == []


def test_missing_rows_are_counted_and_the_longest_gap_is_named() -> None:
    keep = np.ones(10_000, dtype=bool)
    keep[[1000, 2500, 2501, 7000]] = False
    keep[8000:8120] = False
    (finding,) = found(clock(10.0)[keep])
    assert (finding.code, finding.severity, finding.count) == ("samples-dropped", "note", 124)
    assert "in 4 gaps" in finding.message
    assert "0.121 s from 7.999 s" in finding.message
    assert (finding.start, finding.end) == (0.999, 8.12)


def test_stamps_that_repeat_or_step_back_lose_no_rows() -> None:
    time = clock(10.0)
    time[3000] = time[2999]
    time[4000:4003] = time[3999]
    time[5000] -= 0.04
    assert found(time) == []
    time[7000:] += 0.004
    (finding,) = found(time)
    assert finding.count == 4


def test_a_long_hole_is_a_warning() -> None:
    time = clock(10.0)
    (finding,) = found(time[(time < 4.0) | (time > 4.5)])
    assert (finding.code, finding.severity) == ("samples-dropped", "warning")


def test_one_row_lost_of_ten_a_second_is_seen() -> None:
    time = np.delete(clock(20.0, 10.0), 90)
    (finding,) = found(time)
    assert (finding.code, finding.count) == ("samples-dropped", 1)


def test_an_uneven_clock_is_a_note_and_its_long_steps_are_no_gaps() -> None:
    step = 0.01 * np.random.default_rng(1).uniform(0.4, 1.6, 2000)
    (finding,) = found(np.cumsum(step))
    assert (finding.code, finding.severity) == ("clock-jitter", "note")


def test_a_pause_of_an_uneven_clock_is_a_gap() -> None:
    step = 0.01 * np.random.default_rng(1).uniform(0.4, 1.6, 2000)
    step[700] = 0.4
    assert [finding.code for finding in found(np.cumsum(step))] == ["samples-dropped", "clock-jitter"]


@pytest.mark.parametrize("size", [8, 32, 256])
def test_rows_in_bursts_are_spread_to_when_they_were_sampled(size: int) -> None:
    stamped = channel("thrust", in_bursts(9000, size), np.arange(9000.0))
    spread, (finding,) = check_bursts(stamped)
    assert (finding.code, finding.severity) == ("clock-bursts", "warning")
    assert f"bursts of about {size}, {size:.3g} ms apart" in finding.message
    assert np.array_equal(spread.values, stamped.values)
    whole = size * (9000 // size)
    assert np.abs(spread.time[:whole] - clock(9.0)[:whole]).max() < 1e-6
    assert np.all(np.diff(spread.time) > 0.0)


def test_a_hole_between_bursts_stays_a_hole() -> None:
    time = in_bursts(9000, 32)
    time[4512:] += 1.5  # a whole number of bursts, and then nothing for a while
    spread, _ = check_bursts(channel("thrust", time, np.zeros(9000)))
    true = clock(9.0) + np.where(np.arange(9000) >= 4512, 1.5, 0.0)
    assert np.abs(spread.time - true)[:8992].max() < 2e-3


@pytest.mark.parametrize("time", [clock(9.0), np.cumsum(np.random.default_rng(2).uniform(0.005, 0.015, 900))])
def test_a_clock_without_bursts_is_passed_on_untouched(time: np.ndarray) -> None:
    given = channel("thrust", time, np.zeros(time.size))
    assert check_bursts(given) == (given, [])


def test_one_hole_in_an_even_clock_makes_no_bursts() -> None:
    time = clock(9.0)
    time[4000:] += 300.0
    assert check_bursts(channel("thrust", time, np.zeros(time.size)))[1] == []


def test_blank_cells_make_no_clock_of_their_own() -> None:
    time = clock(9.0)
    other = clock(9.0, 80.0)
    channels = {
        "speed": Channel("speed", time, np.zeros(9000)),
        "voltage": Channel("voltage", np.delete(time, slice(100, 400)), np.zeros(8700)),
        "thrust": Channel("thrust", other + 3e-4, np.zeros(other.size)),
    }
    assert [steps.channel for steps in steps_of(Recording("r", channels, ()))] == ["speed", "thrust"]


def test_a_handful_of_rows_says_nothing() -> None:
    assert steps_of(Recording("r", {"speed": Channel("speed", np.arange(10.0), np.zeros(10))}, ())) == []
