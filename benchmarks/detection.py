"""Detection rates and false alarms: `python benchmarks/detection.py [runs a fault] [good campaigns] [--write]`.

Plants every fault of tests/support/faulty in so many simulated runs and counts how often its finding is given; then
reduces good campaigns and counts the runs that get a warning or a fail. With --write the result becomes
docs/detection.md.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from support.faulty.page import detection_page
from support.faulty.study import Accused, accused, cases, count
from support.workers import spread_over_workers

PAGE = Path(__file__).resolve().parent.parent / "docs" / "detection.md"
PART = 50


def main(words: list[str]) -> None:
    """Count, print the page, and write it where that is asked."""
    numbers = [int(word) for word in words if word.isdigit()]
    seeds, campaigns = (*numbers, *(500, 96)[len(numbers) :])[:2]
    told: Counter[tuple[str, str]] = Counter()
    for part in spread_over_workers(count, [range(s, min(s + PART, seeds)) for s in range(0, seeds, PART)]):
        told.update(part)
        print(".", end="", file=sys.stderr, flush=True)
    runs, bad = 0, list[Accused]()
    for made, found in spread_over_workers(accused, range(campaigns)):
        runs += made
        bad += found
    for one in bad:
        print(f"\naccused: {one}", end="", file=sys.stderr)
    page = detection_page(cases(), told, seeds=seeds, good=(campaigns, runs, bad))
    print(page)
    if "--write" in words:
        PAGE.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
