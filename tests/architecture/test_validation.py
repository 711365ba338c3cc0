"""The comparison with printed values refuses what proves nothing."""

from __future__ import annotations

import pytest

from support.validation import Printed, Row, half_last_digit, report


@pytest.fixture
def rows() -> list[dict[str, object]]:
    return []


@pytest.fixture
def compare(rows: list[dict[str, object]]) -> Printed:
    return Printed(lambda name, row: rows.append({name: row}))


@pytest.mark.parametrize(("text", "half"), [("1.2250", 5e-5), ("340.294", 5e-4), ("7.0615518e-3", 5e-11), ("490", 0.5)])
def test_tolerance_is_half_the_last_printed_digit(text: str, half: float) -> None:
    assert half_last_digit(text) == pytest.approx(half)


def test_value_within_half_a_digit_passes_and_is_kept(compare: Printed, rows: list[dict[str, object]]) -> None:
    compare(1.22504, "1.2250", source="a source", what="density")
    assert len(rows) == 1


def test_value_further_off_fails(compare: Printed) -> None:
    with pytest.raises(AssertionError, match=r"printed 1\.2250 by a source"):
        compare(1.22506, "1.2250", source="a source", what="density")


@pytest.mark.parametrize("text", ["0", "0.00", "0.4"])
def test_case_that_zero_would_pass_is_refused(compare: Printed, text: str) -> None:
    with pytest.raises(AssertionError, match="zero would pass"):
        compare(0.0, text, source="a source", what="density", absolute=0.5)


def test_report_shows_source_printed_value_ours_and_digits() -> None:
    page = report([Row("B", "y", "2.00", 2.001), Row("A", "x", "1.2250", 1.225)])
    assert page.index("## A") < page.index("## B")
    assert "| x | 1.2250 | 1.225 | all 5 |" in page
    assert "| y | 2.00 | 2.001 | 3.3 |" in page
