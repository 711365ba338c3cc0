"""Check recordings before they count: the first half of reduce, nothing written; also one fresh file at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from isothrust.book.load import load_book
from isothrust.book.store import read_stored, run_file
from isothrust.records.agreement import FreshAir, FreshFile
from isothrust.records.book import Book, Decision, Kind
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import Rig
from isothrust.workflows.campaign_findings import Member, joined
from isothrust.workflows.fresh import check_fresh, check_placed, fresh_job
from isothrust.workflows.fresh_place import FreshOptions, Place
from isothrust.workflows.jobs import JobFailure, Outcome, Worker, hollow_run, not_reduced, reduce_job, run_jobs
from isothrust.workflows.rawnames import is_recording, recording_sha256
from isothrust.workflows.runs import RunName, Task, selected, tasks_of
from isothrust.workflows.telling import Progress, tell_nobody

__all__ = ["CheckOutcome", "CheckedRun", "FreshOptions", "check", "check_file"]


@dataclass(frozen=True, slots=True)
class CheckedRun:
    """One run, or one loose file, with what was found."""

    campaign: str
    """Empty for a loose file."""
    run: str
    file: str
    """Of a loose file: its path as given; else empty."""
    reduced: ReducedRun
    """Without curves and figures where the run could not be reduced."""
    job: RunJob
    """What was read."""
    fresh: FreshFile | None = None
    """Of a loose file: whether it agrees with the earlier runs of its design."""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found."""
        return self.reduced.findings


@dataclass(frozen=True, slots=True)
class CheckOutcome:
    """What was checked."""

    checked: tuple[CheckedRun, ...]
    findings: tuple[Finding, ...]
    """Of the book's own tables and rigs."""
    decisions: tuple[Decision, ...] = ()


def check(
    root: str | Path,
    targets: Sequence[str] = (),
    *,
    fresh: FreshOptions | None = None,
    executor: Executor | None = None,
    worker: Worker = reduce_job,
    progress: Progress | None = None,
) -> CheckOutcome:
    """Check runs of the book, or loose files.

    Parameters
    ----------
    root
        The book's folder. For loose files with a rig file of their own it need not be a book.
    targets
        Names of runs, or paths of files; none: every run of the book.
    fresh
        For loose files: their rig, kind, design, sample and air, as far as these are said.
    executor, worker, progress
        As for `reduce_book`.

    Raises
    ------
    BookError, RigError, ProblemsError, UsageError
        Where the book or the rig cannot be read, or a target is neither a run nor a file.
    """
    files = [target for target in targets if is_recording(target)]
    names = [target for target in targets if target not in files]
    checked: list[CheckedRun] = []
    findings: tuple[Finding, ...] = ()
    decisions: tuple[Decision, ...] = ()
    if names or not targets:
        book = load_book(root)
        wanted = selected(book, names or None, or_files=True)
        checked += _check_runs(book, wanted, _Means(worker, executor, progress or tell_nobody))
        findings, decisions = book.findings, book.decisions
    for path in files:
        one = check_fresh(path, fresh or FreshOptions(), root, worker=worker)
        checked.append(_checked(path, one))
        findings += tuple(finding for finding in one.of_rig if finding not in findings)
    return CheckOutcome(tuple(checked), findings, decisions)


def check_file(path: str | Path, rig: Rig, *, kind: Kind | None = None, worker: Worker = reduce_job) -> CheckedRun:
    """Check one loose file apart from any book: no design, no air, so no coefficients; figures as recorded."""
    place = Place(rig, alone="no book was named")
    job = fresh_job(Path(path), recording_sha256(path), place, kind)
    return _checked(path, check_placed(job, place, FreshAir("nobody"), worker, kind_told=kind is not None))


def _checked(path: str | Path, one: FreshFile) -> CheckedRun:
    assert one.job is not None
    return CheckedRun("", one.run, str(path), one.reduced, one.job, one)


@dataclass(frozen=True, slots=True)
class _Means:
    """How the runs of a book are checked."""

    worker: Worker
    executor: Executor | None
    tell: Progress


def _check_runs(book: Book, wanted: set[RunName] | None, means: _Means) -> list[CheckedRun]:
    everything = tasks_of(book, record_first_seen=False, tell=means.tell)
    tasks = {name: task for name, task in everything.items() if wanted is None or name in wanted}
    campaigns = {campaign for campaign, _ in tasks}
    # The others of its campaign, as far as they are reduced: a run is held against them.
    beside = {name: task for name, task in everything.items() if name[0] in campaigns}
    done: dict[RunName, Member] = {}
    for count, (name, task) in enumerate(beside.items(), start=1):
        known = _known(book, name, task)
        if known is not None:
            done[name] = known
        means.tell(count, len(beside), "reading what was found before")
    jobs = [task.job for name, task in tasks.items() if name not in done]
    for count, (job, outcome) in enumerate(run_jobs(jobs, means.worker, means.executor), start=1):
        name = (job.run.campaign, job.run.name)
        done[name] = Member(_shown(job, outcome), everything[name].base_key)
        means.tell(count, len(jobs), job.run.name)
    members = {name: done[name] for name in everything if name in done}
    together = joined(book, members, {name: task.job for name, task in everything.items()}, store=False)
    return [CheckedRun(*name, "", together[name], task.job) for name, task in tasks.items()]


def _known(book: Book, name: RunName, task: Task) -> Member | None:
    """Return what is known of a run without reading it: its own fault, or what an earlier reduce found in it."""
    if task.findings:
        return Member(hollow_run(task.job, task.findings), task.base_key)
    stored = read_stored(run_file(book.root, *name))
    return Member(stored.reduced, stored.key) if stored is not None and stored.base_key == task.base_key else None


def _shown(job: RunJob, outcome: Outcome) -> ReducedRun:
    if isinstance(outcome, JobFailure):
        return hollow_run(job, [not_reduced(outcome, job.run.name)])
    return outcome
