"""Good campaigns as logs, and the runs that only such a campaign shows to be bad."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

import numpy as np

from isothrust.virtual import (
    COMMA,
    MICRO,
    MIDNIGHT,
    SEMICOLON,
    TAB,
    Dialect,
    RunPlan,
    Schedule,
    VirtualRun,
    campaign,
    coast,
    holds,
    ramp_up_down,
    simulate_each,
    steps,
    zero,
)
from logs.run_book import Row, rig_text
from logs.run_logs import LOGGER, NOISE, seed_of
from support.faulty.campaign_trial import CampaignCase, usual_campaign
from support.faulty.identity import CAMPAIGN_CASES
from support.simulated import job_of
from support.study import DESIGNS

__all__ = ["GOOD", "campaign_rows", "identity_cases"]


@dataclass(frozen=True, slots=True)
class Good:
    """A good campaign."""

    plans: tuple[RunPlan, ...]
    dialect: Dialect
    every: int
    """One row in so many of 1000 a second."""


def _some(seed: int, schedule: Schedule, designs: slice) -> tuple[RunPlan, ...]:
    return campaign(DESIGNS[designs], seed=seed, mountings=1, schedules=[schedule])


def _two_samples() -> tuple[RunPlan, ...]:
    (case,) = [case for case in CAMPAIGN_CASES if case.code == "sample-doubtful"]
    return case.bench(12)


def _packed(dialect: Dialect) -> Dialect:
    return replace(dialect, compress=True)


GOOD: Final[Mapping[str, Good]] = MappingProxyType(
    {
        "good-ramps": Good(usual_campaign(11), LOGGER, 20),
        "good-samples": Good(_two_samples(), LOGGER, 20),
        "good-up-and-down": Good(_some(13, ramp_up_down(), slice(4)), _packed(COMMA), 20),
        "good-holds": Good(_some(14, holds(), slice(4)), _packed(SEMICOLON), 20),
        "good-steps": Good(_some(15, steps(), slice(4)), _packed(TAB), 20),
        "good-coasts": Good(_some(16, coast(), slice(2)), _packed(MIDNIGHT), 10),
        "good-zeros": Good(_some(17, zero(), slice(2, 4)), _packed(MICRO), 20),
    }
)
"""Campaign -> its runs; every schedule kind has one, and each a logger of its own."""

_OTHER_HEAD: Final = replace(LOGGER, preamble=("# copied out of another program", ""), newline="\r\n")


def identity_cases() -> dict[str, CampaignCase]:
    """Return the faults of one run that its campaign shows, by the name of the bad run."""
    seen: Counter[str] = Counter()
    named: dict[str, CampaignCase] = {}
    for case in CAMPAIGN_CASES:
        seen[case.code] += 1
        named[case.code if seen[case.code] == 1 else f"{case.code}-{seen[case.code]}"] = case
    return {name: case for name, case in named.items() if name != "zero-moved-2"}  # a jump that stays is in many runs


def campaign_rows() -> Iterator[Row]:
    """Yield the rows of the good campaigns, then those of the runs that are bad in one of them."""
    made = {name: _simulated(good.plans, range(len(good.plans))) for name, good in GOOD.items()}
    for name, runs in made.items():
        good = GOOD[name]
        for run in runs:
            job = job_of(run.plan, campaign=name)
            log = run.thinned(good.every).log_bytes(good.dialect)
            yield Row(job, rig_text(job, good.dialect, all_told=True), log, good.dialect.suffix)
    for name, case in identity_cases().items():
        of = "good-samples" if case.code == "sample-doubtful" else "good-ramps"
        yield _bad(name, case, of, made[of])


def _simulated(plans: Sequence[RunPlan], places: Sequence[int]) -> list[VirtualRun]:
    return list(simulate_each(plans, NOISE, places=places))


def _bad(name: str, case: CampaignCase, of: str, runs: Sequence[VirtualRun]) -> Row:
    random = np.random.default_rng([seed_of(name), 21])
    victim = int(random.integers(*case.victims))
    changed = dict(case.spoil(runs, victim))
    for place, plan in case.plans([run.plan for run in runs], victim, random).items():
        (changed[place],) = _simulated([plan], [place])
    assert list(changed) == [victim]
    plan = runs[victim].plan
    job = job_of(replace(plan, name=name), campaign="identity")
    dialect = _OTHER_HEAD if name == "recording-twice-2" else LOGGER
    log = changed[victim].thinned(GOOD[of].every).log_bytes(dialect)
    expected = f'fault = "{case.fault}"\nfinding = "{case.code}"\ncampaign = "{of}"\ninstead_of = "{plan.name}"\n'
    return Row(job, rig_text(job, LOGGER, all_told=True), log, expected=expected)
