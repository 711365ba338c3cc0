"""One fault of a stated size, planted in simulated runs that are good otherwise."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.virtual import RunPlan, VirtualRun

__all__ = ["FaultCase"]

Random = np.random.Generator


def _same_plan(plan: RunPlan, _random: Random) -> RunPlan:
    return plan


def _same_run(run: VirtualRun, _random: Random) -> VirtualRun:
    return run


def _same_input(recording: Recording, job: RunJob) -> tuple[Recording, RunJob]:
    return recording, job


@dataclass(frozen=True, slots=True)
class FaultCase:
    """A fault, and the code of the finding (or error) that must be given for it."""

    code: str
    fault: str
    """In words, for the table: 'current sensor reads 0.6 A with the motor off'."""
    size: str
    """What that size does to a headline figure: 'electrical efficiency at 6 N moves by 1 %'."""
    kind: str = "ramp"
    """Schedule of the runs: ramp, up-down, holds, steps."""
    plan: Callable[[RunPlan, Random], RunPlan] = field(default=_same_plan)
    """Changes the run before it is simulated: drive, propeller, sensors, zeros, schedule."""
    spoil: Callable[[VirtualRun, Random], VirtualRun] = field(default=_same_run)
    """Changes the columns of the finished log."""
    given: Callable[[Recording, RunJob], tuple[Recording, RunJob]] = field(default=_same_input)
    """Changes what the book says: rig, design, air, motor."""

    @property
    def changes_bench(self) -> bool:
        """Whether the run has to be simulated anew for it."""
        return self.plan is not _same_plan
