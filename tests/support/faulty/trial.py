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

__all__ = ["SCHEDULES", "detected", "findings_of", "good_plans", "trials"]

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


def trials(cases: Sequence[FaultCase], seeds: Sequence[int]) -> Iterator[tuple[FaultCase, int, set[str]]]:
    """Yield each case and seed with the codes that the faulty run gives.

    Faults that are planted in finished logs share the simulated runs; those that change the bench itself do not.
    """
    for start in range(0, len(seeds), _BATCH):
        part = seeds[start : start + _BATCH]
        for kind in dict.fromkeys(case.kind for case in cases):
            plans = good_plans(part, kind)
            of_kind = [case for case in cases if case.kind == kind]
            shared = simulate(plans, part[0]) if any(not case.changes_bench for case in of_kind) else []
            for case in of_kind:
                runs = _changed(case, plans, part) if case.changes_bench else map(_copied, shared)
                for seed, run in zip(part, runs, strict=True):
                    spoiled = case.spoil(run, np.random.default_rng([seed, 12]))
                    yield case, seed, {finding.code for finding in findings_of(spoiled, case)}


def detected(case: FaultCase, seeds: Sequence[int]) -> list[int]:
    """Return the seeds whose faulty run is told of."""
    return [seed for _, seed, codes in trials([case], seeds) if case.code in codes]


def findings_of(run: VirtualRun, case: FaultCase | None = None) -> list[Finding]:
    """Return the findings of a run; an error counts as the fail finding of its code."""
    recording, job = recording_of(run), job_of(run.plan)
    if case is not None:
        recording, job = case.given(recording, job)
    try:
        return list(reduce_run(recording, job).findings)
    except IsothrustError as error:
        return [Finding(problem.code, "fail", problem.what) for problem in error.problems]


def _changed(case: FaultCase, plans: Sequence[RunPlan], seeds: Sequence[int]) -> list[VirtualRun]:
    drawn = [case.plan(plan, np.random.default_rng([seed, 11])) for seed, plan in zip(seeds, plans, strict=True)]
    return simulate(drawn, seeds[0])


def _copied(run: VirtualRun) -> VirtualRun:
    return replace(run, columns={name: values.copy() for name, values in run.columns.items()})
