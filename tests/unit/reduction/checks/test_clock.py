"""Time stamps that repeat or step back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.reduction.checks.timing.clock import check_clock
from unit.reduction.channels import channel, clock


def checked(time: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[str]]:
    kept, findings = check_clock(channel("thrust", time, np.arange(time.size)))
    return kept.time, kept.values, [f.code for f in findings]


def test_a_clock_that_rises_is_passed_on_untouched() -> None:
    given_channel = channel("thrust", clock(1.0), np.ones(1000))
    kept, findings = check_clock(given_channel)
    assert kept is given_channel
    assert findings == []


def test_of_repeated_stamps_the_first_row_stays() -> None:
    time, rows, codes = checked(np.array([0.0, 1.0, 1.0, 1.0, 2.0, 3.0]))
    assert rows.tolist() == [0, 1, 4, 5]
    assert time.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert codes == ["clock-repeated"]


def test_repeats_are_counted_and_their_share_decides_the_severity() -> None:
    few, many = clock(1.0), clock(1.0)
    few[500] = few[499]
    many[1::10] = many[0::10]
    assert [f.severity for f in check_clock(channel("speed", few, few))[1]] == ["note"]
    (finding,) = check_clock(channel("speed", many, many))[1]
    assert (finding.severity, finding.count, finding.start) == ("warning", 100, 0.0)


def test_one_stamp_behind_costs_one_row() -> None:
    time = clock(1.0)
    time[600] -= 0.3
    _, rows, codes = checked(time)
    assert rows.tolist() == [i for i in range(1000) if i != 600]
    assert codes == ["clock-backward"]


def test_one_stamp_far_ahead_costs_one_row_and_not_all_that_follow() -> None:
    time = clock(1.0)
    time[400] = 1e9
    _, rows, codes = checked(time)
    assert rows.tolist() == [i for i in range(1000) if i != 400]
    assert codes == ["clock-backward"]


def test_a_clock_set_back_in_the_middle_keeps_the_longer_part() -> None:
    time = np.concatenate([clock(0.3), clock(0.7)])
    _, rows, codes = checked(time)
    assert rows.size == 700
    assert codes == ["clock-backward"]


def test_a_finding_says_how_far_back_and_where() -> None:
    time = clock(1.0)
    time[600] -= 0.25
    (finding,) = check_clock(channel("speed", time, time))[1]
    assert "1 time, by up to 0.249 s" in finding.message
    assert finding.start == pytest.approx(0.599)
    assert finding.channel == "time"


@given(st.lists(st.integers(0, 30), min_size=1, max_size=60))
def test_whatever_the_clock_the_kept_rows_rise_and_no_longer_rise_exists(stamps: list[int]) -> None:
    time = np.array(stamps, dtype=np.float64)
    kept, rows, _ = checked(time)
    assert np.all(np.diff(kept) > 0.0)
    assert np.all(np.diff(rows) > 0)
    longest = [1] * time.size  # the textbook's quadratic way
    for i in range(time.size):
        longest[i] = 1 + max((longest[j] for j in range(i) if time[j] < time[i]), default=0)
    assert kept.size == max(longest)
