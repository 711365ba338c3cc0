"""One picklable job for a worker: everything needed to reduce one run, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from isothrust.records.book import Design, Motor, Run
from isothrust.records.reduced import Estimate
from isothrust.records.rig import Rig

__all__ = ["RunJob"]


@dataclass(frozen=True, slots=True)
class RunJob:
    """Reduce this run with this rig; `files` are absolute paths, opened read-only."""

    run: Run
    rig: Rig
    design: Design
    motor: Motor | None
    standard_density: float
    files: Mapping[str, str]
    hashes: Mapping[str, str]
    inertia: Estimate | None = None
    """Rotor inertia from another run, where this one needs it."""
    response_thrust: float | None = None
    """Of a run of steps: the thrust that a step is worked out for, to compare designs at equal thrust [N]."""
