"""Fresh runs beside simulated campaigns: healthy ones agree, a thrust scale that moved by 5 % is told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from isothrust.records.agreement import Agreement, FreshAir
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.agreeing import agreement
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns
from isothrust.virtual import RunPlan, Setup, VirtualRun, campaign, ramp, simulate_each
from support.fresh_runs import fresh_plan, with_thrust_scale
from support.simulated import job_of, recording_of
from support.study import DESIGNS

CAMPAIGNS, EACH = 8, 3
SETUP = Setup()


def held(run: VirtualRun, reduced: ReducedRun, earlier: CampaignRuns) -> Agreement:
    return agreement(reduced, earlier, FreshAir("given"), diameter=run.plan.propeller.diameter)


class Drawn(NamedTuple):
    """A campaign, and the runs that are fresh after it."""

    campaign: tuple[RunPlan, ...]
    healthy: list[RunPlan]
    moved: list[RunPlan]
    """The same with a thrust scale 5 % low."""

    @property
    def plans(self) -> list[RunPlan]:
        return [*self.campaign, *self.healthy, *self.moved]


def drawn(seed: int) -> Drawn:
    plans = campaign(DESIGNS[:3], seed=seed, samples=2, mountings=2, schedules=(ramp(rise=6.0),), setup=SETUP)
    healthy = [fresh_plan(plans, EACH * seed + k, SETUP) for k in range(EACH)]
    return Drawn(tuple(plans), healthy, [with_thrust_scale(plan, -0.05) for plan in healthy])


def said_of(campaigns: Sequence[Drawn]) -> Iterator[tuple[list[Agreement], list[Agreement]]]:
    """Yield what is said of each campaign's healthy fresh runs, and of those whose scale moved.

    All are integrated together, each campaign with a seed of its own: a step costs little more for many than for few.
    """
    places = [(seed, place) for seed, one in enumerate(campaigns) for place in range(len(one.plans))]
    simulated = simulate_each(
        [plan for one in campaigns for plan in one.plans],
        [seed for seed, _ in places],
        places=[place for _, place in places],
        step=1e-3,
    )
    for one in campaigns:
        runs = [run.thinned(4) for run in islice(simulated, len(one.plans))]
        reduced = [reduce_run(recording_of(run), job_of(run.plan)) for run in runs]
        contexts = {run.plan.name: RunContext(run.plan.propeller.diameter) for run in runs}
        first = len(one.campaign)
        earlier = CampaignRuns("c", tuple(reduced[:first]), contexts=contexts)
        said = [held(run, each, earlier) for run, each in zip(runs[first:], reduced[first:], strict=True)]
        yield said[:EACH], said[EACH:]


def test_healthy_runs_agree_and_a_thrust_scale_that_moved_is_told() -> None:
    found = list(said_of([drawn(seed) for seed in range(CAMPAIGNS)]))
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
