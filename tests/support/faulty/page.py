"""The page of detection rates and false alarms, made of what a study counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from support.faulty.case import FaultCase
from support.faulty.study import BENCHES, THINNED, Accused, lower_bound, upper_bound
from support.faulty.trial import SCHEDULES

__all__ = ["detection_page"]

_HEAD = """# How surely bad runs are found, and good ones left alone

Written by `python benchmarks/detection.py --write`. Every run is simulated: a rig with errors of its own, a day, a
sample, a mounting, zeros and sensor noise, drawn anew. The simulated rig shares no formula with the program.

## Faults

One fault a run, at the size stated; *found* counts the runs whose findings name it, *at least* is the lower end of the
one-sided 95 % interval of that rate (Clopper and Pearson). What each finding means and what to do stands in
[messages](messages.md).

| finding | fault | size | runs | found | at least |
| --- | --- | --- | --- | --- | --- |
"""

_GOOD = """
## Good runs

{runs} runs of {campaigns} campaigns without a fault: {kinds}; benches as usual and with {benches}; logged at
{rates} Hz. {accused} of them got a warning or a fail from any check, {share:.2f} % (at most {upper:.2f} % at 95 %).
"""


def detection_page(
    cases: Sequence[FaultCase],
    told: Mapping[tuple[str, str], int],
    *,
    seeds: int,
    good: tuple[int, int, Sequence[Accused]],
) -> str:
    """Return the page; `good` is campaigns, runs, and the runs that were accused."""
    rows = [
        f"| {case.code} | {case.fault} | {case.size} | {seeds} | {_per_cent(hits / seeds)} | "
        f"{_per_cent(lower_bound(hits, seeds))} |\n"
        for case in sorted(cases, key=lambda case: (case.code, case.fault))
        for hits in [told[case.code, case.fault]]
    ]
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
    return _HEAD + "".join(rows) + text + _blamed(bad)


def _blamed(bad: Sequence[Accused]) -> str:
    if not bad:
        return ""
    blamed = Counter(code for one in bad for code in one.codes)
    lines = [f"| {code} | {number} |\n" for code, number in sorted(blamed.items())]
    return "\n| finding | good runs |\n| --- | --- |\n" + "".join(lines)


def _per_cent(rate: float) -> str:
    return f"{100.0 * rate:.1f} %"
