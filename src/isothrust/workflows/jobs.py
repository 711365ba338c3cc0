"""One job a run: what a worker needs, what it does, and what becomes of a run that cannot be reduced."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, as_completed
from dataclasses import dataclass, replace

from isothrust.errors import IsothrustError, Problem
from isothrust.ingest import read_recording
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.method import METHOD_VERSION
from isothrust.reduction.run import reduce_run
from isothrust.tables.inside import split_inside

__all__ = ["JobFailure", "Outcome", "Worker", "hollow_run", "not_reduced", "reduce_job", "run_jobs"]


@dataclass(frozen=True, slots=True)
class JobFailure:
    """Why a run could not be reduced."""

    problems: tuple[Problem, ...]
    lasting: bool = True
    """False where the same input may fare better next time: it is then tried again."""


Outcome = ReducedRun | JobFailure
Worker = Callable[[RunJob], Outcome]


def reduce_job(job: RunJob) -> Outcome:
    """Read one run's recordings and reduce them; called in a worker process."""
    try:
        recording = read_recording(job.run.name, job.files, job.rig, hashes=job.hashes)
        return reduce_run(recording, job)
    except IsothrustError as error:
        return JobFailure(error.problems)
    except Exception as error:  # noqa: BLE001 (one run that trips over a fault of ours must not stop the others)
        return JobFailure((_fault(error),), lasting=False)


def run_jobs(
    jobs: Sequence[RunJob], worker: Worker, executor: Executor | None = None
) -> Iterator[tuple[RunJob, Outcome]]:
    """Yield each job with its outcome as it is done: here, one after the other, or on an executor."""
    if executor is None:
        for job in jobs:
            yield job, _in_the_book(worker(job), job)
        return
    futures: dict[Future[Outcome], RunJob] = {executor.submit(worker, job): job for job in jobs}
    try:
        for future in as_completed(futures):
            yield futures[future], _in_the_book(_result(future), futures[future])
    finally:
        for future in futures:
            future.cancel()


def not_reduced(failure: JobFailure, run: str) -> Finding:
    """Return the finding of a run that could not be reduced: its error, in the form in which errors are shown."""
    text = "\n".join(problem.text() for problem in failure.problems)
    return Finding(
        "not-reduced", "fail", text, run=run, effect="the run gives no figure", done="nothing of the run was written"
    )


def hollow_run(job: RunJob, findings: Iterable[Finding]) -> ReducedRun:
    """Return what is kept of a run that gives no figure: its names, and the findings that say why."""
    return ReducedRun(
        run=job.run.name,
        campaign=job.run.campaign,
        design=job.run.design,
        sample=job.run.sample,
        mounting=job.run.mounting,
        kind=job.run.kind,
        rig=job.rig.name,
        date=job.run.date,
        abscissa="speed",
        density=None,
        standard_density=job.standard_density,
        curves={},
        influences=(),
        figures=(),
        lags={},
        inertia=None,
        zeros={},
        holds=(),
        findings=tuple(findings),
        method_version=METHOD_VERSION,
    )


def _result(future: Future[Outcome]) -> Outcome:
    try:
        return future.result()
    except BrokenExecutor as error:
        what = f"the process that reduced the run ended before it was done ({error})"
        fix = "isothrust reduce  once more; if it comes again, with --jobs 1, to see whether memory runs short"
        return JobFailure((Problem("worker-lost", what, expected="a worker that lives", fix=fix),), lasting=False)


def _fault(error: Exception) -> Problem:
    last = traceback.extract_tb(error.__traceback__)[-1]
    return Problem(
        "internal-error",
        f"isothrust itself failed: {type(error).__name__}: {error} (in {last.name}, line {last.lineno})",
        expected="a figure, or an error that says what to mend",
        fix="report it with the recording and the rig file; the other runs are not concerned",
    )


def _in_the_book(outcome: Outcome, job: RunJob) -> Outcome:
    """Return an outcome with files named as the book names them: what is stored holds no path of this machine."""
    if not job.run.campaign:
        return outcome
    names = {}
    for key, path in job.run.files.items():
        file, inner = split_inside(
            job.files[key]
        )  # what is told of a sheet or a packed log begins with its file's path
        name = path.removesuffix(inner).rstrip("/") if inner else path
        names[file] = f"campaigns/{job.run.campaign}/raw/{name}"
    if isinstance(outcome, JobFailure):
        return replace(outcome, problems=tuple(_problem_in_the_book(problem, names) for problem in outcome.problems))
    findings = (replace(finding, message=_renamed(finding.message, names)) for finding in outcome.findings)
    return replace(outcome, findings=tuple(findings))


def _problem_in_the_book(problem: Problem, names: Mapping[str, str]) -> Problem:
    return replace(
        problem,
        what=_renamed(problem.what, names),
        where=None if problem.where is None else replace(problem.where, file=_place(problem.where.file, names)),
        expected=None if problem.expected is None else _renamed(problem.expected, names),
        fix=None if problem.fix is None else _renamed(problem.fix, names),
    )


def _place(file: str, names: Mapping[str, str]) -> str:
    # A path under raw/ alone becomes the same: who reads an error starts from the book's folder.
    under_raw = next((name for name in names.values() if name.endswith(f"/raw/{file}")), None)
    return _renamed(file, names) if under_raw is None else under_raw


def _renamed(text: str, names: Mapping[str, str]) -> str:
    for absolute, name in names.items():
        text = text.replace(absolute, name)
    return text
