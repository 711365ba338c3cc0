"""Figures are written to the digit that their uncertainty supports."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.present.rounding import decimals_for, plainly, with_digits, with_half_width


@pytest.mark.parametrize(
    ("value", "half", "text"),
    [
        (61.3377, 0.9412, "61.3 ± 0.9"),
        (61.3377, 0.1412, "61.34 ± 0.14"),
        (9123.4, 36.0, "9120 ± 40"),
        (9123.4, 360.0, "9100 ± 400"),
        (0.05402, 0.00083, "0.0540 ± 0.0008"),
        (-3.21, 0.5, "-3.2 ± 0.5"),
        (-0.02, 0.5, "0.0 ± 0.5"),
        (10.0, 9.96, "10 ± 10"),
        (10.0, 0.0996, "10.00 ± 0.10"),
        (1.0, 0.0297, "1.00 ± 0.03"),
        (61.3377, None, "61.34"),
        (61.3377, 0.0, "61.34"),
        (61.3377, float("inf"), "61.34"),
    ],
)
def test_value_and_half_width_end_at_the_same_digit(value: float, half: float | None, text: str) -> None:
    assert with_half_width(value, half) == text


@given(st.floats(1e-6, 1e6), st.floats(1e-6, 1e6))
def test_what_is_written_lies_within_half_a_digit_of_what_is_meant(value: float, half: float) -> None:
    written, _, width = with_half_width(value, half).partition(" ± ")
    step = 10.0 ** -decimals_for(half)
    assert abs(float(written) - value) <= 0.5 * step * (1 + 1e-9) + 1e-12 * value
    assert abs(float(width) - half) <= 0.5 * step * (1 + 1e-9)
    # the rounding never hides a third of the width nor shows more than its second digit
    assert half / 30.0 <= step <= half * 1.06


@given(st.floats(1.0, 100.0), st.floats(0.01, 99.0))
def test_a_real_difference_never_looks_as_small_as_its_own_half_width(value: float, half: float) -> None:
    if value <= half * (1 + 1e-9):
        return
    written, _, width = with_half_width(value, half, apart=True).partition(" ± ")
    assert float(written) > float(width)


def test_values_without_uncertainty_have_four_digits_and_no_exponent() -> None:
    assert [with_digits(v) for v in (14000.4, 0.00123456, 0.0, -2.0)] == ["14000", "0.001235", "0", "-2.000"]


def test_what_was_typed_comes_back_as_it_was_typed() -> None:
    assert [plainly(v) for v in (500.00000000000006, 14000.0, 0.25, 1234.5)] == ["500", "14000", "0.25", "1234.5"]
