"""Faults that only a campaign shows: the wrong propeller, a recording twice, zeros and noise that stand apart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from isothrust.virtual import Propeller, RunPlan, Sensor, VirtualRun
from isothrust.virtual.propeller import Factors
from support.faulty.campaign_trial import CampaignCase, relabelled
from support.study import DESIGNS

__all__ = ["CAMPAIGN_CASES"]

Random = np.random.Generator


def _other_propeller(plan: RunPlan, random: Random) -> RunPlan:
    others: list[Propeller] = [design for design in DESIGNS if design.name != plan.propeller.name]
    pitch = 0.01 * float(random.standard_normal())
    sample = Factors(1.0 + pitch, 1.0 + 1.7 * pitch)
    return replace(plan, propeller=others[int(random.integers(len(others)))], sample_factors=sample)


def _zero(size: float) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
        return replace(run, thrust_zero=replace(run.thrust_zero, start=run.thrust_zero.start + size))

    return plan


def _noisier(times: float, *, at_rest: bool) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
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
        plan=_other_propeller,
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
        plan=_zero(0.75),
    ),
    CampaignCase(
        "noise-above-baseline",
        "the thrust cell is four times as noisy at rest in one run",
        "no figure moves; the noise of the reading at rest goes from 0.8 to 3.3 gf",
        plan=_noisier(4.0, at_rest=True),
    ),
    CampaignCase(
        "noise-above-baseline",
        "thrust is four times as noisy under power in one run",
        "no figure moves; its share of run noise grows four times",
        plan=_noisier(4.0, at_rest=False),
    ),
)
