"""Opening a log and reading its columns: what is left out is counted, and line numbers are an editor's."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from isothrust.tables.columns import read_columns
from isothrust.tables.log import LogTable, open_log

ROWS = "".join(f"{k},{k / 8},{-k}\n" for k in range(40))


def opened(folder: Path, text: str) -> LogTable:
    path = folder / "log.csv"
    path.write_text(text, encoding="utf-8", newline="")
    return open_log(path)


@pytest.mark.parametrize(
    ("end", "cut"),
    [
        ("40,5.000,-40\n", False),
        ("40,5.000,-40", False),
        ("40,5.0", True),
        ("40", True),
        ("40,5.000,-4", True),  # every last cell of the lines before has two digits or more
    ],
)
def test_a_last_row_that_breaks_off_is_noticed_and_a_whole_one_is_kept(tmp_path: Path, end: str, *, cut: bool) -> None:
    text = "".join(f"{k},{k / 8:.3f},{-k}\n" for k in range(10, 40)) + end
    table = opened(tmp_path, text)
    assert (table.cut_last is not None) is cut
    assert read_columns(table, [0]).rows == 31 - cut
    if table.cut_last is not None:
        assert table.cut_last == (31, end)


def test_digits_that_vary_in_number_are_no_sign_of_a_cut(tmp_path: Path) -> None:
    text = "".join(f"{k},{1 / (k + 1)!r}\n" for k in range(40)) + "40,0.5"
    assert opened(tmp_path, text).cut_last is None


def test_rows_of_the_wrong_length_are_left_out_and_their_lines_told(tmp_path: Path) -> None:
    lines = ROWS.splitlines()
    lines[4] = "4,0.5"
    lines[9] = "9,1.125,-9,17"
    lines[20] = "20,2.5,-2021,2.625,-21"  # two rows on one line
    columns = read_columns(opened(tmp_path, "\n".join(lines) + "\n"), [0, 2])
    assert columns.regular is not None
    assert (columns.regular.ragged, columns.regular.ragged_lines) == (3, (5, 10, 21))
    assert columns.numbers[0].tolist() == [k for k in range(40) if k not in {4, 9, 20}]
    assert columns.places.tolist() == [k for k in range(40) if k not in {4, 9, 20}]


@pytest.mark.parametrize("wanted", [[0], [1], [0, 1, 2]])
def test_a_short_and_a_long_row_do_not_make_up_for_each_other(tmp_path: Path, wanted: list[int]) -> None:
    text = ROWS.replace("\n7,0.875,-7\n", "\n7,0.875\n").replace("\n9,1.125,-9\n", "\n9,1.125,-9,1\n")
    columns = read_columns(opened(tmp_path, text), wanted)
    assert columns.rows == 38
    assert columns.regular is not None
    assert columns.regular.ragged_lines == (8, 10)


def test_a_wrong_cell_spoils_only_itself_and_is_told_with_its_line(tmp_path: Path) -> None:
    text = "# a\n\nx,y,z\n" + ROWS.replace("\n5,0.625,", "\n5,0.6.25,").replace("\n6,0.75,", "\n6,nan,")
    columns = read_columns(opened(tmp_path, text), [0, 1, 2])
    assert columns.unreadable.keys() == {1}
    assert columns.unreadable[1].shown == ((9, "0.6.25"),)
    assert columns.unreadable[1].rows.tolist() == [5]
    assert np.flatnonzero(np.isnan(columns.numbers[1])).tolist() == [5, 6]
    assert np.isfinite(columns.numbers[0]).all()


def test_a_cell_that_holds_the_delimiter_in_quotes_is_one_cell(tmp_path: Path) -> None:
    text = "x,note,z\n" + "".join(f'{k},"one, two",{-k}\n' for k in range(30))
    columns = read_columns(opened(tmp_path, text), [0, 2], [1])
    assert columns.numbers[2].tolist() == [float(-k) for k in range(30)]
    assert set(columns.texts[1].to_list()) == {"one, two"}


def test_a_long_log_is_read_like_a_short_one(tmp_path: Path) -> None:
    rows = 120_000
    text = "t,a\n" + "".join(f"{k},{k % 1000}\n" for k in range(rows))
    columns = read_columns(opened(tmp_path, text), [0, 1])
    assert columns.regular is None
    assert columns.numbers[0].tolist() == list(range(rows))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=3, max_size=30),
    st.sampled_from([",", ";", "\t", "|", "   "]),
    st.sampled_from([".", ","]),
    st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_any_number_comes_back_to_the_last_bit(
    tmp_path: Path, values: list[float], delimiter: str, decimal: str, end: str
) -> None:
    if delimiter == decimal:
        decimal = "."
    cells = [[str(k), repr(value).replace(".", decimal), "0" + decimal + "5"] for k, value in enumerate(values)]
    text = "".join(delimiter.join(row) + end for row in [["n", "value", "half"], *cells])
    columns = read_columns(opened(tmp_path, text), [0, 1, 2])
    assert columns.numbers[1].tolist() == values
    assert columns.unreadable == {}
