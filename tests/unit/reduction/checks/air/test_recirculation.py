"""A room that is too small: thrust that falls while the propeller runs on, told apart from zeros, motors and lags."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.reduction.checks.air.recirculation import check_recirculation
from isothrust.virtual import Room, RunPlan, VirtualRun, Zero, holds, simulate
from support.simulated import job_of, recording_of
from unit.reduction.bench import recorded, simulated
from unit.reduction.examined import evidence_of

LONG = holds((0.35, 0.5, 0.65, 0.8), stay=10.0)


@cache
def long_holds() -> dict[str, VirtualRun]:
    good = replace(simulated("holds").plan, schedule=LONG)
    plans: dict[str, RunPlan] = {
        "good": good,
        "small room": replace(good, room=Room(0.09, 6.0)),
        "creeping zero": replace(good, thrust_zero=Zero(0.05, creep=-0.15, creep_time=6.0)),
        "hot winding": replace(good, drive=replace(good.drive, heat_capacity=4.0, cooling=0.15)),
    }
    return dict(zip(plans, simulate(list(plans.values()), 5), strict=True))


def found(run: VirtualRun, *, clearance: float = 2.0) -> list[Finding]:
    job = job_of(run.plan)
    return check_recirculation(evidence_of(recording_of(run), replace(job, rig=replace(job.rig, clearance=clearance))))


def test_a_jet_that_comes_back_is_told_with_what_it_takes_from_thrust() -> None:
    (finding,) = found(long_holds()["small room"])
    assert (finding.code, finding.severity, finding.channel) == ("recirculation", "warning", "thrust")
    assert finding.effect is not None
    lost = float(finding.effect.split("low by about ")[1].split(" %")[0])
    # the same bench in a large room: what the mean thrust at the end of each hold has lost, by the sensors themselves
    assert lost == pytest.approx(-100.0 * _lost_thrust(), abs=0.6)


def _lost_thrust() -> float:
    """Mean change of T/omega^2 over the holds, small room against large, of what was recorded."""
    small, large = long_holds()["small room"], long_holds()["good"]

    def factor(run: VirtualRun) -> float:
        time, speed = run.columns["time"], run.columns["speed"]
        inside = [(time > 2.0 + 10.15 * k + 1.0) & (time < 2.0 + 10.15 * (k + 1) - 0.1) for k in range(4)]
        zero = float(np.mean(run.columns["thrust"][time < 1.5]))
        return float(np.mean([np.mean(run.columns["thrust"][m] - zero) / np.mean(speed[m] ** 2) for m in inside]))

    return factor(small) / factor(large) - 1.0


def test_a_wall_that_is_near_is_named_beside_it() -> None:
    (finding,) = found(long_holds()["small room"], clearance=0.3)
    assert "1.7 diameters away" in finding.message
    (alone,) = found(long_holds()["small room"])
    assert "diameters" not in alone.message


@pytest.mark.parametrize("name", ["good", "creeping zero", "hot winding"])
def test_what_is_no_recirculation_is_not_told(name: str) -> None:
    assert found(long_holds()[name], clearance=0.3) == []


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_good_runs_of_every_kind_are_not_accused(kind: str) -> None:
    assert check_recirculation(evidence_of(*recorded(kind))) == []
