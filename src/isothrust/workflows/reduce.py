"""Reduce a book: every run whose input has changed, the others left as they are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from pathlib import Path

from isothrust.book.keys import input_key, input_parts
from isothrust.book.load import load_book
from isothrust.book.lock import book_locked
from isothrust.book.store import (
    StoredRun,
    read_reduced,
    remove_leftovers,
    remove_other_runs,
    set_results_aside,
    write_reduced,
)
from isothrust.records.book import Book
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.method import METHOD_VERSION
from isothrust.workflows.campaign_findings import Member, joined
from isothrust.workflows.donors import Donor, Lender, borrowed_finding, choose_donor
from isothrust.workflows.jobs import JobFailure, Outcome, Worker, hollow_run, not_reduced, reduce_job, run_jobs
from isothrust.workflows.runs import RunName, Task, selected, tasks_of
from isothrust.workflows.telling import Progress, tell_nobody

__all__ = ["Progress", "ReduceOutcome", "reduce_book"]


@dataclass(frozen=True, slots=True)
class ReduceOutcome:
    """What `reduce` did; every run is named as (campaign, run)."""

    book: Book
    stored: Mapping[RunName, StoredRun]
    """Every run of the book that is stored now, in the order of the book."""
    reduced: tuple[RunName, ...]
    """Computed now."""
    fresh: tuple[RunName, ...]
    """Already up to date."""
    failed: tuple[RunName, ...]
    """Could not be reduced, or their recordings have changed: among them those that were known to fail."""
    removed: tuple[RunName, ...]
    """Stored runs that the book no longer has."""
    findings: tuple[Finding, ...]
    """Of the book's own tables, then of the runs asked for, in the order of the book."""

    @property
    def runs(self) -> tuple[ReducedRun, ...]:
        """Every run of the book as it is stored now."""
        return tuple(stored.reduced for stored in self.stored.values())

    @property
    def set_aside(self) -> tuple[RunName, ...]:
        """Runs with a fail finding, the failed ones included."""
        return tuple(name for name, stored in self.stored.items() if has_failed(stored.reduced))


def reduce_book(
    root: str | Path,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    runs: Iterable[str] | None = None,
    worker: Worker = reduce_job,
) -> ReduceOutcome:
    """Bring derived/ up to date.

    Parameters
    ----------
    root
        The book's folder.
    executor
        Where the runs are reduced, made by the caller (spawned processes, a cluster); None: here, one after the other.
    progress
        Called as runs are done.
    runs
        Names of runs, `run` or `campaign/run`, to reduce alone; None: all.
    worker
        Reduces one job. It must survive the way to another process.

    Returns
    -------
    ReduceOutcome
        What was done. A run's own failure does not stop the others and is among its findings.

    Raises
    ------
    BookError, RigError, ProblemsError
        Where the book or a rig cannot be read; nothing is then written.
    UsageError
        Where a run is asked for that the book does not have; nothing is then written.
    """
    tell = progress or tell_nobody
    folder = Path(root)
    wanted = selected(load_book(folder), runs)
    with book_locked(folder, lambda: tell(0, 0, "waiting for another reduce of this book")):
        # Read again: what another process has done while this one waited counts.
        book = load_book(folder)
        remove_leftovers(folder, tuple(book.campaigns))
        tasks = tasks_of(book, record_first_seen=True, tell=tell)
        state = _State(folder, tasks, read_reduced(folder, tell), tell, worker, executor)
        if not state.stored.keys() <= tasks.keys():
            state.set_results_aside()
        removed = remove_other_runs(folder, tasks)
        state.stored = {name: stored for name, stored in state.stored.items() if name in tasks}
        names = [name for name in tasks if wanted is None or name in wanted]
        state.first_pass(names)
        state.second_pass(names)
        state.look_at_campaigns(book)
    return _outcome(book, state, names, removed)


@dataclass(slots=True)
class _State:
    """One `reduce` at work."""

    root: Path
    tasks: Mapping[RunName, Task]
    stored: dict[RunName, StoredRun]
    tell: Progress
    worker: Worker
    executor: Executor | None
    done: dict[RunName, None] = field(default_factory=dict)
    aside: bool = False

    def set_results_aside(self) -> None:
        """Take the stored results away: before the first run changes."""
        set_results_aside(self.root, self.stored)
        self.aside = True

    def first_pass(self, names: Iterable[RunName]) -> None:
        """Reduce every run whose own input has changed, without help from others."""
        stale = [name for name in names if not self._is_fresh(name)]
        ready = [name for name in stale if not self.tasks[name].findings]
        for name in stale:
            if name not in ready:
                task = self.tasks[name]
                self._keep(task.job, hollow_run(task.job, task.findings), task.base_key)
        self._run({name: self.tasks[name].job for name in ready}, {})

    def second_pass(self, names: Iterable[RunName]) -> None:
        """Reduce again, with a donor's inertia, the runs that had none of their own."""
        lenders = self._lenders()
        lonely: dict[RunName, RunJob] = {}
        jobs: dict[RunName, RunJob] = {}
        donors: dict[RunName, Donor] = {}
        for name in names:
            stored = self.stored[name]
            if not (stored.borrowed or stored.reduced.inertia_wanted):
                continue
            job = self.tasks[name].job
            donor = choose_donor(job, lenders)
            if donor is None:
                if stored.borrowed:
                    lonely[name] = job
                continue
            lent = replace(job, inertia=donor.inertia)
            if not stored.borrowed or stored.key != input_key(lent, METHOD_VERSION):
                jobs[name], donors[name] = lent, donor
        self._run(lonely, {})
        self._run(jobs, donors)

    def look_at_campaigns(self, book: Book) -> None:
        """Join what the runs of each campaign show together to what is told; no run's own file changes."""
        members = {name: Member(self.stored[name].reduced, self.stored[name].key) for name in self._in_order()}
        jobs = {name: task.job for name, task in self.tasks.items()}
        for name, reduced in joined(book, members, jobs, store=True).items():
            self.stored[name] = replace(self.stored[name], reduced=reduced)

    def _in_order(self) -> list[RunName]:
        return [name for name in self.tasks if name in self.stored]

    def _is_fresh(self, name: RunName) -> bool:
        stored = self.stored.get(name)
        return stored is not None and bool(stored.base_key) and stored.base_key == self.tasks[name].base_key

    def _lenders(self) -> list[Lender]:
        """Return the runs that found their own inertia; those that failed or are out of date lend nothing."""
        return [
            Lender(self.tasks[name].job, stored.reduced, stored.reduced.inertia)
            for name, stored in sorted(self.stored.items())
            if stored.reduced.inertia is not None
            and not stored.borrowed
            and not has_failed(stored.reduced)
            and self._is_fresh(name)
        ]

    def _run(self, jobs: Mapping[RunName, RunJob], donors: Mapping[RunName, Donor]) -> None:
        total = len(jobs)
        if total:
            self.tell(0, total, "reading and reducing")
        for count, (job, outcome) in enumerate(run_jobs(list(jobs.values()), self.worker, self.executor), start=1):
            name = (job.run.campaign, job.run.name)
            self._take(name, job, outcome, donors.get(name))
            self.tell(count, total, job.run.name)

    def _take(self, name: RunName, job: RunJob, outcome: Outcome, donor: Donor | None) -> None:
        base_key = self.tasks[name].base_key
        if isinstance(outcome, JobFailure):
            # What may fare better next time has no key, and is never up to date.
            hollow = hollow_run(job, [not_reduced(outcome, job.run.name)])
            self._keep(job, hollow, base_key if outcome.lasting else "")
            return
        if donor is None:
            self._keep(job, outcome, base_key)
            return
        note = borrowed_finding(donor, job.run.name)
        noted = replace(outcome, findings=(*outcome.findings, note))
        self._keep(job, noted, base_key, key=input_key(job, METHOD_VERSION))

    def _keep(self, job: RunJob, reduced: ReducedRun, base_key: str, key: str | None = None) -> None:
        if not self.aside:
            self.set_results_aside()
        borrowed = key is not None
        parts = input_parts(job, METHOD_VERSION)
        stored = StoredRun(base_key if key is None else key, base_key, borrowed, reduced, parts)
        write_reduced(self.root, stored)
        name = (job.run.campaign, job.run.name)
        self.stored[name] = stored
        self.done[name] = None


def has_failed(reduced: ReducedRun) -> bool:
    """Say whether a run is set aside."""
    return any(finding.severity == "fail" for finding in reduced.findings)


def _outcome(book: Book, state: _State, names: list[RunName], removed: tuple[RunName, ...]) -> ReduceOutcome:
    failed = [name for name in names if _gives_nothing(state.stored[name].reduced)]
    of_runs = [finding for name in names for finding in state.stored[name].reduced.findings]
    return ReduceOutcome(
        book=book,
        stored={name: state.stored[name] for name in state.tasks if name in state.stored},
        reduced=tuple(name for name in names if name in state.done and name not in failed),
        fresh=tuple(name for name in names if name not in state.done and name not in failed),
        failed=tuple(failed),
        removed=removed,
        findings=(*book.findings, *of_runs),
    )


def _gives_nothing(reduced: ReducedRun) -> bool:
    return any(finding.code in {"not-reduced", "raw-changed"} for finding in reduced.findings)
