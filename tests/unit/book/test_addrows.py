"""Rows are added in a table's own dialect, and what stood there stays byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.addrows import rows_added
from isothrust.errors import BookError
from isothrust.tables.text import read_string_table

HEADS = "run,log,temperature [degC],note\n"


def added(path: Path, *rows: dict[str, str]) -> tuple[int, ...]:
    new = rows_added(path, "runs.csv", HEADS, rows)
    new.write()
    return new.lines


def test_a_new_table_has_the_heads_and_the_rows(tmp_path: Path) -> None:
    path = tmp_path / "runs.csv"
    assert added(path, {"run": "a", "log": 'x,"y.csv'}, {"run": "b", "temperature": "20"}) == (2, 3)
    assert path.read_text() == 'run,log,temperature [degC],note\na,"x,""y.csv",,\nb,,20,\n'
    table = read_string_table(path)
    assert [row.cells for row in table.rows] == [("a", 'x,"y.csv', "", ""), ("b", "", "20", "")]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"run,log\na,b\n", b"r,l\n"),
        (b"run,log\na,b", b"\nr,l\n"),
        (b"run;log\r\na;b", b"\r\nr;l\r\n"),
        (b"\xef\xbb\xbfrun\tlog\na\tb\n", b"r\tl\n"),
        ("run,log\nå,b\n".encode("cp1252"), b"r,l\n"),
        ("\ufeffrun,log\na,b\n".encode("utf-16-le"), "r,l\n".encode("utf-16-le")),
        (b"log,extra,run\nb,c,a\n", b"l,,r\n"),
        (b"# a comment\nrun,log\n\na,b\n\n", b"r,l\n"),
    ],
)
def test_what_stood_there_stays_byte_for_byte(tmp_path: Path, before: bytes, after: bytes) -> None:
    path = tmp_path / "runs.csv"
    path.write_bytes(before)
    lines = added(path, {"run": "r", "log": "l", "note": ""})
    assert path.read_bytes() == before + after
    assert read_string_table(path).rows[-1].line == lines[0]


def test_a_name_that_the_old_code_page_lacks_makes_the_table_utf_8(tmp_path: Path) -> None:
    path = tmp_path / "runs.csv"
    path.write_bytes("run,log\nå,b\n".encode("cp1252"))
    added(path, {"run": "дня"})
    assert path.read_text(encoding="utf-8") == "run,log\nå,b\nдня,\n"


def test_a_column_that_is_missing_or_a_compressed_table_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "runs.csv"
    path.write_text("run\n")
    with pytest.raises(BookError) as caught:
        rows_added(path, "runs.csv", HEADS, [{"run": "a", "log": "b"}])
    assert caught.value.code == "missing-column"
    assert added(path) == ()
    assert path.read_text() == "run\n"
