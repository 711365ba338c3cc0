"""Simulate good runs, plant a fault, reduce, and look whether its finding is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from isothrust.errors import IsothrustError
from isothrust.records.finding import Finding
from isothrust.reduction import reduce_run
from isothrust.virtual import RunPlan, VirtualRun, campaign, holds, ramp, ramp_up_down, simulate, steps
from support.faulty.case import FaultCase
from support.simulated import job_of, recording_of
from support.study import DESIGNS

__all__ = ["SCHEDULES", "codes_of", "detected", "good_plans", "trial"]

SCHEDULES = {"ramp": ramp, "up-down": ramp_up_down, "holds": holds, "steps": steps}
_BATCH = 24


def good_plans(seeds: Sequence[int], kind: str = "ramp") -> list[RunPlan]:
    """Draw one good run a seed: a rig, a day, a sample, a mounting and zeros of its own, the designs in turn."""
    plans = []
    for seed in seeds:
        design = DESIGNS[seed % len(DESIGNS)]
        (plan,) = campaign([design], seed=seed, mountings=1, schedules=[SCHEDULES[kind]()])
        plans.append(replace(plan, name=f"s{seed}"))
    return plans


def trial(case: FaultCase, seeds: Sequence[int]) -> Iterator[tuple[int, set[str]]]:
    """Yield each seed with the codes that its faulty run gives."""
    for start in range(0, len(seeds), _BATCH):
        part = seeds[start : start + _BATCH]
        plans = [
            case.plan(plan, np.random.default_rng([seed, 11]))
            for seed, plan in zip(part, good_plans(part, case.kind), strict=True)
        ]
        for seed, run in zip(part, simulate(plans, part[0]), strict=True):
            spoiled = case.spoil(run, np.random.default_rng([seed, 12]))
            yield seed, {finding.code for finding in findings_of(spoiled, case)}


def findings_of(run: VirtualRun, case: FaultCase | None = None) -> list[Finding]:
    """Return the findings of a run; an error counts as the fail finding of its code."""
    recording, job = recording_of(run), job_of(run.plan)
    if case is not None:
        recording, job = case.given(recording, job)
    try:
        return list(reduce_run(recording, job).findings)
    except IsothrustError as error:
        return [Finding(problem.code, "fail", problem.what) for problem in error.problems]


def codes_of(run: VirtualRun) -> set[str]:
    """Return the codes of a run's findings."""
    return {finding.code for finding in findings_of(run)}


def detected(case: FaultCase, seeds: Sequence[int]) -> list[int]:
    """Return the seeds whose faulty run is told of."""
    return [seed for seed, codes in trial(case, seeds) if case.code in codes]
