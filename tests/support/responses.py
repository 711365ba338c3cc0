"""Simulated runs of steps reduced at several log rates, each figure beside its truth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.reduced import Figure
from isothrust.reduction import reduce_run
from isothrust.science.uncertainty import coverage_factor, welch_satterthwaite
from isothrust.virtual import RunPlan, Setup, campaign, simulate, steps, with_conditions
from support.responded import true_responses
from support.simulated import job_of, recording_of
from support.study import DESIGNS, Score

__all__ = ["RATES", "ResponseCase", "response_cases", "response_scores"]

RATES = (1000, 200, 100, 50)
TRUTHS = {
    "spin-up-rate": "rate",
    "spin-down-rate": "rate-down",
    "rise-time": "across",
    "thrust-rise-rate": "thrust-rate",
    "response-time": "response",
    "settling-time": "settling",
}
FROM_COMMAND = ("response-time", "settling-time")


@dataclass(frozen=True, slots=True)
class ResponseCase:
    """One figure of one run and its truth."""

    measurand: str
    rate: int
    value: float
    truth: float
    uncertainty: float
    half_width: float


def response_cases(
    seeds: Sequence[int], *, conditions: tuple[str, ...] = (), window_stated: bool = False, rates: Sequence[int] = RATES
) -> list[ResponseCase]:
    """Simulate one campaign of steps a seed, one mounting a design, and reduce its runs at each rate."""
    setup = with_conditions(Setup(), *conditions)
    plans = [
        plan for seed in seeds for plan in campaign(DESIGNS, seed=seed, setup=setup, mountings=1, schedules=[steps()])
    ]
    first = 300_000 + seeds[0]
    truths = true_responses(plans, first)
    cases: list[ResponseCase] = []
    for run, truth in zip(simulate(plans, first), truths, strict=True):
        job = _job(run.plan, window_stated=window_stated)
        late = run.plan.stand.sensors.speed.delay if run.plan.stand.sensors.speed is not None else 0.0
        for rate in rates:
            every = 1000 // rate
            reduced = reduce_run(recording_of(run.thinned(every) if every > 1 else run), job)
            figures = {figure.measurand: figure for figure in reduced.figures}
            for name, key in TRUTHS.items():
                true = truth[key] + (late if name in FROM_COMMAND else 0.0)
                cases += _case(figures[name], rate, true)
            cases += _case(figures["rotor-inertia"], rate, run.truth.inertia)
    return cases


def _job(plan: RunPlan, *, window_stated: bool) -> RunJob:
    job = job_of(plan)
    if not window_stated:
        return job
    assert plan.stand.sensors.speed is not None
    speed = replace(job.rig.channels["speed"], window=plan.stand.sensors.speed.window)
    return replace(job, rig=replace(job.rig, channels={**job.rig.channels, "speed": speed}))


def _case(figure: Figure, rate: int, truth: float) -> list[ResponseCase]:
    if figure.value is None:
        return []
    parts = np.array([line.contribution for line in figure.budget])
    freedom = np.array([line.degrees_of_freedom for line in figure.budget])
    u = float(np.sqrt(np.sum(parts**2)))
    factor = float(coverage_factor(welch_satterthwaite(parts, freedom)))
    return [ResponseCase(figure.measurand, rate, figure.value, truth, u, factor * u)]


def response_scores(cases: Iterable[ResponseCase]) -> list[Score]:
    """Return the score of each measurand."""
    grouped: dict[str, list[ResponseCase]] = {}
    for case in cases:
        grouped.setdefault(case.measurand, []).append(case)
    out = []
    for name, members in grouped.items():
        errors = np.array([case.value / case.truth - 1.0 for case in members])
        z = np.array([(case.value - case.truth) / case.uncertainty for case in members])
        out.append(
            Score(
                measurand=name,
                count=len(members),
                mean_error=float(errors.mean()),
                worst=float(np.abs(errors).max()),
                within_95=float(np.quantile(np.abs(errors), 0.95)),
                coverage=float(np.mean([abs(case.value - case.truth) <= case.half_width for case in members])),
                rms_z=float(np.sqrt(np.mean(z**2))),
            )
        )
    return out
