"""Groups of digits and decimal marks, weighed by all cells of a column; units and groups above heads."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.tables.cells import decimal_mark, parse_number
from isothrust.tables.columns import Columns, read_columns
from isothrust.tables.decoding import Decoded
from isothrust.tables.heads import Head, find_head
from isothrust.tables.log import LogTable, log_of
from isothrust.tables.tops import groups_over, units_above


def read(text: str) -> tuple[LogTable, Columns]:
    table = log_of(Decoded(text.encode(), "utf-8", cut=False), "log.csv")
    return table, read_columns(table, range(table.dialect.width))


SPEEDS = [150 * k for k in range(80)]


@pytest.mark.parametrize("mark", [",", "."])
def test_whole_numbers_with_groups_are_told_by_the_hundreds_among_them(mark: str) -> None:
    text = "k;n\n" + "".join(f"{k};{n:,}\n".replace(",", mark) for k, n in enumerate(SPEEDS))
    _, columns = read(text)
    assert columns.numbers[1].tolist() == SPEEDS
    assert columns.unreadable == {}


def test_a_point_in_a_table_of_decimal_commas_is_never_taken_for_a_fraction() -> None:
    rows = [f"{k};{n:,};24,{k:02d}\n".replace(",", ".", 1 if n >= 1000 else 0) for k, n in enumerate(SPEEDS)]
    _, columns = read("k;n;v\n" + "".join(rows))
    assert columns.numbers[1].tolist() == SPEEDS
    assert columns.numbers[2][7] == 24.07


def test_what_may_be_a_group_or_a_fraction_is_told_and_not_guessed() -> None:
    rows = [f"{k};{k}\n" for k in range(40)]
    rows[30] = "30;1,234\n"
    _, columns = read("k;n\n" + "".join(rows))
    assert np.isnan(columns.numbers[1][30])
    assert columns.unreadable[1].shown == ((32, "1,234"),)


@pytest.mark.parametrize(
    ("cells", "found"),
    [
        (["0,123"], (",", True)),
        (["1,23"], (",", True)),
        (["1234,567"], (",", True)),
        (["1.234,5"], (",", True)),
        (["1,234.5"], (".", True)),
        (["1,234,567"], (".", True)),
        (["1,234", "999"], (".", True)),
        (["1,234", "0"], (".", False)),  # a group, or a sensor that writes a bare zero at rest: it is not read
        (["150.000", "0"], (".", False)),
        (["1,234"], (",", False)),
        (["1.234", "999"], (",", True)),
        (["1.234"], (".", False)),
        (["12", ""], (".", False)),
        ([], (".", False)),
    ],
)
def test_the_decimal_mark_is_what_the_cells_leave_no_doubt_of(cells: list[str], found: tuple[str, bool]) -> None:
    assert decimal_mark([cells]) == found


def test_a_group_is_read_as_one_only_where_the_mark_is_sure() -> None:
    assert parse_number("1,234", decimal=".", sure=True) == 1234.0
    assert parse_number("-12.345", decimal=",", sure=True) == -12345.0
    with pytest.raises(ValueError, match="may mean"):
        parse_number("1,234", decimal=".")


def test_a_head_in_a_group_is_found_by_both_names_and_by_its_own_where_it_is_the_only_one() -> None:
    heads = [Head.of_log("t"), Head.of_log("force [gf]").in_group("left"), Head.of_log("force [gf]").in_group("right")]
    assert [head.text for head in heads] == ["t", "left force [gf]", "right force [gf]"]
    assert find_head("left force", heads) == [1]
    assert find_head("force", heads) == [1, 2]
    assert find_head("Right_Force [gf]", heads) == [2]


def test_groups_and_units_stand_above_heads_that_repeat() -> None:
    text = ",left,,right,\nt,F,n,F,n\nms,gf,rpm,gf,rpm\n" + "".join(f"{k},1,2,3,4\n" for k in range(30))
    table, _ = read(text)
    assert [(head.text, head.unit) for head in table.heads] == [
        ("t", "ms"),
        ("left F", "gf"),
        ("left n", "rpm"),
        ("right F", "gf"),
        ("right n", "rpm"),
    ]
    assert (table.dialect.head_line, table.dialect.units_line, table.dialect.first_line) == (2, 3, 4)


@pytest.mark.parametrize(
    "above", [["log of the loft"], ["operator", "Anna"], ["", ""], ["1", "2", "3", "4"], ["a", "b", "c", "d", "e"]]
)
def test_a_remark_above_the_heads_is_no_row_of_groups(above: list[str]) -> None:
    assert groups_over(["t", "n", "F", "U"], above) == ()


def test_units_above_count_only_where_they_fit_the_heads() -> None:
    heads = [Head.of_log(name) for name in ("t", "axial", "supply")]
    assert units_above(heads, ["units: ms, gf"]) == {}
    assert units_above(heads, ["units; ms; gf; V"]) == {0: "ms", 1: "gf", 2: "V"}
    assert units_above(heads, ["supply: 24 V", "axial: heavy", "axial = gf"]) == {1: "gf"}
    assert units_above(heads, ["axial: gf", "axial: N"]) == {}


def test_a_unit_in_the_head_stands_before_one_above_it() -> None:
    table, _ = read("axial: N\nt [s],axial [gf]\n" + "".join(f"{k},{k}\n" for k in range(20)))
    assert table.heads[1].unit == "gf"
