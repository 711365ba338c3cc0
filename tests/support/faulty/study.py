"""How often planted faults are told of, and how often good runs are accused."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from itertools import islice
from pathlib import Path
from pkgutil import iter_modules
from types import ModuleType
from typing import Final

from scipy.special import betaincinv

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.campaign.catalogue import examine_campaign
from isothrust.virtual import RunPlan, Setup, VirtualRun, campaign, simulate_each, with_conditions
from support.faulty import vibration
from support.faulty.campaign_trial import CampaignCase, campaign_evidence, campaign_trials, digest_of
from support.faulty.case import FaultCase
from support.faulty.trial import SCHEDULES, trials
from support.simulated import job_of, recording_of
from support.study import DESIGNS

__all__ = [
    "BENCHES",
    "THINNED",
    "Accused",
    "accused",
    "campaign_cases",
    "cases",
    "count",
    "count_in_campaigns",
    "lower_bound",
    "trials_of",
    "upper_bound",
]

_NOISE = 20260401

BENCHES: Final = ("", "low-noise", "coloured-noise", "different-lags", "bent-throttle", "winding-heating")
"""Conditions of good benches, by their name in `isothrust.virtual`; '' is the usual one."""
THINNED: Final = (1, 2, 5, 10)
"""One row in so many is logged: 1000, 500, 200 and 100 Hz."""


_FEWER: Final = 60
_NO_GROUP: Final = frozenset({"campaign_trial", "case", "page", "study", "trial", "without"})


def cases() -> list[FaultCase]:
    """Return the faults of single runs, of all groups: every module of this folder that has some."""
    return [case for group in _groups() for case in getattr(group, "CASES", ())]


def campaign_cases() -> list[CampaignCase]:
    """Return the faults that only the runs of a campaign together show."""
    return [case for group in _groups() for case in getattr(group, "CAMPAIGN_CASES", ())]


def _groups() -> list[ModuleType]:
    names = sorted(module.name for module in iter_modules([str(Path(__file__).parent)]))
    return [import_module(f"support.faulty.{name}") for name in names if name not in _NO_GROUP]


def trials_of(case: FaultCase | CampaignCase, most: int) -> int:
    """Return in how many runs a fault is planted: an accelerometer's rows are many, and a run of it takes long."""
    return min(most, _FEWER) if case in vibration.CASES else most


def count(
    seeds: Sequence[int], *, step: float = 5e-4, asked: Sequence[FaultCase] | None = None
) -> Counter[tuple[str, str]]:
    """Return in how many of the seeds each case, by code and fault, was told of; `step` as in `trials`."""
    told: Counter[tuple[str, str]] = Counter()
    for case, _, codes in trials(cases() if asked is None else asked, seeds, step=step):
        told[case.code, case.fault] += case.code in codes
    return told


def count_in_campaigns(seeds: Sequence[int]) -> Counter[tuple[str, str]]:
    """Return in how many of the seeds each case of a campaign was told of its run, and of no other."""
    told: Counter[tuple[str, str]] = Counter()
    for case, one in campaign_trials(campaign_cases(), seeds):
        told[case.code, case.fault] += one.names(case.code)
    return told


def lower_bound(hits: int, trials_made: int, *, confidence: float = 0.95) -> float:
    """Return the one-sided lower bound of a rate (Clopper and Pearson 1934)."""
    return float(betaincinv(hits, trials_made - hits + 1, 1.0 - confidence)) if hits else 0.0


def upper_bound(hits: int, trials_made: int, *, confidence: float = 0.95) -> float:
    """Return the one-sided upper bound of a rate (Clopper and Pearson 1934)."""
    return float(betaincinv(hits + 1, trials_made - hits, confidence))


@dataclass(frozen=True, slots=True)
class Accused:
    """One good run that got a warning or a fail."""

    run: str
    kind: str
    bench: str
    thinned: int
    codes: tuple[str, ...]


def accused(seeds: Sequence[int], *, step: float = 5e-4) -> tuple[int, list[Accused]]:
    """Simulate one good campaign of 12 runs a seed; return the number of runs and those that are accused."""
    made, bad = 0, list[Accused]()
    for kind in SCHEDULES:
        drawn = [_good_campaign(seed) for seed in seeds if _kind(seed) == kind]
        plans = [plan for one in drawn for plan in one.plans]
        places = [one.seed * 100 + place for one in drawn for place in range(len(one.plans))]
        runs = simulate_each(plans, _NOISE, places=places, step=step)
        for one in drawn:
            members = [run.thinned(one.thinned) for run in islice(runs, len(one.plans))]
            made += len(members)
            bad += [
                Accused(name, kind, one.bench, one.thinned, tuple(sorted({finding.code for finding in findings})))
                for name, findings in _serious(members)
                if findings
            ]
    return made, bad


@dataclass(frozen=True, slots=True)
class _GoodCampaign:
    seed: int
    bench: str
    thinned: int
    plans: Sequence[RunPlan]


def _kind(seed: int) -> str:
    return tuple(SCHEDULES)[seed % len(SCHEDULES)]


def _good_campaign(seed: int) -> _GoodCampaign:
    """Draw four designs of one sample, or two designs of two samples, each mounted three times."""
    at_bench = seed // len(SCHEDULES) % len(BENCHES)
    at_rate = seed // (len(SCHEDULES) * len(BENCHES)) % len(THINNED)
    bench = BENCHES[at_bench]
    setup = with_conditions(Setup(), *([bench] if bench else []))
    samples = 1 + (seed % len(SCHEDULES) + at_bench + at_rate) % 2
    designs = DESIGNS if samples == 1 else DESIGNS[:: 1 + seed % 2][:2]
    schedules = [SCHEDULES[_kind(seed)]()]
    plans = campaign(designs, seed=seed, samples=samples, mountings=3, schedules=schedules, setup=setup)
    return _GoodCampaign(seed, bench, THINNED[at_rate], plans)


def _serious(members: Sequence[VirtualRun]) -> Iterator[tuple[str, list[Finding]]]:
    reduced = [reduce_run(recording_of(run), job_of(run.plan)) for run in members]
    together = examine_campaign(campaign_evidence(reduced, {run.plan.name: digest_of(run) for run in members}))
    for one in reduced:
        yield one.run, [finding for finding in _all(one, together) if finding.severity != "note"]


def _all(run: ReducedRun, together: Sequence[Finding]) -> list[Finding]:
    return [*run.findings, *(finding for finding in together if finding.run == run.run)]
