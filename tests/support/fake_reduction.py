"""A worker that reads its recording as plain words and reduces nothing: for tests of what goes on around the reduction.

A log holds words, `name=value` each: `inertia=3e-5` (found in the run itself), `wanted` (needs one), `fail` (an error),
`trip` (a fault of the program).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from isothrust.errors import LogError, Problem, Where
from isothrust.records.curve import SmoothCurve
from isothrust.records.job import RunJob
from isothrust.records.reduced import Estimate, Figure, ReducedRun
from isothrust.workflows.jobs import JobFailure, hollow_run, reduce_job


def fake_worker(job: RunJob) -> ReducedRun | JobFailure:
    words = Path(job.files["log"]).read_text(encoding="utf-8").split()
    values = dict(word.split("=", 1) for word in words if "=" in word)
    if "fail" in words:
        error = LogError("the log is of no use", code="not-a-table", where=Where(job.files["log"], 3), fix="mend it")
        return JobFailure(error.problems)
    if "trip" in words:
        return JobFailure((Problem("internal-error", "tripped"),), lasting=False)
    own = (
        Estimate(float(values["inertia"]), float(values.get("u", "1e-7")), 12.0, "own") if "inertia" in values else None
    )
    inertia = own or job.inertia
    level = float(values.get("level", "1"))
    curve = SmoothCurve(
        "thrust",
        np.array([100.0] * 4 + [400.0] * 4),
        np.full(4, level * 1e-5 * (1.0 if inertia is None else 1.0 + inertia.value)),
        np.eye(4) * 1e-16,
        100.0,
        400.0,
        30.0,
        0.1,
        40.0,
    )
    hollow = hollow_run(job, ())
    names = {field: getattr(hollow, field) for field in ReducedRun.__slots__}
    names |= {
        "curves": {"thrust": curve},
        "inertia": inertia,
        "inertia_wanted": "wanted" in words and inertia is None,
        "figures": (Figure("peak-thrust", level),),
    }
    return ReducedRun(**names)


def real_worker(job: RunJob) -> ReducedRun | JobFailure:
    """Reduce in earnest."""
    return reduce_job(job)
