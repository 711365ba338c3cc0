"""Simulate good campaigns, plant a fault in one run each, reduce, and look which runs the campaign's checks name."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.campaign.catalogue import examine_campaign
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence, Twin
from isothrust.virtual import RunPlan, VirtualRun, campaign, simulate_each
from support.simulated import design_of, job_of, recording_of
from support.study import DESIGNS

__all__ = ["CampaignCase", "Told", "campaign_evidence", "campaign_trials", "digest_of", "usual_campaign"]

Random = np.random.Generator
_NOISE = 20260501
"""Seed of the sensors' noise, to which the campaign's own is added as a place."""
_TOGETHER = 6
"""Campaigns integrated together: their lanes stay about as many as the simulation takes at once."""
_PLACES = 100
"""Places of noise that a campaign has to itself."""
_THINNED = 5
"""One row in so many is logged, 200 Hz: curves, zeros and noise are as they are at 1 kHz, and read sooner."""


def usual_campaign(seed: int) -> tuple[RunPlan, ...]:
    """Draw four designs of one sample, each mounted three times."""
    return campaign(DESIGNS, seed=seed, mountings=3)


def _same_plans(_plans: Sequence[RunPlan], _victim: int, _random: Random) -> dict[int, RunPlan]:
    return {}


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
    bench: Callable[[int], tuple[RunPlan, ...]] = usual_campaign
    """Draws the good campaign of a seed; runs.csv says what these plans say."""
    victims: tuple[int, int] = (1, 12)
    """The run with the fault is drawn from these places, the last one excluded."""
    plans: Callable[[Sequence[RunPlan], int, Random], Mapping[int, RunPlan]] = field(default=_same_plans)
    """Gives, by place, what the bench did instead, from the campaign's plans and the place of the victim."""
    spoil: Callable[[Sequence[VirtualRun], int], dict[int, VirtualRun]] = field(default=_as_they_are)
    """Gives, by place, other recordings to some of the runs, from the campaign's own and the place of the victim."""
    files: Callable[[dict[str, str], str], dict[str, str]] = field(default=_own_files)
    """Changes the hashes of the logs by run, given the victim's name."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the checks of a campaign said of a fault planted in one of its runs."""

    seed: int
    victim: str
    findings: tuple[Finding, ...]

    def names(self, code: str) -> bool:
        """Whether the victim was named by the code, and no other run."""
        return {finding.run for finding in self.findings if finding.code == code} == {self.victim}


def campaign_trials(
    cases: Sequence[CampaignCase], seeds: Sequence[int], *, thinned: int = _THINNED, step: float = 5e-4
) -> Iterator[tuple[CampaignCase, Told]]:
    """Yield each case and seed with what its campaign tells.

    The good campaign of a seed is simulated and reduced once for all cases that share it; runs that a fault changes
    are simulated anew, with the noise of the good ones in their place.
    """
    for start in range(0, len(seeds), _TOGETHER):
        part = seeds[start : start + _TOGETHER]
        good = {(case.bench, seed): dict(enumerate(case.bench(seed))) for seed in part for case in cases}
        trials = [(case, seed, *_planted(case, seed, good[case.bench, seed])) for seed in part for case in cases]
        asked = [(seed, plans) for (_, seed), plans in good.items()] + [(seed, plans) for _, seed, _, plans in trials]
        simulated = _simulated(asked, thinned, step)
        runs = {key: list(next(simulated).values()) for key in good}
        reduced = {key: [_reduced(run, run.plan) for run in members] for key, members in runs.items()}
        for case, seed, victim, _ in trials:
            key = (case.bench, seed)
            changed = next(simulated) | case.spoil(runs[key], victim)
            yield case, _told(case, seed, victim, reduced[key], _recorded(runs[key], changed))


def _planted(case: CampaignCase, seed: int, plans: Mapping[int, RunPlan]) -> tuple[int, Mapping[int, RunPlan]]:
    """Draw the victim's place; return it with the plans that the bench did not keep to."""
    random = np.random.default_rng([seed, 21])
    victim = int(random.integers(*case.victims))
    return victim, case.plans(list(plans.values()), victim, random)


def _simulated(
    asked: Sequence[tuple[int, Mapping[int, RunPlan]]], thinned: int, step: float
) -> Iterator[dict[int, VirtualRun]]:
    """Yield the runs by place, for each seed and its plans by place, all integrated together."""
    placed = [(seed * _PLACES + place, plan) for seed, plans in asked for place, plan in plans.items()]
    runs = simulate_each([plan for _, plan in placed], _NOISE, places=[place for place, _ in placed], step=step)
    for _, plans in asked:
        yield {place: _thinned(run, thinned) for place, run in zip(plans, runs, strict=False)}


def _thinned(run: VirtualRun, every: int) -> VirtualRun:
    """Return the run with columns of its own: a view would keep all rows of the full log."""
    thin = run.thinned(every)
    return replace(thin, columns={name: values.copy() for name, values in thin.columns.items()})


def _recorded(runs: Sequence[VirtualRun], changed: Mapping[int, VirtualRun]) -> dict[int, tuple[VirtualRun, RunPlan]]:
    """Return the changed recordings by place, each with what runs.csv says of it."""
    return {place: (run, runs[place].plan) for place, run in changed.items()}


def _reduced(run: VirtualRun, said: RunPlan) -> ReducedRun:
    """Reduce a recording under what runs.csv says of it."""
    return reduce_run(recording_of(run), job_of(said))


def _told(
    case: CampaignCase,
    seed: int,
    victim: int,
    good: Sequence[ReducedRun],
    changed: Mapping[int, tuple[VirtualRun, RunPlan]],
) -> Told:
    made = list(good)
    for place, (run, said) in changed.items():
        made[place] = _reduced(run, said)
    name = good[victim].run
    hashes = case.files({run.run: f"{place:064x}" for place, run in enumerate(good)}, name)
    return Told(seed, name, tuple(examine_campaign(campaign_evidence(made, hashes))))


def campaign_evidence(runs: Sequence[ReducedRun], hashes: Mapping[str, str]) -> CampaignEvidence:
    """Return what the checks of a campaign look at; hashes are those of the logs, by run."""
    return CampaignEvidence(
        "c",
        tuple(runs),
        designs={design.name: design_of(design) for design in DESIGNS},
        hashes={run: {"log": digest} for run, digest in hashes.items()},
        files={run: {"log": f"{run}.csv"} for run in hashes},
        twins=_twins(hashes),
    )


def digest_of(run: VirtualRun) -> str:
    """Return what stands for the SHA-256 of the log of a simulated run: that of its columns."""
    return hashlib.sha256(b"".join(values.tobytes() for values in run.columns.values())).hexdigest()


def _twins(hashes: Mapping[str, str]) -> dict[str, tuple[Twin, ...]]:
    places: dict[str, list[Twin]] = {}
    for run, digest in hashes.items():
        places.setdefault(digest, []).append(Twin("c", run, "log", f"{run}.csv"))
    return {digest: tuple(found) for digest, found in places.items() if len(found) > 1}


def relabelled(run: VirtualRun, columns: Mapping[str, np.ndarray]) -> VirtualRun:
    """Return a run with other columns."""
    return replace(run, columns=dict(columns))
