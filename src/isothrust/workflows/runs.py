"""The runs of a book as jobs: their files found and hashed, their input keys, and which of them are asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.book.hashes import RAW, file_sha256, raw_changed, read_hashes, record_hashes
from isothrust.book.keys import input_key
from isothrust.book.runs import RUNS
from isothrust.errors import Problem, UsageError, Where, raise_problems
from isothrust.records.book import Book, Campaign, Design, Run
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.method import METHOD_VERSION
from isothrust.tables.inside import file_of
from isothrust.tables.nearest import names_told
from isothrust.workflows.jobs import JobFailure, not_reduced
from isothrust.workflows.rawnames import hash_of, raw_name
from isothrust.workflows.telling import Progress, tell_nobody

__all__ = ["RunName", "Task", "selected", "tasks_as_recorded", "tasks_of"]

RunName = tuple[str, str]
"""Campaign and run."""


@dataclass(frozen=True, slots=True)
class Task:
    """One run, ready to be reduced; or with the findings that forbid it."""

    job: RunJob
    base_key: str
    findings: tuple[Finding, ...] = ()


def tasks_of(book: Book, *, record_first_seen: bool, tell: Progress = tell_nobody) -> dict[RunName, Task]:
    """Return every run of the book, its recordings hashed.

    With `record_first_seen`, the hash of a recording that was never seen before is written down. `tell` is called as
    recordings are hashed.
    """
    tasks: dict[RunName, Task] = {}
    names = {campaign.name: _recordings(book, campaign) for campaign in book.campaigns.values()}
    total, done = sum(map(len, names.values())), 0
    for campaign in book.campaigns.values():
        known = read_hashes(book.root, campaign.name)
        hashes: dict[str, str] = {}
        for name in names[campaign.name]:
            path = _raw(book, campaign) / name
            if path.is_file():
                hashes[name] = file_sha256(path)
            done += 1
            tell(done, total, f"looking for changes in {campaign.name}")
        if record_first_seen:
            record_hashes(book.root, campaign.name, hashes)
        for run in campaign.runs:
            tasks[campaign.name, run.name] = _task(book, campaign, run, hashes, known)
    return tasks


def tasks_as_recorded(book: Book, campaign: Campaign, runs: Iterable[Run]) -> dict[str, Task]:
    """Return some runs of a campaign by name, their recordings taken to be those that were first seen: no file is read.

    A recording of which no hash was written down counts as not there.
    """
    known = read_hashes(book.root, campaign.name)
    return {run.name: _task(book, campaign, run, known, known) for run in runs}


def selected(book: Book, names: Iterable[str] | None, *, or_files: bool = False) -> set[RunName] | None:
    """Return the runs that are asked for, by `run` or `campaign/run`; None where nothing is: all of them.

    With `or_files`, a name could have been that of a file as well, and the error says so.

    Raises UsageError `unknown-run` with every name that the book does not have.
    """
    if names is None:
        return None
    known = [(campaign.name, run.name) for campaign in book.campaigns.values() for run in campaign.runs]
    chosen: set[RunName] = set()
    problems: list[Problem] = []
    for name in names:
        found = {pair for pair in known if name in {pair[1], "/".join(pair)}}
        if not found:
            words = dict.fromkeys("/".join(pair) if "/" in name else pair[1] for pair in known)
            problems.append(
                Problem(
                    "unknown-run",
                    f'there is no run "{name}" in the book' + (", and no such file" if or_files else ""),
                    Where(f"{CAMPAIGNS}/*/{RUNS}"),
                    names_told(name, words, otherwise="the book has no run yet: isothrust add brings some in"),
                    "name a run as  run  or  campaign/run" + (", or a file that is there" if or_files else ""),
                )
            )
        chosen |= found
    raise_problems(problems, UsageError)
    return chosen


def _recordings(book: Book, campaign: Campaign) -> list[str]:
    """Return the files under raw/ that the campaign's runs name; of what lies in a file, that file."""
    folder = _raw(book, campaign)
    return sorted({file_of(folder, name) for run in campaign.runs for name in run.files.values()})


def _raw(book: Book, campaign: Campaign) -> Path:
    return Path(book.root).resolve() / CAMPAIGNS / campaign.name / RAW


def _response_thrust(book: Book) -> float | None:
    """Return the book's middle comparison thrust, the lower of two [N]."""
    rising = sorted(book.comparison_thrusts)
    return rising[(len(rising) - 1) // 2] if rising else None


def _task(book: Book, campaign: Campaign, run: Run, hashes: dict[str, str], known: dict[str, str]) -> Task:
    folder = _raw(book, campaign)
    job = RunJob(
        run=run,
        rig=campaign.rig,
        design=book.designs.get(run.design, Design("")),
        motor=campaign.motor,
        standard_density=book.standard_density,
        files={kind: str(folder / name) for kind, name in run.files.items()},
        hashes={kind: hash_of(name, hashes) for kind, name in run.files.items()},
        response_thrust=_response_thrust(book) if run.kind == "steps" else None,
    )
    findings: list[Finding] = []
    files = {kind: raw_name(name, hashes) for kind, name in run.files.items()}
    missing = {kind: name for kind, name in files.items() if name not in hashes}
    if missing:
        findings.append(not_reduced(JobFailure(_missing_files(campaign, run, missing)), run.name))
    changed = {name: known[name] for name in files.values() if known.get(name, hashes.get(name)) != hashes.get(name)}
    changed = {name: first for name, first in changed.items() if name in hashes}
    if changed:
        findings.append(raw_changed(run.name, campaign.name, changed))
    return Task(job, input_key(job, METHOD_VERSION) if not changed else _changed_key(job), tuple(findings))


def _changed_key(job: RunJob) -> str:
    # Apart from the key of the same bytes seen for the first time: deleting the line in raw.sha256 makes the run anew.
    return f"changed {input_key(job, METHOD_VERSION)}"


def _missing_files(campaign: Campaign, run: Run, missing: dict[str, str]) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            "missing-file",
            f'run {run.name} names the file "{name}", which is not there',
            Where(f"{CAMPAIGNS}/{campaign.name}/{RUNS}", run.line, kind),
            f"{CAMPAIGNS}/{campaign.name}/{RAW}/{name}",
            f"copy the file there, or mend its name in {RUNS}; then: isothrust reduce",
        )
        for kind, name in missing.items()
    )
