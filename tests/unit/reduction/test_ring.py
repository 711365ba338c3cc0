"""A ring of known inertia on the hub, and the inertia of the propeller alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from isothrust.records.finding import Finding
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.reduction.checks.campaign.ring import check_ring
from isothrust.virtual import RigErrors, RunPlan, Schedule, coast, make_propeller, simulate, steps
from support.simulated import job_of, recording_of

RING = 2e-5
SEVEN = make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.4e-5)


def pair(schedule: Schedule, errors: RigErrors, seed: int = 3) -> list[ReducedRun]:
    """One run with the propeller alone and one with the ring."""
    plans = [RunPlan(name, SEVEN, schedule=schedule, errors=errors) for name in ("alone", "ringed")]
    plans[1] = replace(plans[1], added_inertia=RING)
    runs = []
    for run in simulate(plans, seed):
        job = job_of(run.plan)
        if run.plan.name == "ringed":
            job = replace(job, run=replace(job.run, added_inertia=RING))
        runs.append(reduce_run(recording_of(run), job))
    return runs


def told(runs: list[ReducedRun]) -> list[Finding]:
    return check_ring(CampaignEvidence("c", tuple(runs)))


def figure(run: ReducedRun, name: str) -> Figure:
    return next(one for one in run.figures if one.measurand == name)


@pytest.mark.parametrize("schedule", [coast(), steps()], ids=["coast", "steps"])
def test_a_ring_shows_the_torque_scale_that_no_agreement_of_steps_and_coasts_shows(schedule: Schedule) -> None:
    (good,) = told(pair(schedule, RigErrors()))
    assert good.code == "torque-scale-checked"
    assert good.run == "ringed"
    (wrong,) = told(pair(schedule, RigErrors(torque=0.12)))
    assert wrong.code == "torque-scale-off"
    share = float(wrong.message.split("torque reads ")[1].split(" %")[0])
    assert share == pytest.approx(112.0, abs=3.0)


def test_a_run_with_a_ring_gives_no_figure_of_the_propellers_own_motion() -> None:
    alone, ringed = pair(steps(), RigErrors())
    for name in ("rotor-inertia", "propeller-inertia", "spin-up-rate", "thrust-rise-rate"):
        assert figure(ringed, name).value is None
        assert "a ring of 200 g cm2 turned with the propeller" in (figure(ringed, name).absent or "")
    assert figure(alone, "rotor-inertia").value == pytest.approx(1.7e-5, rel=0.03)


def test_without_a_run_of_the_propeller_alone_a_ring_says_nothing() -> None:
    _, ringed = pair(coast(), RigErrors())
    assert told([ringed]) == []


def test_the_propeller_alone_is_all_that_turns_less_the_motors_rotor() -> None:
    plan = RunPlan("s", SEVEN, schedule=steps())
    (run,) = simulate([plan], 4)
    job = job_of(plan)
    recording = recording_of(run)
    assert "no rotor inertia for m1" in (figure(reduce_run(recording, job), "propeller-inertia").absent or "")
    assert job.motor is not None
    known = replace(job, motor=replace(job.motor, rotor_inertia=plan.drive.rotor_inertia))
    found = figure(reduce_run(recording, known), "propeller-inertia")
    assert found.value == pytest.approx(SEVEN.inertia, rel=0.03)
    assert "motor-inertia-as-stated" in found.flags
    heavy = replace(job, motor=replace(job.motor, rotor_inertia=1e-3))
    assert "all that turns has less" in (figure(reduce_run(recording, heavy), "propeller-inertia").absent or "")
