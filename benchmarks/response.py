"""Figures of steps against their truth, rate by rate: `python benchmarks/response.py [campaigns] [condition …]`.

Each simulated campaign draws a rig, samples and mountings; every design's run of steps is reduced at each log rate and
set beside the motion itself. Printed for each figure: mean error, error that 95 % stay within, share of 95 % intervals
that hold the truth, rms of (value - truth)/u, and how many were absent.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from isothrust.virtual import CONDITIONS
from support.responses import RATES, response_cases, response_scores
from support.workers import spread_over_workers


def main(words: list[str]) -> None:
    """Run the study for each condition asked, or for none and for thrust and torque lags that differ."""
    campaigns = int(words[0]) if words and words[0].isdigit() else 60
    stated = "stated" in words
    asked = [word for word in words if word in CONDITIONS]
    for names in [(name,) for name in asked] or [(), ("different-lags",)]:
        parts = [range(first, min(first + 5, campaigns)) for first in range(0, campaigns, 5)]
        work = partial(response_cases, conditions=names, window_stated=stated)
        cases = [case for batch in spread_over_workers(work, parts) for case in batch]
        print(f"\n{'+'.join(names) or 'plain'}: {campaigns} campaigns, window {'stated' if stated else 'not stated'}")
        print(
            f"{'rate':>5s} {'figure':20s} {'mean %':>8s} {'95 % in':>8s} {'worst %':>8s} {'holds %':>8s} {'rms z':>6s}"
        )
        for rate in RATES:
            for score in response_scores([case for case in cases if case.rate == rate]):
                print(
                    f"{rate:5d} {score.measurand:20s} {100 * score.mean_error:8.3f} {100 * score.within_95:8.2f} "
                    f"{100 * score.worst:8.2f} {100 * score.coverage:8.1f} {score.rms_z:6.2f} {score.count}"
                )


if __name__ == "__main__":
    main(sys.argv[1:])
