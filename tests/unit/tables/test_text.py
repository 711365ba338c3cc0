"""The book's own tables come back from a spreadsheet in many dress codes, and read the same."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from isothrust.errors import BookError, LogError, ProblemsError
from isothrust.tables.text import StringTable, read_string_table


def _read(folder: Path, data: bytes | str, name: str = "propellers.csv") -> StringTable:
    path = folder / name
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return read_string_table(path)


PLAIN = "design,maker,diameter [in],note\nTern,Cove,5.1,quick\nEider,Cove,7,\n"
DRESSED = {
    "plain": PLAIN.encode(),
    "carriage returns": PLAIN.replace("\n", "\r\n").encode(),
    "old line ends": PLAIN.replace("\n", "\r").encode(),
    "byte-order mark": b"\xef\xbb\xbf" + PLAIN.encode(),
    "utf-16": PLAIN.encode("utf-16"),
    "utf-16 without mark": PLAIN.encode("utf-16-be"),
    "tabs": PLAIN.replace(",", "\t").encode(),
    "bars": PLAIN.replace(",", " | ").encode(),
    "semicolons": PLAIN.replace(",", ";").encode(),
    "semicolons and decimal commas": PLAIN.replace(",", ";").replace("5.1", "5,1").encode(),
    "declared delimiter": b"sep=;\r\n" + PLAIN.replace(",", ";").replace("5.1", "5,1").encode(),
    "quoted decimal comma": PLAIN.replace("5.1", '"5,1"').encode(),
    "all quoted": b'"design","maker","diameter [in]","note"\n"Tern","Cove","5.1","quick"\n"Eider","Cove","7",""\n',
    "no line end at the end": PLAIN.rstrip("\n").encode(),
    "trailing delimiters": PLAIN.replace("\n", ",,\n").encode(),
    "left-out last cells": PLAIN.replace("7,\n", "7\n").encode(),
    "blank lines and blank rows": PLAIN.replace("Eider", "\n,,,\n   \nEider").encode(),
    "comments": b"# our propellers\n" + PLAIN.replace("Eider", "# bought later, in May\nEider").encode(),
    "title above": b"Propellers of this spring\n\n" + PLAIN.encode(),
    "compressed": gzip.compress(PLAIN.encode()),
}


@pytest.mark.parametrize("dress", DRESSED)
def test_the_same_table_reads_the_same_however_it_was_saved(tmp_path: Path, dress: str) -> None:
    table = _read(tmp_path, DRESSED[dress])
    assert [head.text for head in table.heads] == ["design", "maker", "diameter [in]", "note"]
    assert [(head.name, head.unit) for head in table.heads][2] == ("diameter", "in")
    assert [(row.cells[:2], row.cells[3]) for row in table.rows] == [
        (("Tern", "Cove"), "quick"),
        (("Eider", "Cove"), ""),
    ]
    assert [table.number(row.cells[2]) for row in table.rows] == [5.1, 7.0]


def test_line_numbers_are_those_an_editor_shows(tmp_path: Path) -> None:
    table = _read(tmp_path, '# why\n\ndesign,note\nTern,"first\nsecond"\n\nEider,x\n')
    assert table.dialect.head_line == 3
    assert [(row.line, row.cells) for row in table.rows] == [(4, ("Tern", "first\nsecond")), (7, ("Eider", "x"))]
    assert table.comments == ((1, "# why"),)


def test_an_inch_mark_opens_no_quoted_cell(tmp_path: Path) -> None:
    table = _read(tmp_path, 'design,note\n5" Tern,soft\n7" Eider,"hard, really"\n')
    assert [row.cells for row in table.rows] == [('5" Tern', "soft"), ('7" Eider', "hard, really")]


def test_accents_of_an_old_windows_code_page_are_read(tmp_path: Path) -> None:
    table = _read(tmp_path, "design,note\nM\xf6we,-5 \xb0C\n".encode("cp1252"))
    assert table.rows[0].cells == ("Möwe", "-5 °C")
    assert table.dialect.encoding == "cp1252"


def test_a_table_of_heads_only_has_no_rows(tmp_path: Path) -> None:
    table = _read(tmp_path, "run,design,note\n")
    assert (len(table.heads), table.rows) == (3, ())


def test_all_rows_with_too_many_cells_are_named_together(tmp_path: Path) -> None:
    with pytest.raises(BookError) as caught:
        _read(tmp_path, "design,diameter [in]\nTern,5,1\nEider,6\nSkua,7,2\n")
    assert [(p.code, p.where.line) for p in caught.value.problems if p.where] == [("ragged-row", 2), ("ragged-row", 4)]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty-table"),
        (b" \n\n", "empty-table"),
        (b"# only words\n", "empty-table"),
        (bytes(range(256)) * 4, "binary-table"),
        (b"PK\x03\x04 and the rest", "binary-table"),
    ],
)
def test_what_is_no_table_is_refused_by_name(tmp_path: Path, data: bytes, code: str) -> None:
    with pytest.raises(BookError) as caught:
        _read(tmp_path, data)
    assert caught.value.code == code
    assert caught.value.problems[0].fix


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(BookError) as missing:
        read_string_table(tmp_path / "none.csv")
    with pytest.raises(LogError) as folder:
        read_string_table(tmp_path, kind=LogError)
    assert (missing.value.code, folder.value.code) == ("missing-file", "unreadable-file")


def test_a_column_is_found_though_its_case_and_unit_differ(tmp_path: Path) -> None:
    table = _read(tmp_path, "Design, Diameter [in]\nTern,5\n")
    assert (table.index("design"), table.index("diameter"), table.index("mass")) == (0, 1, None)


def test_two_columns_of_one_name_are_an_error_with_both_places(tmp_path: Path) -> None:
    table = _read(tmp_path, "design,mass [g],Mass\nTern,5,6\n")
    with pytest.raises(BookError, match=r"column 2.*column 3") as caught:
        table.index("mass")
    assert caught.value.code == "ambiguous-column"
    assert not isinstance(caught.value, ProblemsError)
