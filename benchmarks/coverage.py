"""Coverage of the stated intervals, condition by condition: `python benchmarks/coverage.py [campaigns] [condition …]`.

Each simulated campaign draws its own rig, air sensors, zeros, samples and mountings from what the rig states. Printed
for each measurand: mean error, error that 95 % stay within, share of 95 % intervals that hold the truth, and the rms of
(value - truth)/u.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from isothrust.virtual import CONDITIONS
from support.study import Study, campaign_cases, scores
from support.workers import spread_over_workers


def main(words: list[str]) -> None:
    """Run the study for each condition asked, or for all of them and none."""
    campaigns = int(words[0]) if words and words[0].isdigit() else 1000
    asked = [word for word in words if word in CONDITIONS]
    for names in [(name,) for name in asked] or [(), *((name,) for name in CONDITIONS)]:
        parts = [range(first, min(first + 10, campaigns)) for first in range(0, campaigns, 10)]
        batches = spread_over_workers(partial(campaign_cases, study=Study(conditions=names)), parts)
        cases = [case for batch in batches for case in batch]
        print(f"\n{'+'.join(names) or 'plain'}: {campaigns} campaigns")
        print(f"{'measurand':24s} {'mean %':>8s} {'95 % in':>8s} {'holds %':>8s} {'rms z':>6s}")
        for score in scores(cases).values():
            print(
                f"{score.measurand:24s} {100 * score.mean_error:8.3f} {100 * score.within_95:8.2f} "
                f"{100 * score.coverage:8.1f} {score.rms_z:6.2f}"
            )


if __name__ == "__main__":
    main(sys.argv[1:])
