"""What the runs of a campaign show together: joined to every run's own findings, renewed when any of them changes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from isothrust.book.campaign_findings import read_campaign_findings
from isothrust.book.store import read_stored
from isothrust.records.finding import Finding
from isothrust.reduction.checks.campaign import catalogue
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.workflows.campaign_findings import joined_as_stored
from isothrust.workflows.check import check
from isothrust.workflows.moved import store_and_compare
from isothrust.workflows.reduce import ReduceOutcome, reduce_book
from isothrust.workflows.results import collect_results
from isothrust.workflows.selection import Selection
from support.fake_reduction import fake_worker
from support.small_books import row, tree, write_small_book


class Odd:
    """A check for these tests: the run whose thrust is farthest from the others' is set aside, where there are 3."""

    __name__ = "odd"

    def __init__(self) -> None:
        self.calls = 0

    def __call__(self, evidence: CampaignEvidence) -> list[Finding]:
        self.calls += 1
        levels = {run.run: float(run.curves["thrust"].coefficients[0]) for run in evidence.runs if run.curves}
        if len(levels) < 3:
            return []
        middle = sorted(levels.values())[len(levels) // 2]
        far = max(levels, key=lambda run: abs(levels[run] - middle))
        if abs(levels[far] - middle) < 0.5 * middle:
            return []
        others = [run for run in levels if run != far]
        return [Finding("odd-one", "fail", f"{far} is apart from {', '.join(others)}.", run=far)]


class Twice:
    """A check for these tests: notes every run whose file stands in another place of the book as well."""

    __name__ = "twice"

    def __call__(self, evidence: CampaignEvidence) -> list[Finding]:
        return [
            Finding(
                "stands-twice", "note", " ".join(f"{twin.campaign}/{twin.run}/{twin.file}" for twin in twins), run=run
            )
            for run, hashes in evidence.hashes.items()
            for twins in [evidence.twins.get(hashes["log"], ())]
            if twins
        ]


@pytest.fixture
def odd(monkeypatch: pytest.MonkeyPatch) -> Odd:
    found = Odd()
    monkeypatch.setattr(catalogue, "CAMPAIGN_CHECKS", (found, Twice()))
    return found


@pytest.fixture
def book(tmp_path: Path) -> Path:
    logs = {"r01": "level=1", "r02": "level=1 twin", "r03": "level=1 other"}
    return write_small_book(tmp_path / "book", logs)


def put(book: Path, run: str, words: str) -> None:
    (book / f"campaigns/spring/raw/{run}.csv").write_text(words)
    (book / "campaigns/spring/raw.sha256").unlink(missing_ok=True)


def codes(outcome: ReduceOutcome, run: str) -> list[str]:
    return [finding.code for finding in outcome.stored["spring", run].reduced.findings]


def reduced(book: Path) -> ReduceOutcome:
    return reduce_book(book, worker=fake_worker)


def test_a_run_is_set_aside_for_what_the_others_show(book: Path, odd: Odd) -> None:
    assert reduced(book).set_aside == ()
    put(book, "r03", "level=9")
    outcome = reduced(book)
    assert outcome.set_aside == (("spring", "r03"),)
    assert "odd-one" in [finding.code for finding in outcome.findings]
    answer = collect_results(outcome.book, outcome.runs, Selection(("thrust",), speeds=(250.0,)))
    assert answer.results[0].runs == ("r01", "r02")
    assert [(one.run, one.reason) for one in answer.set_aside] == [("r03", "r03 is apart from r01, r02 [odd-one]")]


def test_what_was_found_is_renewed_when_another_run_changes(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    assert reduced(book).set_aside == (("spring", "r03"),)
    for run in ("r01", "r02"):
        put(book, run, "level=9")
    outcome = reduced(book)
    assert outcome.set_aside == ()
    assert ("spring", "r03") not in outcome.reduced, "the run itself has not changed"


def test_the_checks_are_not_made_again_where_nothing_has_changed(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    first = reduced(book)
    calls = odd.calls
    again = reduced(book)
    assert odd.calls == calls
    assert codes(again, "r03") == codes(first, "r03") == ["odd-one"]


def test_the_same_bytes_come_back_and_no_run_holds_what_others_show(book: Path, odd: Odd) -> None:
    reduced(book)
    put(book, "r03", "level=9")
    reduced(book)
    kept = tree(book)
    shutil.rmtree(book / "derived")
    reduced(book)
    assert tree(book) == kept
    assert [finding.code for finding in read_campaign_findings(book)["spring"].findings] == ["odd-one"]
    # Of the run itself nothing was written again, and nothing is known in its file of the others.
    shutil.copyfile(book / "derived/spring/r03.parquet", book / "r03.parquet")
    found = read_stored(book / "r03.parquet")
    assert found is not None
    assert found.reduced.findings == ()


def test_figures_move_when_a_campaign_finding_sets_a_run_aside(book: Path, odd: Odd) -> None:
    (book / "book.toml").write_text('comparison_speeds = ["2500 rpm"]')
    store_and_compare(reduced(book))
    put(book, "r03", "level=9")
    moves = store_and_compare(reduced(book)).moves
    assert any(run == "r03" for move in moves for run, _ in move.why.set_aside)


def test_damaged_findings_are_made_anew(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    reduced(book)
    whole = tree(book)
    (book / "derived/.campaign-findings").write_bytes(b"PAR1 no more")
    assert reduced(book).set_aside == (("spring", "r03"),)
    assert tree(book) == whole


def test_check_finds_the_same_before_any_reduce_and_writes_nothing(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    before = tree(book)
    checked = check(book, worker=fake_worker)
    assert tree(book) == before
    assert {one.run: [finding.code for finding in one.findings] for one in checked.checked} == {
        "r01": [],
        "r02": [],
        "r03": ["odd-one"],
    }


def test_check_of_one_run_holds_it_against_what_is_reduced(book: Path, odd: Odd) -> None:
    reduced(book)
    put(book, "r03", "level=9")
    (one,) = check(book, ["r03"], worker=fake_worker).checked
    assert [(finding.code, finding.run) for finding in one.findings] == [("odd-one", "r03")]


def test_check_of_one_run_with_nothing_reduced_beside_it_finds_what_it_can(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    (one,) = check(book, ["r03"], worker=fake_worker).checked
    assert one.findings == ()


def test_a_file_that_stands_in_two_campaigns_is_seen_from_both(book: Path, odd: Odd) -> None:
    write_small_book(book, {"a1": "level=1"}, [row("a1")], campaign="autumn")
    outcome = reduced(book)
    (seen,) = outcome.stored["spring", "r01"].reduced.findings
    assert seen.message == "autumn/a1/a1.csv spring/r01/r01.csv"
    assert [finding.code for finding in outcome.stored["autumn", "a1"].reduced.findings] == ["stands-twice"]
    (book / "campaigns/autumn/raw/a1.csv").write_text("level=1 now another")
    (book / "campaigns/autumn/raw.sha256").unlink()
    again = reduced(book)
    assert again.stored["spring", "r01"].reduced.findings == ()


def test_stored_runs_are_joined_with_what_was_found_last(book: Path, odd: Odd) -> None:
    put(book, "r03", "level=9")
    outcome = reduced(book)
    bare = [run.__class__(**{**{n: getattr(run, n) for n in run.__slots__}, "findings": ()}) for run in outcome.runs]
    joined = joined_as_stored(outcome.book, bare)
    assert [[finding.code for finding in run.findings] for run in joined] == [[], [], ["odd-one"]]
