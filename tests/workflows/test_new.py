"""A new book is empty, explains itself, and is read without a remark."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.book.rigfile import parse_rig
from isothrust.errors import BookError
from isothrust.workflows.new import create
from isothrust.workflows.reduce import reduce_book
from support.small_books import tree


def test_a_new_book_is_read_without_a_remark(tmp_path: Path) -> None:
    made = create(tmp_path / "loft book")
    book = load_book(tmp_path / "loft book")
    assert (book.title, book.designs, book.campaigns, book.findings) == ("loft book", {}, {}, ())
    assert set(tree(tmp_path / "loft book")) == set(made.files)
    assert (tmp_path / "loft book" / "campaigns").is_dir()
    assert any("isothrust add" in step for step in made.next_steps)


def test_a_new_book_can_be_reduced_to_nothing(tmp_path: Path) -> None:
    create(tmp_path / "b")
    outcome = reduce_book(tmp_path / "b")
    assert (outcome.reduced, outcome.failed, outcome.findings) == ((), (), ())


def test_the_example_rig_is_a_rig(tmp_path: Path) -> None:
    create(tmp_path)
    rig, findings = parse_rig(tmp_path / "rigs" / "example.toml")
    assert findings == ()
    assert {"time", "throttle", "speed", "thrust", "torque", "voltage", "current"} == set(rig.channels)


def test_the_lines_that_are_marked_out_are_right_once_the_mark_is_taken_away(tmp_path: Path) -> None:
    create(tmp_path)
    for name in ("book.toml", "rigs/example.toml"):
        path = tmp_path / name
        lines = path.read_text(encoding="utf-8").splitlines()
        keys = [line.removeprefix("# ") if _is_entry(line) else line for line in lines]
        path.write_text("\n".join(keys).replace("#                ", "                "), encoding="utf-8")
    (tmp_path / "propellers.csv").write_text("design\n")
    book = load_book(tmp_path)
    assert book.findings == ()
    assert len(book.class_edges) == 14
    rig, findings = parse_rig(tmp_path / "rigs" / "example.toml")
    assert findings == ()
    assert {"acceleration", "sound"} < set(rig.channels)
    assert (rig.motor, rig.supply_voltage, rig.channels["speed"].pole_pairs) == ("m1", 24.0, 7)


def _is_entry(line: str) -> bool:
    return re.match(r"# (?:\[[a-z.]+\]|[a-z_]+ = )", line) is not None


def test_a_folder_that_holds_something_is_refused_untouched(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(BookError) as caught:
        create(tmp_path)
    assert caught.value.code == "folder-not-empty"
    assert tree(tmp_path) == {"notes.txt": b"mine"}
    with pytest.raises(BookError) as caught:
        create(tmp_path / "notes.txt")
    assert caught.value.code == "not-a-folder"


def test_a_folder_name_with_quotes_makes_a_book_all_the_same(tmp_path: Path) -> None:
    create(tmp_path / 'A "loft" \\ book')
    assert load_book(tmp_path / 'A "loft" \\ book').title == 'A "loft" \\ book'
