"""A logger that restarted in the middle of its file."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from isothrust.ingest.passages import passages_of, usable_passage

RAMP = np.arange(100) / 100.0


def cut(stamps: NDArray[np.float64], heads: tuple[int, ...] = (), *, counts: bool = True) -> list[tuple[int, int]]:
    return passages_of(stamps, heads, by_rate=False, counts=counts)


def test_a_clock_that_goes_on_is_one_passage_though_the_head_stands_again() -> None:
    assert cut(RAMP, (40,)) == [(0, 100)]


def test_a_head_that_stands_again_after_a_pause_begins_a_passage() -> None:
    assert cut(np.concatenate([RAMP, RAMP + 8.0]), (100,)) == [(0, 100), (100, 200)]
    assert cut(np.concatenate([RAMP, RAMP + 8.0])) == [(0, 200)]


def test_a_clock_back_to_zero_begins_a_passage_however_late_the_first_one_began() -> None:
    assert cut(np.concatenate([RAMP + 17.5, RAMP, RAMP])) == [(0, 100), (100, 200), (200, 300)]


@pytest.mark.parametrize("first", [0.0, 1.7e9])
def test_a_dated_clock_set_back_to_before_the_log_began_starts_a_passage(first: float) -> None:
    assert cut(np.concatenate([RAMP + first, RAMP + first - 3600.0]), counts=False) == [(0, 100), (100, 200)]


def test_a_step_back_that_stays_inside_the_log_is_no_restart() -> None:
    # As field clocks do that are set by a network: back by a second after minutes.
    stamps = np.concatenate([np.arange(300.0), np.arange(300.0) + 295.0]) + 1.6e9
    assert cut(stamps, counts=False) == [(0, 600)]


def test_one_broken_stamp_is_no_restart() -> None:
    for broken in (0.0, 1e9):
        stamps = RAMP + 5.0
        stamps[50] = broken
        assert cut(stamps) == [(0, 100)]


def test_late_and_repeated_rows_are_no_restart() -> None:
    stamps = RAMP.copy()
    stamps[20:23] = stamps[17:20]
    stamps[60] = stamps[59]
    assert cut(stamps) == [(0, 100)]


def test_rows_without_a_stamp_belong_to_the_passage_that_they_stand_in() -> None:
    stamps = np.concatenate([RAMP, RAMP])
    stamps[[0, 99, 101]] = np.nan
    assert cut(stamps) == [(0, 100), (100, 200)]


def test_without_a_clock_every_head_begins_a_passage() -> None:
    assert passages_of(RAMP, (30, 60), by_rate=True, counts=False) == [(0, 30), (30, 60), (60, 100)]


def test_the_longest_passage_in_which_something_moves_comes_first() -> None:
    time = np.concatenate([np.arange(60.0), np.arange(40.0), np.arange(20.0)])
    speed = np.concatenate([np.zeros(60), np.linspace(0.0, 900.0, 40), np.linspace(0.0, 900.0, 20)])
    ranked = usable_passage([(0, 60), (60, 100), (100, 120)], time, [speed])
    assert [(each.start, each.duration, each.moves) for each in ranked] == [
        (60, 39.0, True),
        (100, 19.0, True),
        (0, 59.0, False),
    ]


def test_without_a_channel_that_tells_the_longest_passage_counts() -> None:
    ranked = usable_passage([(0, 20), (20, 100)], RAMP, [])
    assert [each.start for each in ranked] == [20, 0]
