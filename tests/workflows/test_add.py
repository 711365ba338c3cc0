"""Adding recordings: copied and hashed, one row each, what is not known is listed, and nothing is ever overwritten."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.load import load_book
from isothrust.errors import BookError, IsothrustError, RigError, UsageError
from isothrust.workflows.add import add_folder
from isothrust.workflows.new import create
from support.small_books import RIG, tree


@pytest.fixture
def book(tmp_path: Path) -> Path:
    root = tmp_path / "book"
    create(root)
    (root / "rigs/loft.toml").write_text(RIG)
    (root / "propellers.csv").write_text("design,diameter [in]\nAuk 7x4,7\nAuk,7\nTern,5\n")
    (root / "samples.csv").write_text("design,sample\nAuk 7x4,A1\nTern,A1\n")
    return root


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    (folder / "day 2").mkdir(parents=True)
    for name in ("2026-03-01 auk7x4 A1 ramp.csv", "run7.txt", "run7_vib.csv", "day 2/tern_a1_steps2.csv"):
        (folder / name).write_text(f"t,f\n0,{len(name)}\n")
    (folder / "run7.wav").write_bytes(b"RIFF....WAVE")
    (folder / "stand.jpg").write_bytes(b"\xff\xd8")
    (folder / ".hidden").write_text("")
    return folder


def rows(book: Path) -> list[str]:
    return (book / "campaigns/spring/runs.csv").read_text(encoding="utf-8").splitlines()


def test_recordings_are_copied_hashed_and_given_rows(book: Path, bench: Path) -> None:
    added = add_folder(book, bench, "spring", "loft")
    raw = tree(book / "campaigns/spring/raw")
    assert set(raw) == {
        "2026-03-01 auk7x4 A1 ramp.csv",
        "run7.txt",
        "run7_vib.csv",
        "run7.wav",
        "day 2/tern_a1_steps2.csv",
    }
    assert all(raw[name] == (bench / name).read_bytes() for name in raw)
    assert len((book / "campaigns/spring/raw.sha256").read_text().splitlines()) == 5
    assert [finding.code for finding in added.findings] == ["not-a-recording"]
    assert rows(book)[1:] == [
        "2026-03-01 auk7x4 A1 ramp,Auk 7x4,A1,,ramp,2026-03-01 auk7x4 A1 ramp.csv,,,2026-03-01,,,,",
        "day 2-tern_a1_steps2,Tern,A1,,steps,day 2/tern_a1_steps2.csv,,,,,,,",
        "run7,,,,,run7.txt,run7_vib.csv,run7.wav,,,,,",
    ]


def test_what_is_not_known_is_listed_with_file_row_and_head(book: Path, bench: Path) -> None:
    added = add_folder(book, bench, "spring", "loft")
    assert [(cell.file, cell.line, cell.head, cell.run) for cell in added.to_fill] == [
        ("campaigns/spring/runs.csv", 4, head, "run7") for head in ("design", "sample", "kind")
    ]
    assert added.next_command == "isothrust check"
    with pytest.raises(BookError) as caught:
        load_book(book)
    places = {(problem.where.line, problem.where.column) for problem in caught.value.problems if problem.where}
    assert places == {(4, "design"), (4, "sample"), (4, "kind")}
    table = book / "campaigns/spring/runs.csv"
    table.write_text(table.read_text().replace("run7,,,,,", "run7,Auk,K1,,holds,"))
    assert [run.kind for run in load_book(book).campaigns["spring"].runs] == ["ramp", "steps", "holds"]


def test_adding_the_same_folder_twice_changes_nothing(book: Path, bench: Path) -> None:
    add_folder(book, bench, "spring", "loft")
    before = tree(book)
    again = add_folder(book, bench, "spring", "loft")
    assert tree(book) == before
    assert (again.copied, again.rows, again.to_fill) == ((), (), ())
    assert [finding.count for finding in again.findings if finding.code == "already-there"] == [5]
    # The cells that the first call left open are still open.
    assert {problem.code for problem in again.problems} == {"missing-value"}


def test_the_same_name_with_another_content_is_refused_and_nothing_written(book: Path, bench: Path) -> None:
    add_folder(book, bench, "spring", "loft")
    before = tree(book)
    (bench / "run7.txt").write_text("other")
    (bench / "run7.wav").write_bytes(b"other")
    (bench / "new.csv").write_text("t,f\n")
    with pytest.raises(BookError) as caught:
        add_folder(book, bench, "spring", "loft")
    assert [problem.code for problem in caught.value.problems] == ["name-taken"] * 2
    assert tree(book) == before


def test_a_recording_that_was_deleted_comes_back_only_as_it_was(book: Path, bench: Path) -> None:
    add_folder(book, bench, "spring", "loft")
    (book / "campaigns/spring/raw/run7.txt").unlink()
    content = (bench / "run7.txt").read_text()
    (bench / "run7.txt").write_text("other")
    with pytest.raises(BookError):
        add_folder(book, bench, "spring", "loft")
    (bench / "run7.txt").write_text(content)
    assert add_folder(book, bench, "spring", "loft").copied == ("run7.txt",)


def test_rows_go_into_a_table_as_a_spreadsheet_saved_it(book: Path, bench: Path) -> None:
    folder = book / "campaigns/spring"
    folder.mkdir()
    (folder / "campaign.toml").write_text('rig = "loft"\n')
    table = "\ufeffrun;design;sample;kind;log;vibration;sound;date;temperature [degC]\r\nr0;Auk;K1;holds;r0.csv;;;;20,5"
    (folder / "runs.csv").write_bytes(table.encode())
    added = add_folder(book, bench, "spring", "loft")
    text = (folder / "runs.csv").read_bytes().decode()
    assert text.startswith(table + "\r\n")
    assert text.removeprefix(table).splitlines()[-1] == "run7;;;;run7.txt;run7_vib.csv;run7.wav;;"
    assert text.count("\n") == text.count("\r\n") == 5
    assert {cell.line for cell in added.to_fill} == {5}


def test_a_taken_run_name_gets_a_number(book: Path, bench: Path) -> None:
    add_folder(book, bench, "spring", "loft")
    more = bench.parent / "more"
    (more / "x").mkdir(parents=True)
    (more / "RUN7.csv").write_text("t,f\n")
    assert add_folder(book, more, "spring", "loft").rows == ("RUN7-2",)


def test_two_logs_of_one_name_are_two_runs(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "two"
    folder.mkdir()
    (folder / "r.csv").write_text("a")
    (folder / "r.txt").write_text("b")
    assert add_folder(book, folder, "spring", "loft").rows == ("r", "r.txt")


@pytest.mark.parametrize(
    ("change", "code", "kind"),
    [
        ({"rig": "lotf"}, "unknown-rig", UsageError),
        ({"campaign": "a/b"}, "bad-name", UsageError),
        ({"folder": "nowhere"}, "no-folder", UsageError),
        ({"folder": "empty"}, "no-recordings", UsageError),
        ({"root": "empty"}, "no-book", BookError),
        ({"rig": "broken"}, "bad-toml", RigError),
    ],
)
def test_what_cannot_be_added_is_refused_and_nothing_written(
    book: Path, bench: Path, tmp_path: Path, change: dict[str, str], code: str, kind: type[IsothrustError]
) -> None:
    (tmp_path / "empty").mkdir()
    (book / "rigs/broken.toml").write_text("name = ")
    before = tree(tmp_path)
    names = {"root": "book", "folder": "bench", "campaign": "spring", "rig": "loft"} | change
    with pytest.raises(kind) as caught:
        add_folder(tmp_path / names["root"], tmp_path / names["folder"], names["campaign"], names["rig"])
    assert caught.value.code == code
    assert caught.value.problems[0].fix
    assert tree(tmp_path) == before


def test_a_campaign_keeps_to_its_rig(book: Path, bench: Path) -> None:
    add_folder(book, bench, "spring", "loft")
    (book / "rigs/other.toml").write_text(RIG)
    with pytest.raises(UsageError) as caught:
        add_folder(book, bench, "spring", "other")
    assert caught.value.code == "other-rig"


def test_a_table_without_the_column_that_is_needed_is_refused(book: Path, bench: Path) -> None:
    folder = book / "campaigns/spring"
    folder.mkdir()
    (folder / "campaign.toml").write_text('rig = "loft"\n')
    (folder / "runs.csv").write_text("run,design,sample,kind,log\n")
    before = tree(book)
    with pytest.raises(BookError) as caught:
        add_folder(book, bench, "spring", "loft")
    assert caught.value.code == "missing-column"
    assert all(name in caught.value.problems[0].what for name in ("date", "vibration", "sound"))
    assert tree(book) == before
