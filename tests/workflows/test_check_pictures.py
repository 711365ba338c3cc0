"""`check` as a table, and a picture of each finding."""

from __future__ import annotations

import json
import re
import shutil
import struct
from pathlib import Path

import pytest

from support.commands import run_command
from support.failing_books import BACKWARDS, write_failing_book
from support.made_once import made_once

LOST = slice(4000, 4012)
"""Rows in which the tachometer lost the marks."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    def make(folder: Path) -> None:
        book = write_failing_book(folder / "book")
        lose_marks(book / "campaigns/spring/raw/r001.csv")
        run_command("reduce", "--jobs", "1", folder=book, status=1)

    return made_once(tmp_path_factory, "pictured-book", make) / "book"


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made, tmp_path / "book")


def lose_marks(path: Path) -> None:
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    column = head.split(",").index("rpm")
    for number in range(*LOST.indices(len(rows))):
        cells = rows[number].split(",")
        rows[number] = ",".join([*cells[:column], "0", *cells[column + 1 :]])
    path.write_text("\n".join([head, *rows, ""]), encoding="utf-8")


def size_of(png: Path) -> tuple[int, int]:
    content = png.read_bytes()
    assert content.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", content[16:24])
    return width, height


def test_each_finding_that_has_a_place_gets_its_picture(book: Path) -> None:
    told = run_command("check", "--pictures", "seen", folder=book, status=1)
    files = sorted(path.name for path in (book / "seen").iterdir())
    assert "spring-r001-tachometer-dropout-speed.png" in files
    assert f"spring-{BACKWARDS}-propeller-reversed-thrust.png" in files
    assert all(size_of(book / "seen" / name) == (1280, 720) for name in files)
    assert f"{len(files)} pictures in seen" in told.stdout


def test_a_picture_shows_the_span_and_not_the_whole_run_and_says_the_number(book: Path) -> None:
    run_command("check", "r001", "--pictures", "seen", "--picture-kind", "svg", folder=book)
    text = (book / "seen/spring-r001-tachometer-dropout-speed.svg").read_text(encoding="utf-8")
    words = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text))
    said = run_command("check", "r001", "--json", folder=book).stdout
    (finding,) = [one for one in json.loads(said) if one["code"] == "tachometer-dropout"]
    message = finding["message"]
    assert f"{message[:1].upper()}{message[1:]}" in words
    shown = re.search(r"Shown: ([\d.]+) to ([\d.]+) s of a recording from 0 to ([\d.]+) s", words)
    assert shown is not None, words
    start, end, last = map(float, shown.groups())
    assert start < finding["start"] <= finding["end"] < end
    assert end - start < 0.4 * last
    assert "Speed [rpm]" in words


def test_json_names_the_picture_or_says_why_there_is_none(book: Path) -> None:
    (book / "campaigns/spring/raw/r002.csv").unlink()
    told = run_command("check", "--pictures", "seen", "--json", folder=book, status=1)
    found = json.loads(told.stdout)
    assert found
    for one in found:
        assert (one["picture"] is None) != (one["no_picture"] is None), one
        if one["picture"] is not None:
            assert (book / one["picture"]).is_file()
    (missing,) = [one for one in found if one["run"] == "r002"]
    assert missing["code"] == "not-reduced"
    assert "cannot be read" in missing["no_picture"]
    keys = {"campaign", "run", "code", "severity", "channel", "start", "end", "count", "effect", "done", "message"}
    plain = json.loads(run_command("check", "--json", folder=book, status=1).stdout)
    assert all(set(one) == keys for one in plain)


def test_a_file_of_somebody_else_is_never_replaced(book: Path) -> None:
    own = book / "seen/spring-r001-tachometer-dropout-speed.png"
    own.parent.mkdir()
    own.write_text("my own notes")
    told = run_command("check", "--pictures", "seen", folder=book, status=2)
    assert "[file-in-the-way]" in told.stderr
    assert [path.name for path in own.parent.iterdir()] == [own.name], "nothing else was written either"
    assert own.read_text() == "my own notes"
    own.unlink()
    run_command("check", "--pictures", "seen", folder=book, status=1)
    first = own.read_bytes()
    run_command("check", "--pictures", "seen", folder=book, status=1)
    assert own.read_bytes() == first, "an earlier picture of the same finding is replaced, by the same bytes"


def test_a_file_where_the_folder_should_be_is_told(book: Path) -> None:
    (book / "seen").write_text("no folder")
    told = run_command("check", "--pictures", "seen", folder=book, status=2)
    assert "[file-in-the-way]" in told.stderr


def test_a_fresh_file_is_drawn_as_well(book: Path, tmp_path: Path) -> None:
    log = shutil.copyfile(book / "campaigns/spring/raw/r001.csv", tmp_path / "auk b ramp.csv")
    log.write_text(log.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    run_command("check", str(log), "--design", "auk", "--pictures", "seen", folder=book, status=1)
    assert any("tachometer-dropout" in path.name for path in (book / "seen").iterdir())


@pytest.mark.parametrize("columns", [80, 120])
def test_the_table_fits_the_screen_and_names_all_that_matters(book: Path, columns: int) -> None:
    told = run_command("check", BACKWARDS, "r001", folder=book, status=1, columns=columns).stdout
    assert all(len(line) <= columns for line in told.splitlines()), told
    heads = "finding where seen" if columns == 80 else "finding where seen effect on figures done"
    assert heads in re.sub(r" +", " ", told)
    said = re.sub(r"\s+", " ", told)
    for word in ("fail", "warning", "propeller-reversed", "tachometer-dropout", "speed", "4.00 to 4.01 s"):
        assert word in said
    assert re.search(r"2 runs checked: 1 with warnings, 1 set aside \(1 fail, \d+ warnings?", said)


def test_a_run_in_which_nothing_was_found_takes_one_line(book: Path) -> None:
    lines = run_command("check", "r006", folder=book).stdout.split("\n")
    assert re.fullmatch(r"spring/r006  \w+ [ab] ramp: nothing found", lines[0])
    assert [line for line in lines[1:] if line] == ["1 run checked: 1 fine"]
