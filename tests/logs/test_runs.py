"""Every run of runs/ is read and reduced as `isothrust reduce` does, and says what was planted in it, and no more."""

from __future__ import annotations

import gzip
import shutil
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from isothrust.book.load import load_book
from isothrust.errors import IsothrustError
from isothrust.records.book import Book
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.campaign_findings import Member, joined
from isothrust.workflows.jobs import JobFailure, reduce_job
from isothrust.workflows.runs import RunName, tasks_of
from logs import make_runs
from logs.run_campaigns import GOOD, identity_cases
from logs.run_logs import LOGGER

RUNS = Path(__file__).parent / "runs"
LARGEST = 3_000_000
"""Bytes of the whole folder."""


@dataclass(frozen=True)
class Corpus:
    """The book, and a job a run."""

    book: Book
    jobs: Mapping[RunName, RunJob]


@cache
def corpus() -> Corpus:
    book = load_book(RUNS)
    tasks = tasks_of(book, record_first_seen=False)
    assert [finding for task in tasks.values() for finding in task.findings] == []
    return Corpus(book, {name: task.job for name, task in tasks.items()})


@cache
def reduced(campaign: str) -> dict[RunName, ReducedRun]:
    """Return the runs of a good campaign, each with what it shows by itself."""
    runs: dict[RunName, ReducedRun] = {}
    for name, job in corpus().jobs.items():
        if name[0] == campaign:
            outcome = reduce_job(job)
            assert isinstance(outcome, ReducedRun), outcome
            runs[name] = outcome
    return runs


def found_together(
    runs: Mapping[RunName, ReducedRun], jobs: Mapping[RunName, RunJob]
) -> dict[str, tuple[Finding, ...]]:
    """Return all findings of a campaign's runs, those of the campaign included."""
    members = {name: Member(run, name[1]) for name, run in runs.items()}
    whole = joined(corpus().book, members, {**corpus().jobs, **jobs}, store=False)
    return {run: found.findings for (_, run), found in whole.items()}


def serious(findings: Sequence[Finding]) -> list[tuple[str, str]]:
    return [(finding.code, finding.message) for finding in findings if finding.severity != "note"]


def expected(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


EXPECTED = {
    (path.parent.parent.name, path.name.partition(".")[0]): expected(path) for path in RUNS.rglob("*.expected.toml")
}
ALONE = {name: told for name, told in EXPECTED.items() if "campaign" not in told}
IN_CAMPAIGN = {name: told for name, told in EXPECTED.items() if "campaign" in told}


@pytest.mark.parametrize(
    ("name", "told"), ALONE.items(), ids=lambda each: "/".join(each) if isinstance(each, tuple) else ""
)
def test_a_bad_run_says_what_was_planted_in_it_and_nothing_else_that_is_serious(
    name: RunName, told: Mapping[str, Any]
) -> None:
    outcome = reduce_job(corpus().jobs[name])
    if isinstance(outcome, JobFailure):
        assert [problem.code for problem in outcome.problems] == [told["finding"]]
        return
    assert told["finding"] in {finding.code for finding in outcome.findings}
    allowed = {told["finding"], *told.get("beside", ())}
    assert [each for each in serious(outcome.findings) if each[0] not in allowed] == []


@pytest.mark.parametrize("campaign", GOOD)
def test_good_runs_say_nothing_serious_alone_or_together(campaign: str) -> None:
    found = found_together(reduced(campaign), {})
    assert len(found) == len(GOOD[campaign].plans)
    assert {run: serious(findings) for run, findings in found.items() if serious(findings)} == {}


@pytest.mark.parametrize(
    ("name", "told"), IN_CAMPAIGN.items(), ids=lambda each: each[1] if isinstance(each, tuple) else ""
)
def test_a_run_that_only_its_campaign_shows_is_named_in_it_and_no_other(name: RunName, told: Mapping[str, Any]) -> None:
    of, victim = told["campaign"], told["instead_of"]
    plain = corpus().jobs[name]
    job = replace(plain, run=replace(plain.run, name=victim, campaign=of))
    outcome = reduce_job(job)
    assert isinstance(outcome, ReducedRun), outcome
    assert serious(outcome.findings) == []
    found = found_together({**reduced(of), (of, victim): outcome}, {(of, victim): job})
    assert [run for run, findings in found.items() if told["finding"] in {each.code for each in findings}] == [victim]


def test_every_fault_of_a_run_has_a_log_and_good_runs_are_of_every_kind() -> None:
    wanted = {name for _, name in make_runs.all_faults()} | set(identity_cases())
    assert {name for _, name in EXPECTED} == wanted
    assert {name for name in corpus().jobs if not name[0].startswith("good-")} == set(EXPECTED)
    good = [job for name, job in corpus().jobs.items() if name[0].startswith("good-")]
    assert len(good) >= 20
    assert {job.run.kind for job in good} == {"ramp", "holds", "steps", "coast", "zero"}


def test_a_temperature_of_72_degc_is_refused_with_the_whole_book(tmp_path: Path) -> None:
    book = tmp_path / "book"
    shutil.copytree(RUNS, book, ignore=shutil.ignore_patterns("raw"))
    table = book / "campaigns" / "air" / "runs.csv"
    head, first, *others = table.read_text(encoding="utf-8").splitlines()
    cells = first.split(",")
    cells[head.split(",").index("temperature [degC]")] = "72.0"
    table.write_text("\n".join([head, ",".join(cells), *others, ""]), encoding="utf-8")
    with pytest.raises(IsothrustError) as caught:
        load_book(book)
    assert [problem.code for problem in caught.value.problems] == ["out-of-range"]
    assert make_runs.NO_RUN not in make_runs.all_faults()


AGAIN = (
    ("tachometer", "tachometer-jump"),
    ("load-cells", "zero-drift"),
    ("electrical", "current-at-rest"),
    ("timing", "clock-jitter"),
    ("physics", "merit-high"),
)
"""A few of them: all take a minute."""


def test_the_files_are_those_that_the_script_writes() -> None:
    for (campaign, name), row in zip(AGAIN, make_runs.bad_rows(AGAIN), strict=True):
        path = RUNS / "campaigns" / campaign / "raw" / row.file
        assert path.with_name(f"{path.name}.expected.toml").read_text(encoding="utf-8") == row.expected, name
        kept, made = gzip.decompress(path.read_bytes()).decode(), gzip.decompress(row.log).decode()
        assert kept.partition("\n")[0] == made.partition("\n")[0]
        kept_numbers, made_numbers = (np.loadtxt(text.splitlines()[1:], delimiter=",") for text in (kept, made))
        last_digit = np.array([10.0**-column.digits for column in LOGGER.columns])  # it may round to either side
        assert np.all(np.abs(kept_numbers - made_numbers) <= 1.01 * last_digit), name


def test_the_folder_stays_small() -> None:
    assert sum(path.stat().st_size for path in RUNS.rglob("*") if path.is_file()) < LARGEST
