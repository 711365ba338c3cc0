"""One fresh file at the bench: reduced as the run that it would be, and held against its design's earlier runs.

Nothing is written. What the book has reduced already is read as it lies there; nothing of it is reduced again.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np

from isothrust.book.settings import STANDARD_DENSITY
from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.ingest.mapping import propose_kind
from isothrust.present.agreement import agreement_sentence
from isothrust.records.agreement import Agreement, FreshAir, FreshFile
from isothrust.records.book import Kind, Run
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.agreeing import agreement
from isothrust.reduction.checks.campaign.catalogue import examine_campaign
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.tables.inside import split_inside
from isothrust.workflows.campaign_findings import campaign_evidence, with_findings
from isothrust.workflows.donors import borrowed_finding, choose_donor
from isothrust.workflows.earlier import EarlierRuns, earlier_runs
from isothrust.workflows.filenames import kind_in, parts_of
from isothrust.workflows.fresh_air import AirPlace, fresh_air, said_air
from isothrust.workflows.fresh_place import FreshOptions, Place, place_of
from isothrust.workflows.jobs import JobFailure, Outcome, Worker, hollow_run, not_reduced
from isothrust.workflows.rawnames import recording_sha256

__all__ = ["check_fresh", "check_placed", "fresh_job"]


def check_fresh(path: str | Path, options: FreshOptions, root: str | Path, *, worker: Worker) -> FreshFile:
    """Reduce one fresh file and hold it against the earlier runs of its design.

    Raises
    ------
    UsageError, RigError, BookError, ProblemsError
        As `place_of` and `said_air`; the recording's own faults are findings.
    """
    said = {} if options.air is None else said_air(options.air)
    file, digest = Path(path), recording_sha256(path)
    place = place_of(file, digest, options, root)
    where = AirPlace(place.rig, place.book, place.campaign, _day(file, place.listed), place.listed)
    air, taken = fresh_air(where, said)
    job = fresh_job(file, digest, place, options.kind)
    told = _told_kind(file, place, options.kind) is not None
    kind = job.run.kind if told else _kind_of_throttle(job)
    return check_placed(replace(job, run=replace(job.run, air=air, kind=kind)), place, taken, worker, kind_told=told)


def check_placed(job: RunJob, place: Place, air: FreshAir, worker: Worker, *, kind_told: bool = True) -> FreshFile:
    """Reduce the job of a file whose place in the book is known, and hold it against the earlier runs.

    Where nobody told its kind and it was taken for holds, it is taken for a ramp if nothing is held.
    """
    earlier = None
    if place.book is not None and place.campaign is not None and place.alone is None:
        without = "" if place.listed is None else place.listed.name
        earlier = earlier_runs(place.book, place.campaign, place.design.name, without=without)
    outcome = worker(job)
    if not kind_told and isinstance(outcome, JobFailure) and _lacks_holds(outcome):
        job = replace(job, run=replace(job.run, kind="ramp"))
        outcome = worker(job)
    reduced = _with_inertia(job, _done(job, outcome), earlier, worker)
    said = _agreement(reduced, place, earlier, air)
    together = _among_others(job, reduced, earlier)
    shown = replace(together, campaign="", findings=(*together.findings, *_differs(said, job.run.name)))
    return FreshFile(job.run.name, shown, said, _torque_at_top(reduced), place.findings, kind_told, job)


def _among_others(job: RunJob, reduced: ReducedRun, earlier: EarlierRuns | None) -> ReducedRun:
    """Return the run with what shows beside the runs of its campaign, as many of them as were read."""
    if earlier is None:
        return reduced
    name = (job.run.campaign, job.run.name)
    evidence = campaign_evidence(job.run.campaign, (*earlier.together, reduced), {**earlier.jobs, name: job})
    return with_findings(reduced, examine_campaign(evidence))


def _differs(said: Agreement, run: str) -> tuple[Finding, ...]:
    if said.says != "differs":
        return ()
    message = f"it {agreement_sentence(said)}"
    return (Finding("differs-from-earlier", "warning", message, run=run, effect="nothing in the book was changed"),)


def _day(file: Path, listed: Run | None) -> str:
    """Return the day of a recording: from its row or its name, else the day on which the file was last written."""
    written = (listed.date if listed is not None else "") or parts_of(file.name, (), ()).date
    return (
        written[:10]
        or datetime.fromtimestamp(Path(split_inside(file)[0]).stat().st_mtime).astimezone().date().isoformat()
    )


def fresh_job(file: Path, sha256: str, place: Place, kind: Kind | None) -> RunJob:
    """Return the job of a fresh file, its air left open."""
    listed, name = place.listed, file.stem
    taken = set() if place.campaign is None else {run.name for run in place.campaign.runs}
    if listed is not None:
        name = listed.name
    elif name in taken:
        name = f"{name} (fresh)"  # a run's name is the key of its own errors
    run = Run(
        name=name,
        campaign="" if place.campaign is None else place.campaign.name,
        design=place.design.name,
        sample=place.sample,
        mounting=name if listed is None else listed.mounting,
        # A throttle that stands still is no fault in holds: the least that can be asked of a file of unknown kind.
        kind=_told_kind(file, place, kind) or "holds",
        files={"log": file.name},
        date="" if listed is None else listed.date,
        air=None,
    )
    motor = None if place.campaign is None else place.campaign.motor
    density = STANDARD_DENSITY if place.book is None else place.book.standard_density
    return RunJob(run, place.rig, place.design, motor, density, {"log": str(file)}, {"log": sha256})


def _told_kind(file: Path, place: Place, kind: Kind | None) -> Kind | None:
    return kind or (kind_in(file.name) if place.listed is None else place.listed.kind)


def _kind_of_throttle(job: RunJob) -> Kind:
    """Return the kind that the throttle's course shows; the job's own where it shows none."""
    try:
        recording = read_recording(job.run.name, job.files, job.rig, hashes=job.hashes)
    except IsothrustError:  # The worker meets it as well, and it becomes a finding there.
        return job.run.kind
    throttle = recording.channels.get("throttle")
    proposal = None if throttle is None else propose_kind(throttle.values)
    return job.run.kind if proposal is None else proposal.kind


def _lacks_holds(failure: JobFailure) -> bool:
    """Say whether a log of unknown kind, taken for holds, shows that it is none."""
    return any(problem.code == "no-steady-spell" for problem in failure.problems)


def _with_inertia(job: RunJob, reduced: ReducedRun, earlier: EarlierRuns | None, worker: Worker) -> ReducedRun:
    """Return the run reduced once more with the inertia of an earlier run, where it has none of its own."""
    donor = choose_donor(job, earlier.lenders) if reduced.inertia_wanted and earlier is not None else None
    if donor is None:
        return reduced
    again = _done(job, worker(replace(job, inertia=donor.inertia)))
    return replace(again, findings=(*again.findings, borrowed_finding(donor, job.run.name)))


def _done(job: RunJob, outcome: Outcome) -> ReducedRun:
    return hollow_run(job, [not_reduced(outcome, job.run.name)]) if isinstance(outcome, JobFailure) else outcome


def _agreement(reduced: ReducedRun, place: Place, earlier: EarlierRuns | None, air: FreshAir) -> Agreement:
    said = Agreement("nothing", place.design.name, place.sample, air=air)
    if not reduced.curves:
        return replace(said, absent="the log gives no curve")
    if place.campaign is None or earlier is None:
        return replace(said, absent=place.alone)
    if reduced.abscissa != "speed" and place.campaign.rig.name != place.rig.name:
        return replace(
            said, absent="without a speed, figures compare on one rig only, and no earlier run was on this one"
        )
    if not earlier.own and earlier.not_current:
        them = f"{earlier.not_current} earlier run{'' if earlier.not_current == 1 else 's'}"
        return replace(said, absent=f"its {them} must be reduced first: isothrust reduce")
    found = agreement(reduced, earlier.runs, air, diameter=place.design.diameter)
    if found.earlier is None:
        return found
    return replace(found, earlier=replace(found.earlier, not_current=earlier.not_current))


def _torque_at_top(reduced: ReducedRun) -> float | None:
    curve = reduced.curves.get("torque")
    if curve is None:
        return None
    return evaluate_figure(reduced, "torque", "speed", np.array([curve.high]), RunContext()).at(0).value
