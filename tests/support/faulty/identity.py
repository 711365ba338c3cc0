"""Faults that only a campaign shows: the wrong propeller, a recording twice, zeros and noise that stand apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.virtual import RunPlan, Sensor, VirtualRun, campaign
from isothrust.virtual.propeller import Factors
from support.faulty.campaign_trial import CampaignCase, relabelled
from support.study import DESIGNS

__all__ = ["CAMPAIGN_CASES"]

Random = np.random.Generator
Plans = Callable[[Sequence[RunPlan], int, Random], Mapping[int, RunPlan]]

_OTHER_SAMPLE: Final = Factors(1.06, 1.06**1.7)
"""Sample b against sample a: six parts in a hundred of thrust by pitch, as two of a poor batch may differ."""


def _two_samples(seed: int) -> tuple[RunPlan, ...]:
    """Draw two designs of two samples that differ in pitch, each mounted three times."""
    first = 2 * (seed % 2)
    plans = campaign(DESIGNS[first : first + 2], seed=seed, samples=2, mountings=3)
    of_a = {plan.propeller.name: plan.sample_factors for plan in plans if plan.sample == "a"}
    return tuple(
        plan if plan.sample == "a" else replace(plan, sample_factors=of_a[plan.propeller.name].times(_OTHER_SAMPLE))
        for plan in plans
    )


def _other_propeller(plans: Sequence[RunPlan], victim: int, random: Random) -> dict[int, RunPlan]:
    own = plans[victim].propeller.name
    return {victim: _with_blades_of(plans[victim], [p for p in plans if p.propeller.name != own], random)}


def _other_sample(plans: Sequence[RunPlan], victim: int, random: Random) -> dict[int, RunPlan]:
    run = plans[victim]
    others = [p for p in plans if p.propeller.name == run.propeller.name and p.sample != run.sample]
    return {victim: _with_blades_of(run, others, random)}


def _with_blades_of(run: RunPlan, others: Sequence[RunPlan], random: Random) -> RunPlan:
    """Return a run with the blades of another one, mounted as its own would have been."""
    other = others[int(random.integers(len(others)))]
    return replace(
        run,
        propeller=other.propeller,
        sample_factors=other.sample_factors,
        added_inertia=other.added_inertia,
    )


def _alone(change: Callable[[RunPlan], RunPlan]) -> Plans:
    return lambda plans, victim, _random: {victim: change(plans[victim])}


def _from_there_on(change: Callable[[RunPlan], RunPlan]) -> Plans:
    return lambda plans, victim, _random: {place: change(plans[place]) for place in range(victim, len(plans))}


def _zero(size: float) -> Callable[[RunPlan], RunPlan]:
    return lambda run: replace(run, thrust_zero=replace(run.thrust_zero, start=run.thrust_zero.start + size))


def _noisier(times: float, *, at_rest: bool) -> Callable[[RunPlan], RunPlan]:
    def plan(run: RunPlan) -> RunPlan:
        cell: Sensor = run.stand.sensors.thrust or Sensor()
        if at_rest:
            cell = replace(cell, noise=times * cell.noise)
        else:
            ahead, share = times * cell.noise_ahead, times * cell.noise_ahead_relative
            cell = replace(cell, noise_ahead=ahead, noise_ahead_relative=share)
        sensors = replace(run.stand.sensors, thrust=cell)
        return replace(run, stand=replace(run.stand, sensors=sensors))

    return plan


def _copy(runs: Sequence[VirtualRun], victim: int) -> dict[int, VirtualRun]:
    """Give the run the recording of the one before it."""
    return {victim: relabelled(runs[victim], runs[victim - 1].columns)}


def _same_file(hashes: dict[str, str], victim: str) -> dict[str, str]:
    names = list(hashes)
    return {**hashes, victim: hashes[names[names.index(victim) - 1]]}


CAMPAIGN_CASES: tuple[CampaignCase, ...] = (
    CampaignCase(
        "design-doubtful",
        "another design of the campaign was on the hub than runs.csv says",
        "designs that differ by 13 % or more in thrust and torque together; all figures are the other propeller's",
        plans=_other_propeller,
    ),
    CampaignCase(
        "sample-doubtful",
        "the other sample of the design was on the hub than runs.csv says",
        "samples 6 % apart in thrust and 10 % in torque by their pitch: the mean of the design does not move, the "
        "scatter of its samples looks smaller than it is",
        bench=_two_samples,
        plans=_other_sample,
    ),
    CampaignCase(
        "recording-twice",
        "a run's log is that of the run before, byte for byte",
        "one measurement counts twice",
        spoil=_copy,
        files=_same_file,
    ),
    CampaignCase(
        "recording-twice",
        "a run's log is that of the run before in another file, with another head and other line ends",
        "one measurement counts twice",
        spoil=_copy,
    ),
    CampaignCase(
        "zero-moved",
        "the zero of the thrust cell stands 0.75 N off in one run",
        "15 times what zeros scatter from run to run; 12 % of the thrust at 6 N, were it not taken out",
        plans=_alone(_zero(0.75)),
    ),
    CampaignCase(
        "zero-moved",
        "the zero of the thrust cell jumps by 1 N between two runs and stays there",
        "14 times what zeros scatter from one run to the next; 16 % of the thrust at 6 N, were it not taken out",
        victims=(3, 10),
        plans=_from_there_on(_zero(1.0)),
    ),
    CampaignCase(
        "noise-above-baseline",
        "the thrust cell is four times as noisy at rest in one run",
        "no figure moves; the noise of the reading at rest goes from 0.8 to 3.3 gf",
        plans=_alone(_noisier(4.0, at_rest=True)),
    ),
    CampaignCase(
        "noise-above-baseline",
        "thrust is four times as noisy under power in one run",
        "no figure moves; its share of run noise grows four times",
        plans=_alone(_noisier(4.0, at_rest=False)),
    ),
)
