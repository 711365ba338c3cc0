"""Fewer points that draw the same picture."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from isothrust.science.thinning import extremes_kept

FINITE = st.floats(-1e6, 1e6, allow_nan=False)
RECORDS = st.integers(1, 300).flatmap(lambda n: hnp.arrays(np.float64, n, elements=FINITE))


@given(RECORDS, st.integers(1, 40))
def test_the_greatest_and_the_least_reading_survive(values: np.ndarray, stretches: int) -> None:
    kept = extremes_kept(np.arange(values.size), values, stretches=stretches)
    assert values[kept].max() == values.max()
    assert values[kept].min() == values.min()


@given(RECORDS, st.integers(1, 40))
def test_points_kept_are_few_rising_and_end_where_the_record_ends(values: np.ndarray, stretches: int) -> None:
    kept = extremes_kept(np.arange(values.size), values, stretches=stretches)
    assert kept.size <= 2 * stretches + 2
    assert np.all(np.diff(kept) > 0)
    assert (kept[0], kept[-1]) == (0, values.size - 1)


@given(RECORDS, st.integers(1, 40))
def test_within_every_stretch_of_time_the_extremes_are_drawn(values: np.ndarray, stretches: int) -> None:
    time = np.arange(values.size, dtype=float)
    kept = extremes_kept(time, values, stretches=stretches)
    drawn = np.interp(time, time[kept], values[kept])
    stretch = np.minimum(np.floor(time / max(time[-1], 1.0) * stretches), stretches - 1)
    for number in np.unique(stretch):
        inside = stretch == number
        assert drawn[inside].max() >= values[inside].max()
        assert drawn[inside].min() <= values[inside].min()


def test_one_spike_among_a_million_readings_survives() -> None:
    values = np.zeros(1_000_000)
    values[123_457] = 1.0
    kept = extremes_kept(np.arange(values.size), values, stretches=100)
    assert kept.size < 10
    assert 1.0 in values[kept]


def test_a_wave_too_fast_for_the_picture_is_drawn_as_its_whole_height_and_not_as_a_slow_one() -> None:
    time = np.arange(10_000) / 1000.0
    kept = extremes_kept(time, np.sin(2 * np.pi * 99.0 * time), stretches=50)
    drawn = np.sin(2 * np.pi * 99.0 * time[kept])
    # every point kept is a crest or a trough, and there are both in every stretch: an envelope
    assert np.abs(drawn[1:-1]).min() > 0.99
    assert np.count_nonzero(drawn > 0.99) == np.count_nonzero(drawn < -0.99) == 50


def test_a_flat_line_needs_its_ends_only() -> None:
    assert extremes_kept(np.arange(1000), np.full(1000, 7.0), stretches=50).tolist() == [0, 999]


def test_readings_that_are_missing_are_left_out() -> None:
    values = np.array([np.nan, 1.0, np.nan, 5.0, 2.0, np.nan])
    assert extremes_kept(np.arange(6), values, stretches=3).tolist() == [1, 3, 4]
    assert extremes_kept(np.arange(3), np.full(3, np.nan), stretches=2).size == 0


def test_stretches_are_of_time_and_not_of_samples() -> None:
    time = np.concatenate([np.linspace(0.0, 0.9, 900), [5.0, 9.0]])
    values = np.concatenate([np.linspace(0.0, 1.0, 900), [-3.0, 4.0]])
    kept = extremes_kept(time, values, stretches=3)
    assert kept.tolist() == [0, 899, 900, 901]


@pytest.mark.parametrize(("time", "stretches"), [([0, 1], 3), ([0, 1, 2], 0)])
def test_what_makes_no_sense_is_refused(time: list[float], stretches: int) -> None:
    with pytest.raises(ValueError, match="one reading a time"):
        extremes_kept(time, [1.0, 2.0, 3.0], stretches=stretches)
