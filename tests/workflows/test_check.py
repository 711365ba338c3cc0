"""Checking runs and fresh files, and the bad input that a bench brings: read rightly, or refused with what to mend."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import IsothrustError, UsageError
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.check import CheckOutcome, FreshOptions, check, check_file
from isothrust.workflows.jobs import JobFailure
from isothrust.workflows.reduce import reduce_book
from support.fake_reduction import fake_worker
from support.small_books import row, tree, write_small_book

GRAM_FORCE = 9.80665e-3

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


def bench_log(*, still: bool = False, comma: bool = False) -> str:
    """A ramp of 8 s at 50 Hz between two rests: thrust 1.1e-6 gf/rpm^2, plus half a gram of ripple."""
    time = np.arange(0.0, 14.0, 0.02)
    level = np.interp(time, [0, 2, 10, 10.5, 10.6, 14], [0, 0, 1, 1, 0, 0])
    rpm = np.round(15000 * level**0.6)
    push = 1.1e-6 * rpm**2 + 0.5 * np.sin(37.0 * time)
    command = np.full_like(time, 1000.0) if still else 1000 + 1000 * level
    lines = ["t,cmd,rpm,push"]
    lines += [f"{t:.2f},{c:.0f},{n:.0f},{f:.2f}" for t, c, n, f in zip(time, command, rpm, push, strict=True)]
    text = "\n".join(lines) + "\n"
    return text.replace(",", ";").replace(".", ",") if comma else text


def book_of(root: Path, log: str | None = None, rig: str = RIG, kind: str = "ramp") -> Path:
    """Write a book whose run r01 is good and whose run r02 has this log."""
    logs = {"r01": bench_log()} | ({} if log is None else {"r02": log})
    return write_small_book(root, logs, [row("r01", kind="ramp"), row("r02", kind=kind)], rig=rig)


def codes(outcome: CheckOutcome, run: str) -> list[str]:
    return [finding.code for checked in outcome.checked if checked.run == run for finding in checked.findings]


def message(outcome: CheckOutcome, run: str) -> str:
    (found,) = (
        finding.message
        for checked in outcome.checked
        if checked.run == run
        for finding in checked.findings
        if finding.severity == "fail"
    )
    return found


def test_check_finds_what_reduce_finds_and_writes_nothing(tmp_path: Path) -> None:
    book = book_of(tmp_path, bench_log())
    before = tree(book)
    checked = check(book)
    assert tree(book) == before
    reduced = reduce_book(book)
    assert [run.findings for run in checked.checked] == [stored.reduced.findings for stored in reduced.stored.values()]
    assert all(run.reduced.curves["thrust"].coefficients.size for run in checked.checked)


def test_check_of_a_reduced_book_need_not_read_it_again(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1", "r02": "level=2"})
    reduce_book(book, worker=fake_worker)
    (book / "campaigns/spring/runs.csv").write_text(
        (book / "campaigns/spring/runs.csv").read_text().replace("r02,Auk", "r02,Tern")
    )
    asked: list[str] = []

    def counting(job: RunJob) -> ReducedRun | JobFailure:
        asked.append(job.run.name)
        return fake_worker(job)

    check(book, worker=counting)
    assert asked == ["r02"]


def test_some_runs_may_be_checked_alone(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1", "r02": "fail"})
    assert [run.run for run in check(book, ["r02"], worker=fake_worker).checked] == ["r02"]
    with pytest.raises(UsageError) as caught:
        check(book, ["r20"], worker=fake_worker)
    assert caught.value.code == "unknown-run"


def test_a_recording_that_has_changed_is_found_by_check_as_well(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1"})
    reduce_book(book, worker=fake_worker)
    (book / "campaigns/spring/raw/r01.csv").write_text("level=2")
    assert codes(check(book, worker=fake_worker), "r01") == ["raw-changed"]


def test_a_fresh_file_is_checked_with_a_rig_of_the_book_or_of_its_own(tmp_path: Path) -> None:
    book = book_of(tmp_path / "book")
    fresh = tmp_path / "fresh ramp.csv"
    fresh.write_text(bench_log())
    outcome = check(book, [str(fresh)])
    (checked,) = outcome.checked
    assert (checked.run, checked.file, checked.reduced.kind) == ("fresh ramp", str(fresh), "ramp")
    assert checked.reduced.curves["thrust"].high == pytest.approx(15000 * 2 * np.pi / 60, rel=1e-3)
    own = tmp_path / "own.toml"
    own.write_text(RIG)
    again = check(tmp_path, [str(fresh)], fresh=FreshOptions(rig=str(own)))
    assert again.checked[0].findings == checked.findings


def test_a_fresh_file_needs_to_know_its_rig(tmp_path: Path) -> None:
    book = book_of(tmp_path / "book")
    (book / "rigs/second.toml").write_text(RIG)
    fresh = tmp_path / "fresh.csv"
    fresh.write_text(bench_log())
    for rig, code in ((None, "rig-needed"), ("lotf", "unknown-rig")):
        with pytest.raises(UsageError) as caught:
            check(book, [str(fresh)], fresh=FreshOptions(rig=rig))
        assert caught.value.code == code
    checked = check(book, [str(fresh)], fresh=FreshOptions(rig="loft")).checked[0]
    # Its name tells no kind, and nothing in it is held.
    assert checked.reduced.kind == "ramp"
    assert "thrust" in checked.reduced.curves


def test_a_fresh_file_of_no_use_is_a_finding_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "loft.toml").write_text(RIG)
    rig, _ = parse_rig(tmp_path / "loft.toml")
    fresh = tmp_path / "fresh.csv"
    fresh.write_text("t,cmd,rpm\n0,1000,0\n")
    checked = check_file(fresh, rig)
    assert [finding.code for finding in checked.findings] == ["not-reduced"]
    assert str(fresh) in checked.findings[0].message


# Bad input, each in one run of a book whose other run is good.


@pytest.mark.parametrize(
    ("log", "code", "part"),
    [
        ("", "empty-log", "campaigns/spring/raw/r02.csv"),
        ("\n \n", "empty-log", "campaigns/spring/raw/r02.csv"),
        ("The stand was moved today.\nNothing was recorded, it rained.\n" * 9, "not-a-table", "campaigns/spring/raw"),
        (bench_log().replace("push", "pull").replace("rpm", "n"), "missing-column", "campaigns/spring/raw/r02.csv"),
        (bench_log(still=True), "throttle-still", ""),
        ("PAR1" + "\0" * 40, "damaged-file", "campaigns/spring/raw/r02.csv"),
        ("OggS" + "\1\2" * 40, "binary-log", "campaigns/spring/raw/r02.csv"),
    ],
)
def test_a_bad_log_is_told_with_its_place_and_the_good_run_is_done(
    tmp_path: Path, log: str, code: str, part: str
) -> None:
    book = book_of(tmp_path, log)
    before = tree(book)
    outcome = check(book)
    assert tree(book) == before
    assert codes(outcome, "r02") == ["not-reduced"]
    told = message(outcome, "r02")
    assert f"[{code}]" in told
    assert part in told
    assert "fix:" in told
    assert str(tmp_path) not in told
    assert "not-reduced" not in codes(outcome, "r01")
    reduced = reduce_book(book)
    assert (reduced.reduced, reduced.failed) == ((("spring", "r01"),), (("spring", "r02"),))
    assert reduced.stored["spring", "r02"].reduced.curves == {}


def test_a_log_that_is_not_there_is_told_with_the_row_that_names_it(tmp_path: Path) -> None:
    outcome = check(book_of(tmp_path))
    assert codes(outcome, "r02") == ["not-reduced"]
    assert 'campaigns/spring/runs.csv, line 3, column "log"' in message(outcome, "r02")


def test_a_still_throttle_is_no_fault_in_holds(tmp_path: Path) -> None:
    outcome = check(book_of(tmp_path, bench_log(still=True), kind="holds"))
    assert "throttle-still" not in "".join(finding.message for run in outcome.checked for finding in run.findings)


def test_a_log_in_another_dialect_is_the_same_log(tmp_path: Path) -> None:
    outcome = check(book_of(tmp_path, bench_log(comma=True)))
    one, other = (run.reduced for run in outcome.checked)
    assert other.curves["thrust"].coefficients == pytest.approx(one.curves["thrust"].coefficients, rel=1e-12)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('unit = "gf"', 'unit = "gff"', "unknown-unit"),
        ('unit = "gf"', 'unit = "N m"', "wrong-dimension"),
        ('column = "rpm"', 'columns = ["rpm", "push"]', "two-columns"),
        ('column = "push"', 'column = "push"\ncolumn = "rpm"', "two-entries"),
    ],
)
def test_a_bad_rig_stops_everything_and_nothing_is_written(tmp_path: Path, old: str, new: str, code: str) -> None:
    book = book_of(tmp_path, bench_log(), rig=RIG.replace(old, new))
    before = tree(book)
    for work in (check, reduce_book):
        with pytest.raises(IsothrustError) as caught:
            work(book)
        assert code in {problem.code for problem in caught.value.problems}
        assert "rigs/loft.toml, line" in str(caught.value)
    assert tree(book) == before


@pytest.mark.parametrize(
    ("file", "old", "new", "code"),
    [
        ("propellers.csv", "Auk,7,", "Auk,-7,", "negative-value"),
        ("campaigns/spring/runs.csv", "r02,Auk", "r02,Awk", "unknown-design"),
        ("campaigns/spring/runs.csv", ",ramp,r02", ",,r02", "missing-value"),
    ],
)
def test_a_bad_table_stops_everything_and_nothing_is_written(
    tmp_path: Path, file: str, old: str, new: str, code: str
) -> None:
    book = book_of(tmp_path, bench_log())
    path = book / file
    path.write_text(path.read_text().replace(old, new))
    before = tree(book)
    for work in (check, reduce_book):
        with pytest.raises(IsothrustError) as caught:
            work(book)
        assert [problem.code for problem in caught.value.problems] == [code]
        assert file in str(caught.value)
    assert tree(book) == before


def test_a_book_saved_by_a_spreadsheet_is_reduced_to_the_same_bytes(tmp_path: Path) -> None:
    plain = book_of(tmp_path / "plain", bench_log())
    saved = book_of(tmp_path / "saved", bench_log())
    for name in ("propellers.csv", "motors.csv", "campaigns/spring/runs.csv"):
        text = (saved / name).read_text().replace(",", ";").replace("1013", "1013,0").replace("\n", "\r\n")
        (saved / name).write_bytes(b"\xef\xbb\xbf" + text.encode())
    reduce_book(plain)
    reduce_book(saved)
    assert tree(plain / "derived") == tree(saved / "derived")


def test_what_is_stored_names_no_path_of_this_machine(tmp_path: Path) -> None:
    book = book_of(tmp_path / "a folder of its own", bench_log() + "9,9,nonsense,9\n13,1")
    outcome = reduce_book(book)
    assert outcome.stored
    for stored in outcome.stored.values():
        assert "a folder of its own" not in repr(stored)
