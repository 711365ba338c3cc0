"""What the checks of a whole run look at, from a recording and its job: reduced without the checks themselves."""

from __future__ import annotations

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.airstate import air_state
from isothrust.reduction.electrics import fit_electrics
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.mechanics import fit_mechanics
from isothrust.reduction.prepare import prepare

__all__ = ["evidence_of"]


def evidence_of(recording: Recording, job: RunJob) -> Evidence:
    """Return the evidence that the checks of this run are given."""
    air = air_state(job)
    prepared = prepare(recording, job)
    mechanics = fit_mechanics(prepared, air)
    return Evidence(recording, prepared, air, mechanics, fit_electrics(prepared, air, mechanics))
