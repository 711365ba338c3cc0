"""The page of detection rates and false alarms, made of what a study counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from support.faulty.campaign_trial import CampaignCase
from support.faulty.case import FaultCase
from support.faulty.study import BENCHES, THINNED, Accused, lower_bound, trials_of, upper_bound
from support.faulty.trial import SCHEDULES
from support.faulty.without import WITHOUT_RATE

__all__ = ["detection_page"]

_HEAD = """# How surely bad runs are found, and good ones left alone

Written by `python benchmarks/detection.py --write`. Every run is simulated: a rig with errors of its own, a day, a
sample, a mounting, zeros and sensor noise, drawn anew. The simulated rig shares no formula with the program.

## Faults

One fault a run, at the size stated; *found* counts the runs whose findings name it, *at least* is the lower end of the
one-sided 95 % interval of that rate (Clopper and Pearson). Faults of an accelerometer, whose rows are many, are planted
in fewer runs. What each finding means and what to do stands in
[messages](messages.md).

| finding | fault | size | runs | found | at least |
| --- | --- | --- | --- | --- | --- |
"""

_CAMPAIGN = """
## Faults that only a campaign shows

One trial is a campaign of 12 runs of 10 s ramps, logged at 200 Hz: four designs of one sample, or two designs of two
samples, each mounted three times. One run has the fault; it is *found* where the campaign's findings name that run, and
no other, by the code.

| finding | fault | size | campaigns | found | at least |
| --- | --- | --- | --- | --- | --- |
"""

_WITHOUT = """
## Findings that have no rate

| findings | why |
| --- | --- |
"""

_GOOD = """
## Good runs

{runs} runs of {campaigns} campaigns without a fault, half of them with two samples of each design: {kinds}; benches as
usual and with {benches}; logged at
{rates} Hz. {accused} of them got a warning or a fail from any check of the run or of the campaign, {share:.2f} % (at
most {upper:.2f} % at 95 %).
"""


def detection_page(
    cases: Sequence[FaultCase],
    of_campaigns: Sequence[CampaignCase],
    told: Mapping[tuple[str, str], int],
    *,
    seeds: int,
    good: tuple[int, int, Sequence[Accused]],
) -> str:
    """Return the page; `good` is campaigns, runs, and the runs that were accused."""
    campaigns, runs, bad = good
    text = _GOOD.format(
        runs=runs,
        campaigns=campaigns,
        kinds=", ".join(SCHEDULES),
        benches=", ".join(name.replace("-", " ") for name in BENCHES if name),
        rates=", ".join(str(1000 // every) for every in THINNED),
        accused=len(bad),
        share=100.0 * len(bad) / runs,
        upper=100.0 * upper_bound(len(bad), runs),
    )
    rows = "".join(_rows(cases, told, seeds))
    together = "".join(_rows(of_campaigns, told, seeds))
    return _HEAD + rows + _CAMPAIGN + together + text + _blamed(bad) + _WITHOUT + "".join(_unrated())


def _rows(
    cases: Sequence[FaultCase] | Sequence[CampaignCase], told: Mapping[tuple[str, str], int], most: int
) -> Iterator[str]:
    for case in sorted(cases, key=lambda case: (case.code, case.fault)):
        hits, trials = told[case.code, case.fault], trials_of(case, most)
        found, least = _per_cent(hits / trials), _per_cent(lower_bound(hits, trials))
        yield f"| {case.code} | {case.fault} | {case.size} | {trials} | {found} | {least} |\n"


def _unrated() -> Iterator[str]:
    for group in WITHOUT_RATE:
        yield f"| {', '.join(group.codes)} | {group.reason} |\n"


def _blamed(bad: Sequence[Accused]) -> str:
    if not bad:
        return ""
    blamed = Counter(code for one in bad for code in one.codes)
    lines = [f"| {code} | {number} |\n" for code, number in sorted(blamed.items())]
    return "\n| finding | good runs |\n| --- | --- |\n" + "".join(lines)


def _per_cent(rate: float) -> str:
    return f"{100.0 * rate:.1f} %"
