"""Simulate good runs, plant a fault, reduce, and look whether its finding is there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from isothrust.errors import IsothrustError
from isothrust.records.finding import Finding
from isothrust.reduction import reduce_run
from isothrust.virtual import RunPlan, VirtualRun, campaign, holds, ramp, ramp_up_down, simulate_each, steps
from support.faulty.case import FaultCase
from support.simulated import job_of, recording_of
from support.study import DESIGNS

__all__ = ["SCHEDULES", "detected", "findings_of", "good_plans", "trials"]

SCHEDULES = {"ramp": ramp, "up-down": ramp_up_down, "holds": holds, "steps": steps}
_NOISE = 20260301
"""Seed of the sensors' noise; a run's own seed is its place."""


def good_plans(seeds: Sequence[int], kind: str = "ramp") -> list[RunPlan]:
    """Draw one good run a seed: a rig, a day, a sample, a mounting and zeros of its own, the designs in turn."""
    plans = []
    for seed in seeds:
        design = DESIGNS[seed % len(DESIGNS)]
        (plan,) = campaign([design], seed=seed, mountings=1, schedules=[SCHEDULES[kind]()])
        plans.append(replace(plan, name=f"s{seed}"))
    return plans


def trials(
    cases: Sequence[FaultCase], seeds: Sequence[int], *, step: float = 5e-4
) -> Iterator[tuple[FaultCase, int, set[str]]]:
    """Yield each case and seed with the codes that the faulty run gives; `step` [s] is the integration's.

    The run of a seed is the same in all cases but for the fault; good runs are simulated once for all faults that are
    planted in finished logs. Runs of all schedules are integrated together: a step costs little more for many than for
    few.
    """
    groups, lanes = [], []
    for kind in dict.fromkeys(case.kind for case in cases):
        of_kind = [case for case in cases if case.kind == kind]
        plans = dict(zip(seeds, good_plans(seeds, kind), strict=True))
        late = [case for case in of_kind if not case.changes_bench]
        asked = [(case, seed) for case in of_kind if case.changes_bench for seed in seeds]
        groups.append((late, asked))
        lanes += [(seed, plans[seed]) for seed in seeds if late]
        lanes += [(seed, case.plan(plans[seed], np.random.default_rng([seed, 11]))) for case, seed in asked]
    runs = simulate_each([plan for _, plan in lanes], _NOISE, places=[seed for seed, _ in lanes], step=step)
    for late, asked in groups:
        for seed, run in zip(seeds if late else (), runs, strict=False):
            yield from ((case, seed, _told(case, seed, _copied(run))) for case in late)
        for (case, seed), run in zip(asked, runs, strict=False):
            yield case, seed, _told(case, seed, run)
    assert next(runs, None) is None


def _told(case: FaultCase, seed: int, run: VirtualRun) -> set[str]:
    spoiled = case.spoil(run, np.random.default_rng([seed, 12]))
    return {finding.code for finding in findings_of(spoiled, case)}


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


def _copied(run: VirtualRun) -> VirtualRun:
    return replace(run, columns={name: values.copy() for name, values in run.columns.items()})
