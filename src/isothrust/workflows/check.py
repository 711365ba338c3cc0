"""Check recordings before they count: the first half of reduce, nothing written; also one fresh file at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from isothrust.book.campaigns import RIGS, described_rigs, rig_names
from isothrust.book.hashes import file_sha256
from isothrust.book.load import load_book
from isothrust.book.rigfile import parse_rig
from isothrust.book.settings import STANDARD_DENSITY
from isothrust.book.store import read_stored, run_file
from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Decision, Design, Kind, Run
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import Rig
from isothrust.tables.nearest import names_told
from isothrust.workflows.filenames import kind_in
from isothrust.workflows.jobs import JobFailure, Outcome, Worker, hollow_run, not_reduced, reduce_job, run_jobs
from isothrust.workflows.runs import RunName, Task, selected, tasks_of

__all__ = ["CheckOutcome", "CheckedRun", "check", "check_file"]


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
    rig: str | None = None,
    kind: Kind | None = None,
    executor: Executor | None = None,
    worker: Worker = reduce_job,
) -> CheckOutcome:
    """Check runs of the book, or loose files.

    Parameters
    ----------
    root
        The book's folder. For loose files with a rig file of their own it need not be a book.
    targets
        Names of runs, or paths of files; none: every run of the book.
    rig
        For loose files: the name of a rig of the book, or the path of a rig file; None: the book's only rig.
    kind
        For loose files: what the run was; None: what the name tells.
    executor, worker
        As for `reduce_book`.

    Raises
    ------
    BookError, RigError, ProblemsError, UsageError
        Where the book or the rig cannot be read, or a target is neither a run nor a file.
    """
    files = [target for target in targets if Path(target).is_file()]
    names = [target for target in targets if target not in files]
    checked: list[CheckedRun] = []
    findings: tuple[Finding, ...] = ()
    decisions: tuple[Decision, ...] = ()
    if names or not targets:
        book = load_book(root)
        checked += _check_runs(book, selected(book, names or None), worker, executor)
        findings, decisions = book.findings, book.decisions
    if files:
        used, of_rig = _rig_for(root, rig)
        checked += [check_file(path, used, kind=kind, worker=worker) for path in files]
        findings += of_rig
    return CheckOutcome(tuple(checked), findings, decisions)


def check_file(path: str | Path, rig: Rig, *, kind: Kind | None = None, worker: Worker = reduce_job) -> CheckedRun:
    """Check one loose file: no design, no air, so no coefficients; findings and figures as recorded."""
    file = Path(path)
    run = Run(
        name=file.stem,
        campaign="",
        design="",
        sample="",
        mounting="",
        # A throttle that stands still is no fault in holds: the least that can be asked of a file of unknown kind.
        kind=kind or kind_in(file.name) or "holds",
        files={"log": file.name},
        date="",
        air=None,
    )
    hashes = {"log": file_sha256(file)}
    job = RunJob(run, rig, Design(""), None, STANDARD_DENSITY, {"log": str(file)}, hashes)
    return CheckedRun("", run.name, str(path), _shown(job, worker(job)))


def _check_runs(book: Book, wanted: set[RunName] | None, worker: Worker, executor: Executor | None) -> list[CheckedRun]:
    tasks = {
        name: task for name, task in tasks_of(book, record_first_seen=False).items() if wanted is None or name in wanted
    }
    done = {name: reduced for name, task in tasks.items() if (reduced := _known(book, name, task)) is not None}
    jobs = [task.job for name, task in tasks.items() if name not in done]
    for job, outcome in run_jobs(jobs, worker, executor):
        done[job.run.campaign, job.run.name] = _shown(job, outcome)
    return [CheckedRun(*name, "", done[name]) for name in tasks]


def _known(book: Book, name: RunName, task: Task) -> ReducedRun | None:
    """Return what is known of a run without reading it: its own fault, or what an earlier reduce found in it."""
    if task.findings:
        return hollow_run(task.job, task.findings)
    stored = read_stored(run_file(book.root, *name))
    return stored.reduced if stored is not None and stored.base_key == task.base_key else None


def _shown(job: RunJob, outcome: Outcome) -> ReducedRun:
    if isinstance(outcome, JobFailure):
        return hollow_run(job, [not_reduced(outcome, job.run.name)])
    return outcome


def _rig_for(root: str | Path, rig: str | None) -> tuple[Rig, tuple[Finding, ...]]:
    known = rig_names(Path(root))
    if rig is not None and rig not in known and Path(rig).is_file():
        return parse_rig(rig)
    described = described_rigs(Path(root))
    if rig is None and len(described) == 1:
        rig = described[0]
    if rig is None or rig not in known:
        raise UsageError(
            f'there is no rig "{rig}"' if rig else "nothing says which rig recorded the file",
            code="unknown-rig" if rig else "rig-needed",
            where=Where(RIGS),
            expected=names_told(rig or "", described, otherwise="the path of a rig file"),
            fix="add  --rig NAME,  a rig of the book or the path of a rig file",
        )
    return parse_rig(Path(root) / RIGS / f"{rig}.toml", shown=f"{RIGS}/{rig}.toml")
