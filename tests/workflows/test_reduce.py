"""Reducing a book: what is done again and what is not, what one bad run does to the others, who lends inertia."""

from __future__ import annotations

import math
import shutil
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from isothrust.book.lock import book_locked
from isothrust.book.store import read_reduced, write_results
from isothrust.errors import BookError, UsageError
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.jobs import JobFailure
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from support.fake_reduction import fake_worker
from support.small_books import RIG, row, tree, write_small_book

LOGS = {"r01": "level=1", "r02": "level=2", "r03": "level=3"}


def reduce(root: Path, **options: object) -> ReduceOutcome:
    return reduce_book(root, worker=fake_worker, **options)  # type: ignore[arg-type]


def names(found: tuple[tuple[str, str], ...]) -> list[str]:
    return [run for _, run in found]


def edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_every_run_is_reduced_once_and_then_left_alone(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    first = reduce(book)
    assert names(first.reduced) == ["r01", "r02", "r03"]
    before = tree(book)
    stamps = {path: path.stat().st_mtime_ns for path in (book / "derived").rglob("*.parquet")}
    second = reduce(book)
    assert (names(second.reduced), names(second.fresh)) == ([], ["r01", "r02", "r03"])
    assert tree(book) == before
    assert {path: path.stat().st_mtime_ns for path in (book / "derived").rglob("*.parquet")} == stamps


def test_derived_may_be_deleted_and_comes_back_in_the_same_bytes_anywhere(tmp_path: Path) -> None:
    book = write_small_book(tmp_path / "here", LOGS)
    reduce(book)
    before = tree(book)
    shutil.rmtree(book / "derived")
    reduce(book)
    assert tree(book) == before
    there = write_small_book(tmp_path / "quite another place", LOGS)
    reduce(there)
    assert tree(there) == before


@pytest.mark.parametrize(
    ("file", "old", "new", "again"),
    [
        ("campaigns/spring/runs.csv", "r02.csv,2026-03-01,20,", "r02.csv,2026-03-01,25,", ["r02"]),
        ("campaigns/spring/runs.csv", "r01,Auk", "r01,Tern", ["r01"]),
        ("campaigns/spring/runs.csv", "r03,Auk,A1,,ramp", "r03,Auk,A1,,steps", ["r03"]),
        ("campaigns/spring/runs.csv", "50,\n", "50,windy\n", []),
        ("campaigns/spring/campaign.toml", "loft", 'loft"\nmotor = "m2', ["r01", "r02", "r03"]),
        ("propellers.csv", "Tern,5,", "Tern,5.1,", []),
        ("propellers.csv", "Auk,7,", "Auk,7.1,", ["r01", "r02", "r03"]),
        ("propellers.csv", "Auk,7,", "Auk,7,grey", []),
        ("motors.csv", "5e-6", "6e-6", ["r01", "r02", "r03"]),
        ("rigs/loft.toml", '"N"', '"gf"', ["r01", "r02", "r03"]),
        ("rigs/loft.toml", 'motor = "m1"', 'name = "Other words"\nmotor = "m1"', []),
        ("book.toml", "title", 'standard_density = "1.2 kg/m3"\ntitle', ["r01", "r02", "r03"]),
        ("book.toml", "Small", "Still small", []),
    ],
)
def test_only_what_a_change_concerns_is_reduced_again(
    tmp_path: Path, file: str, old: str, new: str, again: list[str]
) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    edit(book / file, old, new)
    assert names(reduce(book).reduced) == again


def test_moving_rows_of_a_table_reduces_nothing_again(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    write_small_book(tmp_path, LOGS, [row("r03"), row("r01"), row("r02")])
    outcome = reduce(book)
    assert names(outcome.reduced) == []
    assert [run for _, run in outcome.stored] == ["r03", "r01", "r02"]


def test_one_failing_run_does_not_stop_the_others(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {**LOGS, "r02": "fail"})
    outcome = reduce(book)
    assert (names(outcome.reduced), names(outcome.failed)) == (["r01", "r03"], ["r02"])
    (finding,) = outcome.findings
    assert (finding.code, finding.severity, finding.run) == ("not-reduced", "fail", "r02")
    assert finding.message == (
        "the log is of no use    [not-a-table]\n  where:    campaigns/spring/raw/r02.csv, line 3\n  fix:      mend it"
    )
    kept = outcome.stored["spring", "r02"].reduced
    assert (kept.curves, kept.figures, kept.inertia) == ({}, (), None)


def test_a_known_failure_is_told_again_without_another_try(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "fail"})
    reduce(book)
    tried: list[str] = []

    def counting(job: RunJob) -> ReducedRun | JobFailure:
        tried.append(job.run.name)
        return fake_worker(job)

    outcome = reduce_book(book, worker=counting)
    assert (tried, names(outcome.failed), names(outcome.fresh)) == ([], ["r01"], [])
    assert [finding.code for finding in outcome.findings] == ["not-reduced"]


def test_a_fault_of_the_program_is_tried_again(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "trip", "r02": "level=1"})
    assert names(reduce(book).failed) == ["r01"]
    tried: list[str] = []

    def counting(job: RunJob) -> ReducedRun | JobFailure:
        tried.append(job.run.name)
        return fake_worker(job)

    reduce_book(book, worker=counting)
    assert tried == ["r01"]


def test_a_run_that_names_a_missing_file_says_where_and_is_reduced_once_the_file_is_there(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1"}, [row("r01"), row("r02")])
    outcome = reduce(book)
    assert (names(outcome.reduced), names(outcome.failed)) == (["r01"], ["r02"])
    (finding,) = outcome.findings
    assert "[missing-file]" in finding.message
    assert 'campaigns/spring/runs.csv, line 3, column "log"' in finding.message
    assert "then: isothrust reduce" in finding.message
    (book / "campaigns/spring/raw/r02.csv").write_text("level=2")
    assert names(reduce(book).reduced) == ["r02"]


def test_hashes_are_written_down_when_a_recording_is_first_seen(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1"})
    reduce(book)
    # SHA-256 of the seven bytes "level=1", by coreutils sha256sum.
    expected = "bfb76acf0f4bccd6e5eb2f22e198e24222f34f6c3d9088e196cc2c88d2336a09  r01.csv\n"
    path = book / "campaigns/spring/raw.sha256"
    assert path.read_text() == expected


def test_a_recording_that_has_changed_is_set_aside_until_it_is_back(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    before = tree(book)
    raw = book / "campaigns/spring/raw/r02.csv"
    raw.write_text("level=2.5")
    outcome = reduce(book)
    assert (names(outcome.failed), names(outcome.set_aside)) == (["r02"], ["r02"])
    (finding,) = outcome.findings
    assert (finding.code, finding.severity, finding.run) == ("raw-changed", "fail", "r02")
    assert "campaigns/spring/raw/r02.csv" in finding.message
    assert outcome.stored["spring", "r02"].reduced.curves == {}
    assert names(reduce(book).failed) == ["r02"]
    raw.write_text("level=2")
    assert names(reduce(book).reduced) == ["r02"]
    assert tree(book) == before


def test_a_change_that_the_tester_accepts_is_reduced(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, {"r01": "level=1"})
    reduce(book)
    (book / "campaigns/spring/raw/r01.csv").write_text("level=7")
    assert names(reduce(book).failed) == ["r01"]
    (book / "campaigns/spring/raw.sha256").unlink()
    outcome = reduce(book)
    assert names(outcome.reduced) == ["r01"]
    assert outcome.stored["spring", "r01"].reduced.figures[0].value == 7.0


def test_runs_that_left_the_book_leave_derived(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    write_results(book, [])
    write_small_book(tmp_path, LOGS, [row("r01")])
    assert reduce(book).removed == (("spring", "r02"), ("spring", "r03"))
    assert sorted(path.name for path in (book / "derived").rglob("*.parquet")) == ["r01.parquet"]


def test_results_are_dropped_when_a_run_changes_and_kept_when_none_does(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    write_results(book, [])
    reduce(book)
    assert (book / "derived/results.parquet").is_file()
    edit(book / "campaigns/spring/runs.csv", "r02,Auk", "r02,Tern")
    reduce(book)
    assert not (book / "derived/results.parquet").exists()


def test_some_runs_may_be_asked_for_alone(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    outcome = reduce(book, runs=["r02", "spring/r03"])
    assert names(outcome.reduced) == ["r02", "r03"]
    assert list(read_reduced(book)) == [("spring", "r02"), ("spring", "r03")]
    with pytest.raises(UsageError) as caught:
        reduce(book, runs=["r04", "zz"])
    assert [problem.code for problem in caught.value.problems] == ["unknown-run"] * 2
    assert "r04" in str(caught.value)


def test_an_unreadable_book_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS, [row("r01", design="Awk"), row("r02", kind="")])
    before = tree(book)
    with pytest.raises(BookError) as caught:
        reduce(book)
    assert {problem.code for problem in caught.value.problems} == {"unknown-design", "missing-value"}
    assert tree(book) == before


def test_a_damaged_stored_run_is_made_anew(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    reduce(book)
    before = tree(book)
    path = book / "derived/spring/r02.parquet"
    path.write_bytes(path.read_bytes()[:100])
    assert names(reduce(book).reduced) == ["r02"]
    assert tree(book) == before


def test_an_executor_gives_the_same_bytes_and_progress_is_told(tmp_path: Path) -> None:
    logs = {f"r{number:02d}": f"level={number} wanted" for number in range(12)} | {"r12": "inertia=3e-5"}
    alone = write_small_book(tmp_path / "alone", logs)
    shared = write_small_book(tmp_path / "shared", logs)
    reduce(alone)
    told: list[tuple[int, int]] = []
    with ThreadPoolExecutor(4) as executor:
        reduce(shared, executor=executor, progress=lambda done, total, _: told.append((done, total)))
    assert tree(alone) == tree(shared)
    hashed, reduced, borrowed = range(1, 14), range(14), range(13)
    assert told == [
        *((done, 13) for done in hashed),
        *((done, 13) for done in reduced),
        *((done, 12) for done in borrowed),
    ]


# Rotor inertia that is lent and borrowed.


def test_a_run_without_inertia_borrows_from_the_same_sample(tmp_path: Path) -> None:
    book = write_small_book(
        tmp_path,
        {"r01": "wanted", "r02": "inertia=3e-5 u=1e-7", "r03": "inertia=4e-5 u=1e-9"},
        [row("r01"), row("r02", kind="coast"), row("r03")],
    )
    outcome = reduce(book)
    run = outcome.stored["spring", "r01"]
    assert run.borrowed
    assert run.reduced.inertia is not None
    # A coast comes before a ramp, though the ramp's inertia is less uncertain.
    assert (run.reduced.inertia.value, run.reduced.inertia.uncertainty) == (3e-5, 1e-7)
    assert run.reduced.inertia.origin == "coast run spring/r02 of the same sample"
    assert not run.reduced.inertia_wanted
    (finding,) = outcome.findings
    assert (finding.code, finding.severity, finding.run) == ("inertia-borrowed", "note", "r01")
    assert names(reduce(book).reduced) == []


def test_the_least_uncertain_of_equal_donors_lends(tmp_path: Path) -> None:
    book = write_small_book(
        tmp_path,
        {"r01": "wanted", "r02": "inertia=3e-5 u=2e-7", "r03": "inertia=4e-5 u=1e-7", "r04": "inertia=5e-5 u=3e-7"},
    )
    inertia = reduce(book).stored["spring", "r01"].reduced.inertia
    assert inertia is not None
    assert inertia.origin == "ramp run spring/r03 of the same sample"


def test_another_sample_lends_with_a_tenth_of_spread_where_none_is_known(tmp_path: Path) -> None:
    book = write_small_book(
        tmp_path, {"r01": "wanted", "r02": "inertia=3e-5 u=4e-7"}, [row("r01"), row("r02", sample="A2", kind="steps")]
    )
    inertia = reduce(book).stored["spring", "r01"].reduced.inertia
    assert inertia is not None
    assert inertia.value == 3e-5
    # Two samples, each a tenth off their mean: sqrt(2) * 10 % of 3e-5, beside the donor's own 4e-7.
    assert inertia.uncertainty == pytest.approx(math.hypot(math.sqrt(2) * 3e-6, 4e-7))
    assert "sample A2" in inertia.origin


def test_another_sample_lends_with_the_spread_that_samples_show(tmp_path: Path) -> None:
    book = write_small_book(
        tmp_path,
        {"r01": "wanted", "r02": "inertia=3.0e-5 u=0", "r03": "inertia=3.3e-5 u=1e-7", "r04": "inertia=2.7e-5 u=1e-7"},
        [row("r01"), *(row(f"r{number:02d}", sample=f"A{number}") for number in (2, 3, 4))],
    )
    inertia = reduce(book).stored["spring", "r01"].reduced.inertia
    assert inertia is not None
    # 3.0, 3.3 and 2.7: mean 3.0, standard deviation 0.3 with two degrees of freedom, so 10 %; times sqrt(2).
    assert (inertia.value, inertia.uncertainty) == pytest.approx((3e-5, math.sqrt(2) * 3e-6))
    assert inertia.degrees_of_freedom == pytest.approx(2.0)


@pytest.mark.parametrize("other", ["design", "motor"])
def test_nothing_is_lent_across_designs_or_motors(tmp_path: Path, other: str) -> None:
    write_small_book(tmp_path, {"r01": "wanted"})
    donor = row("q01", design="Tern" if other == "design" else "Auk")
    write_small_book(tmp_path, {"q01": "inertia=3e-5"}, [donor], campaign="autumn")
    if other == "motor":
        edit(tmp_path / "campaigns/autumn/campaign.toml", "loft", 'loft"\nmotor = "m2')
    outcome = reduce(tmp_path)
    run = outcome.stored["spring", "r01"]
    assert (run.borrowed, run.reduced.inertia_wanted) == (False, True)


def test_a_motor_that_nobody_names_is_one_motor_within_its_campaign_only(tmp_path: Path) -> None:
    nameless = RIG.replace('motor = "m1"\n', "")
    write_small_book(tmp_path, {"r01": "wanted"}, rig=nameless)
    write_small_book(tmp_path, {"q01": "inertia=3e-5"}, campaign="autumn", rig=nameless)
    assert not reduce(tmp_path).stored["spring", "r01"].borrowed
    write_small_book(tmp_path, {"r01": "wanted", "r02": "inertia=4e-5"}, rig=nameless)
    assert reduce(tmp_path).stored["spring", "r01"].borrowed


def test_a_campaigns_own_donor_goes_before_a_better_one_of_another(tmp_path: Path) -> None:
    write_small_book(tmp_path, {"r01": "wanted", "r02": "inertia=3e-5 u=9e-7"})
    write_small_book(tmp_path, {"q01": "inertia=4e-5 u=1e-9"}, campaign="later")
    inertia = reduce(tmp_path).stored["spring", "r01"].reduced.inertia
    assert inertia is not None
    assert inertia.value == 3e-5


def test_a_donor_that_goes_or_changes_makes_the_borrower_anew(tmp_path: Path) -> None:
    logs = {"r01": "wanted", "r02": "inertia=3e-5"}
    book = write_small_book(tmp_path, logs)
    reduce(book)
    edit(book / "campaigns/spring/runs.csv", "r02,Auk,A1,,ramp", "r02,Auk,A1,,coast")
    assert names(reduce(book).reduced) == ["r01", "r02"]
    write_small_book(tmp_path, logs, [row("r01")])
    outcome = reduce(book)
    run = outcome.stored["spring", "r01"]
    assert (run.borrowed, run.reduced.inertia, run.reduced.inertia_wanted) == (False, None, True)
    assert outcome.findings == ()


# Two processes at one book.


def test_a_second_reduce_waits_for_the_first(tmp_path: Path) -> None:
    book = write_small_book(tmp_path, LOGS)
    told, waiting = [], threading.Event()

    def tell(done: int, total: int, what: str) -> None:
        told.append(what)
        if "waiting" in what:
            waiting.set()

    outcomes: list[ReduceOutcome] = []
    thread = threading.Thread(target=lambda: outcomes.append(reduce(book, progress=tell)))
    with book_locked(book, lambda: None):
        thread.start()
        assert waiting.wait(10.0)
        assert not list((book / "derived").rglob("*.parquet"))
    thread.join(20.0)
    assert names(outcomes[0].reduced) == ["r01", "r02", "r03"]
    assert sum("waiting" in what for what in told) == 1
