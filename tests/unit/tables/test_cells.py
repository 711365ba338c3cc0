"""Numbers as people and machines write them."""

from __future__ import annotations

import pytest

from isothrust.tables.cells import is_blank, is_open, is_stamp, parse_number, split_row


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("5.1", ".", 5.1),
        ("5,1", ",", 5.1),
        ("5,1", ".", 5.1),  # cannot be a group of digits
        ("-.5", ".", -0.5),
        ("+2.", ".", 2.0),
        ("1e-3", ".", 1e-3),
        ("1,5E2", ",", 150.0),
        ("1,234,567.5", ".", 1234567.5),
        ("1.234,5", ",", 1234.5),
        ("1.234", ".", 1.234),
        ("1,234", ",", 1.234),
        ("1 234,5", ",", 1234.5),
        ("1\u202f234.5", ".", 1234.5),
        ("\u22123.5", ".", -3.5),
        ("1'234.5", ".", 1234.5),
    ],
)
def test_a_number_is_read_in_its_usual_spellings(text: str, decimal: str, value: float) -> None:
    assert parse_number(text, decimal=decimal) == value


@pytest.mark.parametrize(
    ("text", "decimal", "words"),
    [
        ("1.234", ",", "may mean 1.234 or 1234"),
        ("1,234", ".", "may mean 1,234 or 1234"),
        ("5.1.2", ".", "not a number"),
        ("1021023x", ".", "not a number"),
        ("0x10", ".", "not a number"),
        ("1_000", ".", "not a number"),
        ("", ".", "not a number"),
        ("inf", ".", "not a number"),
    ],
)
def test_what_may_mean_two_numbers_or_none_is_refused(text: str, decimal: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        parse_number(text, decimal=decimal)


@pytest.mark.parametrize("cell", ["12:00:01", "2019-11-07 18:45:58:868", "2024-05-01T07:00:00.5Z", "1/2/2020 9:05"])
def test_stamps_of_time_are_recognised(cell: str) -> None:
    assert is_stamp(cell)


@pytest.mark.parametrize("cell", ["12.5", "a:b", "", "vbus: 14.9"])
def test_other_cells_are_no_stamps(cell: str) -> None:
    assert not is_stamp(cell)


def test_blank_words_are_blank() -> None:
    assert all(map(is_blank, ["", "  ", "NaN", "N/A", "-", "null"]))
    assert not any(map(is_blank, ["0", "x"]))


@pytest.mark.parametrize(
    ("line", "delimiter", "cells"),
    [
        ("a,,b,", ",", ["a", "", "b", ""]),
        ('"a;b" ;c', ";", ["a;b", "c"]),
        ('a,"b""c"', ",", ["a", 'b"c']),
        ('a,"b', ",", ["a", '"b']),
        ("  1   2\t3 ", " ", ["1", "2", "3"]),
        ("1 2", "", ["1 2"]),
        ('""', ",", [""]),
    ],
)
def test_a_line_splits_into_its_cells(line: str, delimiter: str, cells: list[str]) -> None:
    assert split_row(line, delimiter) == cells


@pytest.mark.parametrize(
    ("line", "still_open"), [('a,"b', True), ('a,"b"', False), ('"a""', True), ('5" a', False), ('x;"y"";"', False)]
)
def test_a_quoted_cell_left_open_is_noticed(line: str, *, still_open: bool) -> None:
    assert is_open(line) is still_open
