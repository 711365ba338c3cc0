"""Detection rates and false alarms: `python benchmarks/detection.py [trials] [good campaigns] [first seed] [--write]`.

Plants every fault of tests/support/faulty in so many simulated runs, or in one run each of so many simulated campaigns,
and counts how often its finding is given; then reduces good campaigns and counts the runs that get a warning or a fail.
Trials have the seeds from the first on, others than the checks were made with: their rates hold for runs that
nobody has looked at. With --write the result becomes docs/detection.md. How long each part takes is told as it is done.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from support.faulty.page import detection_page
from support.faulty.study import Accused, accused, campaign_cases, cases, count, count_in_campaigns, trials_of
from support.workers import spread_over_workers

PAGE = Path(__file__).resolve().parent.parent / "docs" / "detection.md"
FIRST = 40_000
PART = 50
PART_OF_CAMPAIGNS = 24
"""A campaign is a dozen runs and more."""
PART_OF_GOOD = 16
PART_OF_COSTLY = 6

Counted = Counter[tuple[str, str]]


@contextmanager
def timed(what: str) -> Iterator[None]:
    """Tell how long a part took."""
    start = time.perf_counter()
    yield
    print(f" {what}: {time.perf_counter() - start:.0f} s", file=sys.stderr, flush=True)


def counted(function: Callable[[Sequence[int]], Counted], seeds: range, part: int) -> Counted:
    """Return the sum of what is counted part by part, over the workers."""
    told: Counted = Counter()
    for one in spread_over_workers(function, [seeds[at : at + part] for at in range(0, len(seeds), part)]):
        told.update(one)
        print(".", end="", file=sys.stderr, flush=True)
    return told


def main(words: list[str]) -> None:
    """Count, print the page, and write it where that is asked."""
    numbers = [int(word) for word in words if word.isdigit()]
    trials, campaigns, first = (*numbers, *(500, 96, FIRST)[len(numbers) :])[:3]
    seeds = range(first, first + trials)
    with timed(f"{len(cases())} faults of {trials} runs each"):
        usual = [case for case in cases() if trials_of(case, trials) == trials]
        told = counted(partial(count, asked=usual), seeds, PART)
        costly = [case for case in cases() if case not in usual]
        if costly:
            told += counted(partial(count, asked=costly), seeds[: trials_of(costly[0], trials)], PART_OF_COSTLY)
    with timed(f"{len(campaign_cases())} faults of {trials} campaigns each"):
        told += counted(count_in_campaigns, seeds, PART_OF_CAMPAIGNS)
    runs, bad = 0, list[Accused]()
    with timed(f"{campaigns} good campaigns"):
        good = range(first, first + campaigns)
        parts = [good[at : at + PART_OF_GOOD] for at in range(0, campaigns, PART_OF_GOOD)]
        for made, found in spread_over_workers(accused, parts):
            runs += made
            bad += found
    for one in bad:
        print(f"accused: {one}", file=sys.stderr)
    page = detection_page(cases(), campaign_cases(), told, seeds=trials, good=(campaigns, runs, bad))
    print(page)
    if "--write" in words:
        PAGE.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
