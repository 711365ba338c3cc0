"""Simulated runs on a stand with an accelerometer, reduced."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.virtual import Accelerometer, Propeller, RunPlan, Schedule, Stand, Unbalance, VirtualRun, ramp, simulate
from support.simulated import job_of, recording_of
from support.study import DESIGNS

__all__ = ["DESIGN", "METER", "UNBALANCE", "reduced_of", "shaken_plan", "shaken_run"]

DESIGN = DESIGNS[0]
UNBALANCE = Unbalance(blade=1.2e-6 * np.exp(0.5j), hub=0.4e-6 * np.exp(2j))
METER = Accelerometer(rate=6400.0)


def shaken_plan(
    meter: Accelerometer = METER,
    *,
    design: Propeller = DESIGN,
    unbalance: Unbalance = UNBALANCE,
    schedule: Schedule | None = None,
    name: str = "r1",
) -> RunPlan:
    stand = replace(Stand(), accelerometer=meter)
    return RunPlan(name, design, stand=stand, unbalance=unbalance, schedule=schedule or ramp())


def shaken_run(meter: Accelerometer = METER, *, seed: int = 1, schedule: Schedule | None = None) -> VirtualRun:
    (run,) = simulate([shaken_plan(meter, schedule=schedule)], seed)
    return run


def reduced_of(run: VirtualRun) -> ReducedRun:
    return reduce_run(recording_of(run), job_of(run.plan))
