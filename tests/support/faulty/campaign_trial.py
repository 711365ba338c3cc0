"""Simulate a good campaign, plant a fault in one run, reduce, and look which runs the campaign's checks name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.campaign.catalogue import examine_campaign
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence, Twin
from isothrust.virtual import RunPlan, VirtualRun, campaign, simulate
from support.simulated import design_of, job_of, recording_of
from support.study import DESIGNS

__all__ = ["CampaignCase", "campaign_trials", "told_by_campaign"]

Random = np.random.Generator
_NOISE = 20260501


def _same_plan(plan: RunPlan, _random: Random) -> RunPlan:
    return plan


def _as_they_are(runs: Sequence[VirtualRun], _victim: int) -> dict[int, VirtualRun]:
    return {}


def _own_files(hashes: dict[str, str], _victim: str) -> dict[str, str]:
    return hashes


@dataclass(frozen=True, slots=True)
class CampaignCase:
    """A fault of one run that only its campaign shows; the code must be given for that run and no other."""

    code: str
    fault: str
    size: str
    plan: Callable[[RunPlan, Random], RunPlan] = field(default=_same_plan)
    """Changes what the bench did in that run; what runs.csv says of it stays."""
    spoil: Callable[[Sequence[VirtualRun], int], dict[int, VirtualRun]] = field(default=_as_they_are)
    """Gives, by place, other recordings to some of the runs, from the campaign's own and the place of the victim."""
    files: Callable[[dict[str, str], str], dict[str, str]] = field(default=_own_files)
    """Changes the hashes by run, given the victim's name."""


@cache
def _good(seed: int) -> tuple[tuple[VirtualRun, ...], tuple[ReducedRun, ...]]:
    runs = tuple(simulate(campaign(DESIGNS, seed=seed, mountings=3), _NOISE + seed))
    return runs, tuple(_reduced(run, run.plan) for run in runs)


def _reduced(run: VirtualRun, said: RunPlan) -> ReducedRun:
    """Reduce a recording under what runs.csv says of it."""
    return reduce_run(recording_of(run), job_of(said))


def campaign_trials(cases: Sequence[CampaignCase], seeds: Sequence[int]) -> Iterator[tuple[CampaignCase, int, bool]]:
    """Yield each case and seed with whether the victim was named by its code, and no other run."""
    for seed in seeds:
        for case in cases:
            victim, told = told_by_campaign(case, seed)
            yield case, seed, {finding.run for finding in told if finding.code == case.code} == {victim}
        _good.cache_clear()


def told_by_campaign(case: CampaignCase, seed: int) -> tuple[str, list[Finding]]:
    """Return the name of the run with the fault, and all that the campaign's checks find."""
    random = np.random.default_rng([seed, 21])
    runs, reduced = _good(seed)
    victim = int(random.integers(1, len(runs)))
    changed = case.spoil(runs, victim)
    if case.plan is not _same_plan:
        plan = case.plan(runs[victim].plan, random)
        (changed[victim],) = simulate([plan], _NOISE + seed, first=victim)
    made = list(reduced)
    for place, run in changed.items():
        made[place] = _reduced(run, runs[place].plan)
    name = runs[victim].plan.name
    hashes = case.files({run.plan.name: f"{place:064x}" for place, run in enumerate(runs)}, name)
    evidence = CampaignEvidence(
        "c",
        tuple(made),
        designs={design.name: design_of(design) for design in DESIGNS},
        hashes={run: {"log": digest} for run, digest in hashes.items()},
        files={run: {"log": f"{run}.csv"} for run in hashes},
        twins=_twins(hashes),
    )
    return name, examine_campaign(evidence)


def _twins(hashes: Mapping[str, str]) -> dict[str, tuple[Twin, ...]]:
    places: dict[str, list[Twin]] = {}
    for run, digest in hashes.items():
        places.setdefault(digest, []).append(Twin("c", run, "log", f"{run}.csv"))
    return {digest: tuple(found) for digest, found in places.items() if len(found) > 1}


def relabelled(run: VirtualRun, columns: Mapping[str, np.ndarray]) -> VirtualRun:
    """Return a run with other columns."""
    return replace(run, columns=dict(columns))
