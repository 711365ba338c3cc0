"""Several tables, blocks and sources in one text."""

from __future__ import annotations

import pytest

from isothrust.errors import LogError
from isothrust.tables.columns import read_columns
from isothrust.tables.decoding import Decoded
from isothrust.tables.log import log_of
from isothrust.tables.several import LOOKED_AT, tables_in
from isothrust.tables.sidebyside import blocks_beside
from isothrust.tables.tagged import tagged_tables
from isothrust.tables.tags import tags_in

RUN = "t,n,F\n" + "".join(f"{k},{k * 100},{k * k}\n" for k in range(30))
WEIGHTS = "mass;counts\n0;12\n100;219\n200;425\n"


def decoded(text: str) -> Decoded:
    return Decoded(text.encode(), "utf-8", cut=False)


def test_each_table_has_its_own_heads_and_the_line_numbers_of_the_file() -> None:
    tables = tables_in(decoded(f"weights of the day\n{WEIGHTS}\nthe run\n{RUN}"), "r.csv")
    assert [table.file for table in tables] == ["r.csv/table 1", "r.csv/table 2"]
    assert [[head.text for head in table.heads] for table in tables] == [["mass", "counts"], ["t", "n", "F"]]
    assert [(table.dialect.head_line, table.dialect.first_line) for table in tables] == [(2, 3), (8, 9)]
    assert [table.part for table in tables] == [(1, 2), (2, 2)]
    columns = read_columns(tables[1], [1])
    assert columns.numbers[1][-1] == 2900
    assert columns.line(29) == 38


def test_a_table_without_a_blank_line_above_it_begins_at_its_heads() -> None:
    first, second = tables_in(decoded(RUN + WEIGHTS.replace(";", ",")), "r.csv")
    assert read_columns(first, [0]).rows == 30
    assert read_columns(second, [0]).rows == 3


@pytest.mark.parametrize(
    "text",
    [
        RUN,
        RUN + RUN,  # the same table anew
        RUN + "\nlogger started\n" + RUN,
        "# a\n" + RUN.replace("\n5,", "\n# note, of the bench\n5,"),
        "bench,loft\nmotor,m1\n\n" + RUN,  # words above it
        "t,n,state\n" + "".join(f"{k},{k},run\n" for k in range(30)),
        "n,t,F\n" + "".join(f"run,{k},4\n" for k in range(30)),
        RUN + "overload,at,full\n",  # words below it
        "",
    ],
)
def test_one_table_is_one_table(text: str) -> None:
    assert tables_in(decoded(text), "r.csv") == ()


def test_of_a_long_text_the_middle_is_looked_at_only_where_it_is_asked_for() -> None:
    half = "t,n,F\n" + "1.000,2.000,3.000\n" * (LOOKED_AT // 12)
    text = half + WEIGHTS.replace(";", ",") + half.partition("\n")[2]
    assert tables_in(decoded(text), "r.csv") == ()
    assert len(tables_in(decoded(text), "r.csv", whole=True)) == 2


def test_blocks_that_share_heads_are_tables_of_their_own() -> None:
    rows = [f"{k},{k * 2},,{k},{k * 3}" if k < 10 else f"{k},{k * 2},,," for k in range(20)]
    table = log_of(decoded("t,n,,t,n\n" + "\n".join(rows) + "\n"), "r.csv")
    left, right = blocks_beside(table)
    assert [block.file for block in (left, right)] == ["r.csv/block 1", "r.csv/block 2"]
    assert read_columns(left, [1]).numbers[1].tolist() == [k * 2 for k in range(20)]
    assert read_columns(right, [1]).numbers[1].tolist() == [k * 3 for k in range(10)]


def test_a_blank_column_between_unlike_heads_makes_no_blocks() -> None:
    rows = "".join(f"{k},{k * 2},,{k},{k * 3}\n" for k in range(20))
    assert blocks_beside(log_of(decoded("t,n,,F,U\n" + rows), "r.csv")) == ()


MIXED = "".join(f"LC,{k},{k * 5}\nPM,{k},24.{k},{k}\n" for k in range(20))


def test_the_rows_of_a_tag_are_a_table_with_the_lines_of_the_file() -> None:
    tables = tagged_tables(decoded(MIXED), "r.csv", ["PM", "LC"])
    columns = read_columns(tables["PM"], [2, 3])
    assert columns.numbers[3].tolist() == list(range(20))
    assert (columns.line(0), columns.line(19)) == (2, 40)
    assert tables["LC"].dialect.width == 3


def test_a_head_for_all_tags_stands_above_each() -> None:
    rows = "".join(f"{k},{tag},{k},{k}\n" for k in range(20) for tag in ("LC", "PM"))
    tables = tagged_tables(decoded("t,src,a,b\n" + rows), "r.csv", ["LC"])
    assert [head.text for head in tables["LC"].heads] == ["t", "src", "a", "b"]


def test_a_tag_that_no_row_has_is_refused_with_those_there_are() -> None:
    with pytest.raises(LogError) as caught:
        tagged_tables(decoded(MIXED), "r.csv", ["LC", "PN"])
    assert caught.value.code == "no-such-tag"
    assert caught.value.problems[0].expected == 'one of the tags in column 1: "PM", "LC"'


def test_tags_alternate_and_states_do_not() -> None:
    assert tags_in(MIXED.encode()) == {"LC": 20, "PM": 20}
    assert tags_in("".join(f"{'idle' if k < 20 else 'run'},{k},5\n" for k in range(40)).encode()) is None
    assert tags_in(RUN.encode()) is None
    assert tags_in(b"") is None
