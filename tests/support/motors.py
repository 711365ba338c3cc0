"""Simulated campaigns whose motor is found, each constant beside its truth: for the motor's study."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.records.motor import MotorModel
from isothrust.reduction import reduce_run
from isothrust.reduction.motor_found import MotorRuns, find_motor
from isothrust.science.uncertainty import coverage_factor
from isothrust.virtual import Drive, Setup, VirtualRun, campaign, simulate_each, with_conditions
from support.simulated import job_of, recording_of, rig_of
from support.study import DESIGNS

__all__ = ["MotorCase", "MotorScore", "motor_cases", "motor_scores"]

_RPM = 2.0 * np.pi / 60.0


@dataclass(frozen=True, slots=True)
class MotorCase:
    """One figure of one campaign's motor: relative error, and what was stated."""

    name: str
    error: float
    uncertainty: float | None
    """Relative standard uncertainty; None where none is stated."""
    held: bool | None
    """Whether the 95 % interval holds the truth."""


@dataclass(frozen=True, slots=True)
class MotorScore:
    """What many campaigns say of one figure."""

    name: str
    count: int
    mean: float
    rms: float
    within_95: float
    worst: float
    coverage: float | None
    rms_z: float | None
    uncertainty: float | None
    """Mean of what was stated."""


def motor_cases(seeds: Sequence[int], conditions: tuple[str, ...] = (), mountings: int = 3) -> list[MotorCase]:
    """Simulate one campaign a seed, with rig errors drawn from what the rig states; find the motor of each."""
    setup = with_conditions(Setup(), *conditions)
    plans = [(seed, plan) for seed in seeds for plan in campaign(DESIGNS, seed=seed, setup=setup, mountings=mountings)]
    places = [300_000 + 1000 * seed + number for number, (seed, _) in enumerate(plans)]
    runs: dict[int, list[VirtualRun]] = {}
    for (seed, _), run in zip(plans, simulate_each([plan for _, plan in plans], 11, places=places), strict=True):
        runs.setdefault(seed, []).append(run)
    return [case for members in runs.values() for case in _cases(members, setup)]


def _cases(members: Sequence[VirtualRun], setup: Setup) -> list[MotorCase]:
    reduced = [reduce_run(recording_of(run), job_of(run.plan)) for run in members]
    rigs = {setup.stand.name: rig_of(setup.stand)}
    model = find_motor(MotorRuns(setup.drive.name, reduced, rigs, None))
    top = max(float(run.drive.speed.max()) for run in reduced if run.drive is not None)
    out = _constants(model, setup.drive, 0.5 * top)
    for one in model.left_out:
        out += [MotorCase(f"left out: {name}", error, None, None) for name, error in one.errors.items()]
    return out


def _constants(model: MotorModel, drive: Drive, middle: float) -> list[MotorCase]:
    kv = drive.kv * _RPM
    lost = drive.friction + drive.viscous * middle
    by = {
        "KV": ([1, 0, 0, 0, 0, 0], kv),
        "resistance": ([0, 1, 0, 0, 0, 0], drive.resistance),
        "controller's resistance": ([0, 0, 1, 0, 0, 0], drive.loss_resistance),
        "friction at mid speed": ([0, 0, 0, 1, middle, 0], lost),
        "idle power": ([0, 0, 0, 0, 0, 1], drive.idle_power),
    }
    values = (model.kv, model.resistance, model.loss_resistance, model.friction, model.viscous, model.idle_power)
    assert all(value is not None for value in values), model.unidentified
    found = np.array(values, dtype=np.float64)
    reach = float(coverage_factor(model.degrees_of_freedom))
    out: list[MotorCase] = []
    for name, (share, truth) in by.items():
        turn = np.array(share, dtype=np.float64)
        error = float(turn @ found) - truth
        u = float(np.sqrt(turn @ model.covariance @ turn))
        out.append(MotorCase(name, error / truth, u / truth, abs(error) <= reach * u))
    return out


def motor_scores(cases: Iterable[MotorCase]) -> dict[str, MotorScore]:
    """Return the score of each figure."""
    grouped: dict[str, list[MotorCase]] = {}
    for case in cases:
        grouped.setdefault(case.name, []).append(case)
    return {name: _score(name, members) for name, members in grouped.items()}


def _score(name: str, members: Sequence[MotorCase]) -> MotorScore:
    error = np.array([case.error for case in members])
    stated = [case.uncertainty for case in members if case.uncertainty is not None]
    z = error / np.array(stated) if stated else None
    return MotorScore(
        name,
        len(members),
        float(error.mean()),
        float(np.sqrt(np.mean(error**2))),
        float(np.quantile(np.abs(error), 0.95)),
        float(np.abs(error).max()),
        float(np.mean([bool(case.held) for case in members])) if stated else None,
        float(np.sqrt(np.mean(z**2))) if z is not None else None,
        float(np.mean(stated)) if stated else None,
    )
