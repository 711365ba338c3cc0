"""Predictions for a motor and voltage that were never run: `python benchmarks/predict.py [campaigns] [first seed]`.

Printed for each figure: mean error, error that 95 % stay within, greatest error, share of 95 % intervals that hold the
truth, and the rms of (value - truth)/u.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from support.foretold import foretold_cases
from support.study import scores
from support.workers import spread_over_workers

TOGETHER = 10
"""Campaigns that are simulated at once."""


def main(words: list[str]) -> None:
    """Run the study."""
    campaigns = int(words[0]) if words else 200
    start = int(words[1]) if len(words) > 1 else 0
    parts = [
        range(first, min(first + TOGETHER, start + campaigns)) for first in range(start, start + campaigns, TOGETHER)
    ]
    cases = [case for batch in spread_over_workers(foretold_cases, parts) for case in batch]
    print(f"{campaigns} campaigns, {len(cases)} figures")
    print(f"{'figure':24s} {'mean %':>8s} {'95 % in':>8s} {'worst %':>8s} {'holds %':>8s} {'rms z':>6s}")
    for score in scores(cases).values():
        print(
            f"{score.measurand:24s} {100 * score.mean_error:8.3f} {100 * score.within_95:8.2f} "
            f"{100 * score.worst:8.2f} {100 * score.coverage:8.1f} {score.rms_z:6.2f}"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
