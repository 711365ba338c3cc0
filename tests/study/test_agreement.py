"""Fresh runs beside simulated campaigns: healthy ones agree, a thrust scale that moved by 5 % is told."""

from __future__ import annotations

from isothrust.records.agreement import Agreement, FreshAir
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.agreeing import agreement
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns
from isothrust.virtual import Setup, VirtualRun, campaign, ramp, simulate
from support.fresh_runs import fresh_plan, with_thrust_scale
from support.simulated import job_of, recording_of
from support.study import DESIGNS

CAMPAIGNS, EACH = 8, 3
SETUP = Setup()


def held(run: VirtualRun, reduced: ReducedRun, earlier: CampaignRuns) -> Agreement:
    return agreement(reduced, earlier, FreshAir("given"), diameter=run.plan.propeller.diameter)


def of_one_campaign(seed: int) -> tuple[list[Agreement], list[Agreement]]:
    """Return what is said of healthy fresh runs, and of the same with a thrust scale 5 % low."""
    plans = campaign(DESIGNS[:3], seed=seed, samples=2, mountings=2, schedules=(ramp(rise=6.0),), setup=SETUP)
    healthy = [fresh_plan(plans, EACH * seed + k, SETUP) for k in range(EACH)]
    moved = [with_thrust_scale(plan, -0.05) for plan in healthy]
    runs = [run.thinned(4) for run in simulate([*plans, *healthy, *moved], seed, step=1e-3)]
    reduced = [reduce_run(recording_of(run), job_of(run.plan)) for run in runs]
    contexts = {run.plan.name: RunContext(run.plan.propeller.diameter) for run in runs}
    earlier = CampaignRuns("c", tuple(reduced[: len(plans)]), contexts=contexts)
    said = [held(run, one, earlier) for run, one in zip(runs, reduced, strict=True)][len(plans) :]
    return said[:EACH], said[EACH:]


def test_healthy_runs_agree_and_a_thrust_scale_that_moved_is_told() -> None:
    found = [of_one_campaign(seed) for seed in range(CAMPAIGNS)]
    healthy = [one for said, _ in found for one in said]
    moved = [one for _, said in found for one in said]
    assert len(healthy) == 24
    assert sum(one.says == "agrees" for one in healthy) >= 0.9 * len(healthy)
    assert all(one.says == "differs" for one in moved)
    assert all("thrust" in one.look_at and "torque did not move" in one.look_at for one in moved)
    for one in moved:
        thrust = one.parts[0]
        assert abs(thrust.difference + 0.05) < 0.02
        # An interval that holds 95 % of healthy runs holds what was planted, too, but for what the run itself scatters.
        assert abs(thrust.difference + 0.05) < 1.5 * thrust.half_width
