"""A book whose runs lie in workbooks and archives, with sounds beside them: reduced, explained, guarded by hashes."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import numpy as np
import polars as pl
import pytest
import soundfile

from isothrust.book.hashes import file_sha256, read_hashes
from isothrust.book.load import load_book
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.check import FreshOptions, check
from isothrust.workflows.fromfolder import create_from_folder
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from isothrust.workflows.run_facts import run_facts
from support.formats import workbook_of
from support.small_books import row, write_small_book

RIG = """
[channels.time]
column = "t"
unit = "s"
[channels.throttle]
column = "cmd"
unit = "us"
range = [1000, 2000]
[channels.speed]
column = "rpm"
unit = "rpm"
[channels.thrust]
column = "push"
unit = "gf"
"""
HEADS = ("t", "cmd", "rpm", "push")
SOUND = '[channels.sound]\nfile = "sound"\n'


def ramp(scale: float = 1.0) -> dict[str, list[float]]:
    """Return the columns of a ramp of 8 s at 50 Hz between two rests."""
    time = np.arange(0.0, 14.0, 0.02)
    level = np.interp(time, [0, 2, 10, 10.5, 10.6, 14], [0, 0, 1, 1, 0, 0])
    rpm = np.round(15000 * level**0.6)
    push = scale * 1.1e-6 * rpm**2 + 0.5 * np.sin(37.0 * time)
    columns = (np.round(time, 2), np.round(1000 + 1000 * level), rpm, np.round(push, 2))
    return {head: values.tolist() for head, values in zip(HEADS, columns, strict=True)}


def csv(scale: float = 1.0) -> str:
    rows = zip(*ramp(scale).values(), strict=True)
    return "\n".join([",".join(HEADS), *(f"{t:.2f},{c:.0f},{n:.0f},{f:.2f}" for t, c, n, f in rows)]) + "\n"


def sheet(scale: float = 1.0) -> list[list[object]]:
    return [list(HEADS), *map(list, zip(*ramp(scale).values(), strict=True))]


def named(run: str, log: str, sound: str = "") -> str:
    return row(run).replace(f"{run}.csv", log) + (f",{sound}" if sound else "")


def book_of(root: Path) -> Path:
    """Write a book in which one run stands four times: as text, on a sheet, packed, as Parquet; and another sheet."""
    rows = [
        named("plain", "plain.csv"),
        named("sheet", "trials.xlsx/trial 1"),
        named("other", "trials.xlsx/trial 2"),
        named("packed", "day 1.zip/logs/r01.csv"),
        named("columns", "columns.parquet"),
    ]
    book = write_small_book(root, {"plain": csv()}, rows, rig=RIG)
    raw = book / "campaigns/spring/raw"
    workbook_of(raw / "trials.xlsx", {"trial 1": sheet(), "trial 2": sheet(1.2), "notes": [["calm"]]})
    with zipfile.ZipFile(raw / "day 1.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("logs/r01.csv", csv())
        archive.writestr("logs/r02.csv", csv(1.5))
    pl.DataFrame(ramp()).write_parquet(raw / "columns.parquet")
    return book


def by_run(outcome: ReduceOutcome) -> dict[str, ReducedRun]:
    return {run: stored.reduced for (_, run), stored in outcome.stored.items()}


def thrust_curve(run: ReducedRun) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.asarray(run.curves["thrust"].coefficients)


def test_a_run_gives_the_same_curve_from_text_a_sheet_an_archive_and_columns(tmp_path: Path) -> None:
    runs = by_run(reduce_book(book_of(tmp_path)))
    assert set(runs) == {"plain", "sheet", "other", "packed", "columns"}
    plain = thrust_curve(runs["plain"])
    assert np.abs(plain).max() > 0.0
    for name in ("sheet", "packed", "columns"):
        np.testing.assert_allclose(thrust_curve(runs[name]), plain, rtol=1e-9, err_msg=name)
    assert not np.allclose(thrust_curve(runs["other"]), plain, rtol=0.05)


def test_two_sheets_of_a_workbook_are_not_one_recording_twice_and_one_in_two_files_is(tmp_path: Path) -> None:
    runs = by_run(reduce_book(book_of(tmp_path)))
    twice = {name for name, run in runs.items() if any(finding.code == "recording-twice" for finding in run.findings)}
    assert twice == {"sheet", "packed", "columns"}


def test_the_file_is_what_is_hashed_and_a_change_of_it_concerns_every_run_in_it(tmp_path: Path) -> None:
    book = book_of(tmp_path)
    reduce_book(book)
    raw = book / "campaigns/spring/raw"
    assert set(read_hashes(book, "spring")) == {"plain.csv", "trials.xlsx", "day 1.zip", "columns.parquet"}
    assert read_hashes(book, "spring")["trials.xlsx"] == file_sha256(raw / "trials.xlsx")
    workbook_of(raw / "trials.xlsx", {"trial 1": sheet(1.3), "trial 2": sheet(1.2)})
    changed = {
        checked.run for checked in check(book).checked for finding in checked.findings if finding.code == "raw-changed"
    }
    assert changed == {"sheet", "other"}


def test_a_second_reduce_does_nothing(tmp_path: Path) -> None:
    book = book_of(tmp_path)
    reduce_book(book)
    assert not reduce_book(book).reduced


def test_explain_shows_the_sheet_and_how_it_was_read(tmp_path: Path) -> None:
    book = book_of(tmp_path)
    outcome = reduce_book(book)
    read = load_book(book)
    run = next(run for run in read.campaigns["spring"].runs if run.name == "sheet")
    (facts,) = run_facts(read, run, by_run(outcome)["sheet"]).files
    assert facts.file == "campaigns/spring/raw/trials.xlsx/trial 1"
    assert facts.sha256 == facts.first_sha256 == file_sha256(book / "campaigns/spring/raw/trials.xlsx")
    assert facts.dialect == 'XLSX, sheet "trial 1", head in row 1'


@pytest.mark.parametrize(
    ("log", "code"),
    [
        ("trials.xlsx", "several-tables"),
        ("trials.xlsx/trial 9", "no-such-part"),
        ("trials.xlsx/notes", "no-such-part"),
        ("day 1.zip", "several-tables"),
        ("day 1.zip/r09.csv", "no-such-part"),
        ("day 2.zip/r01.csv", "missing-file"),
    ],
)
def test_what_is_not_there_is_told_without_a_path_of_this_machine(tmp_path: Path, log: str, code: str) -> None:
    book = book_of(tmp_path)
    runs = book / "campaigns/spring/runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8").replace("trials.xlsx/trial 1", log), encoding="utf-8")
    (finding,) = [
        finding
        for checked in check(book).checked
        if checked.run == "sheet"
        for finding in checked.findings
        if finding.code == "not-reduced"
    ]
    assert f"[{code}]" in finding.message
    assert str(tmp_path) not in finding.message
    assert "campaigns/spring/" in finding.message


def test_a_sound_beside_a_log_leaves_its_figures_alone_and_is_laid_beside_it(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"plain": csv()}, rig=RIG)
    before = thrust_curve(by_run(reduce_book(book))["plain"])
    rng = np.random.default_rng(8)
    columns = ramp()
    time = np.arange(15 * 8000) / 8000.0 - 0.6
    speed = np.interp(time, columns["t"], columns["rpm"])
    loud = 0.003 + 0.2 * (speed / 15000.0) ** 2.5
    soundfile.write(book / "campaigns/spring/raw/plain.wav", rng.normal(size=time.size) * loud, 8000)
    runs = book / "campaigns/spring/runs.csv"
    heads, line = runs.read_text(encoding="utf-8").splitlines()
    runs.write_text(f"{heads},sound\n{line},plain.wav\n", encoding="utf-8")
    (book / "rigs/loft.toml").write_text(RIG + SOUND + '[files.sound]\nalign = "correlation"\n', encoding="utf-8")
    run = by_run(reduce_book(book))["plain"]
    np.testing.assert_array_equal(thrust_curve(run), before)
    (aligned,) = [finding for finding in run.findings if finding.code == "waveform-aligned"]
    assert "begins -0.6" in aligned.message or "begins -0.5" in aligned.message


# A folder of such files made a book


def test_a_folder_of_all_formats_becomes_one_layout_and_every_file_is_copied_once(tmp_path: Path) -> None:
    book = book_of(tmp_path / "old")
    shed = tmp_path / "shed"
    shutil.copytree(book / "campaigns/spring/raw", shed)
    soundfile.write(shed / "plain.wav", np.full((4000, 2), (0.1, 0.0)), 8000)
    made = create_from_folder(tmp_path / "book", shed)
    (layout,) = made.layouts
    assert set(layout.mapping.files) == {
        "plain.csv",
        "columns.parquet",
        "trials.xlsx/trial 1",
        "trials.xlsx/trial 2",
        "day 1.zip/logs/r01.csv",
        "day 1.zip/logs/r02.csv",
    }
    assert made.copied == 5
    assert set(read_hashes(tmp_path / "book", layout.campaign)) == {
        "plain.csv",
        "plain.wav",
        "columns.parquet",
        "trials.xlsx",
        "day 1.zip",
    }
    assert [(left.name, "no rows of numbers" in left.reason) for left in made.left_out] == [("trials.xlsx/notes", True)]
    rig = (tmp_path / "book" / "rigs" / f"{layout.rig}.toml").read_text(encoding="utf-8")
    assert "# column = 1" in rig
    assert "offset +0.100" in rig
    assert ("channels.sound", "column") in [(each.gap.section, each.gap.key) for each in layout.rig_to_fill]
    assert {"trials-trial 1", "day 1-logs-r01", "plain"} <= set(layout.runs)


def test_a_folder_of_nothing_but_foreign_files_is_refused(tmp_path: Path) -> None:
    shed = tmp_path / "shed"
    shed.mkdir()
    (shed / "old.xlsx").write_bytes(b"\xd0\xcf\x11\xe0" + bytes(range(200)))
    (shed / "notes.pdf").write_bytes(b"%PDF-1.7")
    with pytest.raises(Exception, match="holds no log") as caught:
        create_from_folder(tmp_path / "book", shed)
    assert "old kind" in str(caught.value)


def test_a_fresh_sheet_or_packed_log_is_checked_by_the_path_that_names_it(tmp_path: Path) -> None:
    book = book_of(tmp_path / "book")
    reduce_book(book)
    raw = book / "campaigns/spring/raw"
    workbook_of(tmp_path / "fresh.xlsx", {"first": sheet(), "second": sheet(1.2)})
    shutil.copy(raw / "trials.xlsx", tmp_path / "copy.xlsx")
    (first,) = check(book, [str(tmp_path / "fresh.xlsx/first")], fresh=FreshOptions(rig="loft")).checked
    assert first.reduced.curves
    (listed,) = check(book, [str(tmp_path / "copy.xlsx/trial 2")], fresh=FreshOptions(rig="loft")).checked
    assert listed.run == "other"
