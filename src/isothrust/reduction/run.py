"""Reduces one run: the order of the steps, and nothing else."""

from __future__ import annotations

from dataclasses import replace

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.airstate import air_state
from isothrust.reduction.assemble import assemble, only_zero
from isothrust.reduction.checks.catalogue import examine
from isothrust.reduction.checks.explained import explain
from isothrust.reduction.checks.physics.forbidden import refuse_doubtful_units
from isothrust.reduction.electrics import fit_electrics
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.mechanics import fit_mechanics
from isothrust.reduction.prepare import prepare
from isothrust.reduction.response.reduced import told_flattened
from isothrust.reduction.sounding import with_sound
from isothrust.reduction.vibrating import reduce_vibration, with_vibration

__all__ = ["reduce_run"]


def reduce_run(recording: Recording, job: RunJob) -> ReducedRun:
    """Return the reduced run: curves, figures, estimates on the way, findings.

    Parameters
    ----------
    recording
        As `ingest` read it, zeros still inside.
    job
        Run, rig, design, motor and, where the run cannot know it, a rotor inertia from elsewhere.

    Returns
    -------
    ReducedRun
        With every finding carrying the run's name.

    Raises
    ------
    ReductionError
        Where nothing in the run can be reduced, or physics forbids what a column is read as.
    """
    air = air_state(job)
    if job.run.kind == "zero":
        reduced = only_zero(recording, job, air)
    else:
        prepared = prepare(recording, job)
        mechanics = fit_mechanics(prepared, air)
        electrics = fit_electrics(prepared, air, mechanics)
        reduced = assemble(recording, prepared, air, mechanics, electrics)
        reduced = with_vibration(reduced, reduce_vibration(recording, prepared))
        reduced = with_sound(reduced, recording, prepared)
        evidence = Evidence(recording, prepared, air, mechanics, electrics)
        refuse_doubtful_units(evidence)
        found = examine(evidence)
        figures = told_flattened(reduced.figures, found)
        reduced = replace(reduced, figures=figures, findings=explain((*reduced.findings, *found)))
    name = job.run.name
    return replace(reduced, findings=tuple(replace(finding, run=name) for finding in reduced.findings))
