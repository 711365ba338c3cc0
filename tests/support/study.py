"""Simulated campaigns reduced and pooled, each result beside its truth: for the accuracy and coverage studies."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.result import Result
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns, Question, pool_campaign
from isothrust.virtual import (
    Propeller,
    PropellerTruth,
    RunPlan,
    Setup,
    Truth,
    VirtualRun,
    campaign,
    make_propeller,
    simulate_each,
    with_conditions,
)
from support.simulated import job_of, recording_of

__all__ = ["DESIGNS", "QUESTIONS", "Case", "Score", "Study", "campaign_cases", "scores"]

_RPM = 2.0 * np.pi / 60.0

DESIGNS: tuple[Propeller, ...] = (
    make_propeller("five", diameter=0.127, pitch=0.1, blades=3, ct=0.16, cp=0.09, inertia=6e-6),
    make_propeller("six", diameter=0.152, pitch=0.1, blades=3, ct=0.14, cp=0.07, inertia=9e-6),
    make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.4e-5),
    make_propeller("slim", diameter=0.152, pitch=0.11, blades=2, ct=0.12, cp=0.06, inertia=8e-6),
)

QUESTIONS: tuple[Question, ...] = tuple(
    Question(measurand, quantity, conditions, tuple(design.name for design in DESIGNS))
    for measurand, quantity, conditions in (
        ("thrust-coefficient", "speed", (14000 * _RPM,)),
        ("thrust", "speed", (14000 * _RPM,)),
        ("power-coefficient", "speed", (14000 * _RPM,)),
        ("shaft-power", "thrust", (6.0,)),
        ("shaft-efficiency", "thrust", (6.0, 9.0)),
        ("speed", "thrust", (6.0,)),
        ("electrical-power", "thrust", (6.0,)),
        ("electrical-efficiency", "thrust", (6.0,)),
        ("figure-of-merit", "thrust", (6.0,)),
        ("current", "thrust", (6.0,)),
        ("throttle", "thrust", (6.0,)),
        ("rotor-inertia", None, ()),
    )
)


@dataclass(frozen=True, slots=True)
class Case:
    """One result and its truth."""

    measurand: str
    condition: float | None
    value: float
    truth: float
    uncertainty: float
    interval: tuple[float, float]

    @property
    def error(self) -> float:
        """Relative."""
        return self.value / self.truth - 1.0

    @property
    def held(self) -> bool:
        """Whether the stated interval holds the truth."""
        return self.interval[0] <= self.truth <= self.interval[1]


@dataclass(frozen=True, slots=True)
class Score:
    """What many cases say of one measurand."""

    measurand: str
    count: int
    mean_error: float
    worst: float
    within_95: float
    """Relative error that 95 % of the cases stay within."""
    coverage: float
    rms_z: float
    """rms of (value - truth) / u."""


@dataclass(frozen=True, slots=True)
class Study:
    """What the campaigns of a study have in common."""

    conditions: tuple[str, ...] = ()
    rig_errors: bool = True
    """False: scales, arms, air sensors and stated fixed parts are without error; zeros still drift."""
    thin: int = 1
    designs: tuple[Propeller, ...] = DESIGNS
    step: float = 5e-4
    """Of the integration of each run [s]; a millisecond does where only figures of steady running are asked for."""


def campaign_cases(seeds: Sequence[int], study: Study) -> list[Case]:
    """Simulate one campaign a seed, three mountings a design; reduce, pool, and set each result beside its truth.

    Truth is that of the sample tested: mountings and rig errors are what the tester averages over or states.
    """
    setup = with_conditions(Setup(), *study.conditions)
    plans = [
        (seed, plan if study.rig_errors else _faultless(plan))
        for seed in seeds
        for plan in campaign(study.designs, seed=seed, setup=setup, rig_errors=study.rig_errors, mountings=3)
    ]
    runs: dict[int, list[VirtualRun]] = {}
    simulated = simulate_each([plan for _, plan in plans], seeds[0] + 100_000, step=study.step)
    for (seed, _), run in zip(plans, simulated, strict=True):
        runs.setdefault(seed, []).append(run.thinned(study.thin) if study.thin > 1 else run)
    return [case for members in runs.values() for case in _cases(members)]


def _faultless(plan: RunPlan) -> RunPlan:
    """Take out what the rig's stated fixed parts drew."""
    return replace(
        plan,
        thrust_zero=replace(plan.thrust_zero, running=0.0),
        torque_zero=replace(plan.torque_zero, running=0.0),
        current_zero=replace(plan.current_zero, running=0.0),
    )


def _cases(runs: Sequence[VirtualRun]) -> list[Case]:
    reduced = tuple(reduce_run(recording_of(run), job_of(run.plan)) for run in runs)
    contexts = {run.plan.name: RunContext(run.plan.propeller.diameter) for run in runs}
    truths = {run.plan.propeller.name: run.truth for run in runs}
    speeds = {design: _speeds(truth) for design, truth in truths.items()}
    results = pool_campaign(CampaignRuns("c", reduced, contexts=contexts), QUESTIONS)
    return [
        _case(result, truths[result.design], speeds[result.design]) for result in results if result.design in truths
    ]


def _speeds(truth: Truth) -> dict[float, float]:
    """Return the speed [rad/s] at each thrust [N] asked: many measurands share them, and solving takes a while."""
    thrusts = sorted({at for question in QUESTIONS if question.quantity == "thrust" for at in question.conditions})
    speeds = truth.sample.speed_at_thrust(np.array(thrusts))
    return dict(zip(thrusts, map(float, speeds), strict=True))


def _case(result: Result, truth: Truth, speeds: Mapping[float, float]) -> Case:
    assert result.value is not None, result.absent
    assert result.standard_uncertainty is not None
    assert result.interval is not None
    at = result.condition.value if result.condition is not None else None
    true = _truth(result.measurand, at, truth, speeds)
    return Case(result.measurand, at, result.value, true, result.standard_uncertainty, result.interval)


def _truth(measurand: str, at: float | None, truth: Truth, speeds: Mapping[float, float]) -> float:
    sample: PropellerTruth = truth.sample
    if at is None:
        return truth.inertia
    if measurand in {"thrust-coefficient", "power-coefficient", "thrust"}:
        return float(getattr(sample, measurand.replace("-", "_"))(at))
    omega = speeds[at]
    mechanical: Mapping[str, float] = {
        "speed": omega,
        "shaft-power": float(sample.shaft_power(omega)),
        "shaft-efficiency": at / float(sample.shaft_power(omega)),
        "figure-of-merit": float(sample.figure_of_merit(omega)),
    }
    if measurand in mechanical:
        return mechanical[measurand]
    drive = truth.plan.drive.steady_state(omega, sample.torque(omega), truth.winding_temperature(omega))
    return {
        "electrical-power": float(drive.power),
        "electrical-efficiency": at / float(drive.power),
        "current": float(drive.current),
        "throttle": float(drive.throttle),
    }[measurand]


def scores(cases: Iterable[Case]) -> dict[str, Score]:
    """Return the score of each measurand."""
    grouped: dict[str, list[Case]] = {}
    for case in cases:
        grouped.setdefault(case.measurand, []).append(case)
    out: dict[str, Score] = {}
    for name, members in grouped.items():
        errors = np.array([case.error for case in members])
        z = np.array([(case.value - case.truth) / case.uncertainty for case in members])
        out[name] = Score(
            measurand=name,
            count=len(members),
            mean_error=float(errors.mean()),
            worst=float(np.abs(errors).max()),
            within_95=float(np.quantile(np.abs(errors), 0.95)),
            coverage=float(np.mean([case.held for case in members])),
            rms_z=float(np.sqrt(np.mean(z**2))),
        )
    return out
