"""Counters that run over at 16 or 32 bits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.ingest.wraps import unwrapped


@given(
    bits=st.sampled_from([16, 32]),
    unit=st.sampled_from([1.0, 1e-3, 1e-6]),
    start=st.floats(0.0, 0.999),
    steps=st.lists(st.integers(1, 5), min_size=30, max_size=200),
)
def test_a_counter_that_ran_over_is_counted_on_as_if_it_never_had(
    bits: int, unit: float, start: float, steps: list[int]
) -> None:
    size = 2**bits
    true = int(start * size) + np.cumsum(np.array(steps)) * (size // 300)
    found = unwrapped((true % size) * unit)
    wraps = true[-1] // size - true[0] // size
    if wraps == 0:
        assert found is None
    else:
        assert found is not None
        assert found.count == wraps
        np.testing.assert_allclose(np.diff(found.stamps), np.diff(true) * unit, rtol=1e-6, atol=unit * 1e-3)


def test_a_signed_counter_runs_over_to_its_negative_end() -> None:
    found = unwrapped(np.array([32740.0, 32750.0, 32760.0, -32766.0, -32756.0]))
    assert found is not None
    assert np.diff(found.stamps).tolist() == [10.0] * 4


def test_blank_stamps_stay_blank_past_a_wrap() -> None:
    found = unwrapped(np.array([65500.0, np.nan, 65520.0, np.nan, 4.0, 14.0, 24.0]))
    assert found is not None
    assert np.isnan(found.stamps).tolist() == [False, True, False, True, False, False, False]
    assert found.stamps[4] == 65540.0


@pytest.mark.parametrize(
    "stamps",
    [
        [0.0, 10.0, 20.0, 0.0, 10.0, 20.0],  # began anew long before the range of any counter
        [0.0, 30000.0, 60000.0, 0.0, 30000.0],  # steps of half a counter's range tell nothing
        [0.0, 1e9, 20.0, 30.0],  # one broken stamp
        [10.0, 20.0, 30.0],
        [65530.0, 9.0, 70000.0, 70010.0],  # it showed more than 16 bits
        [],
    ],
)
def test_what_is_no_wrap_is_left_as_it_stands(stamps: list[float]) -> None:
    assert unwrapped(np.array(stamps)) is None
