"""Motors found from simulated campaigns against their truth: `python benchmarks/motor.py [campaigns] [condition …]`.

Each campaign draws its own rig, air sensors, zeros, samples and mountings from what the rig states. Printed for each
figure: mean error, rms, error that 95 % stay within, worst, share of 95 % intervals that hold the truth, rms of
(value - truth)/u, and the uncertainty stated on the mean. That last one is the limit that the rig's scale errors and
noise leave: the fit is least squares with all of them as parameters, and its covariance the inverse of the information.
"""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from isothrust.virtual import CONDITIONS
from support.motors import MotorScore, motor_cases, motor_scores
from support.workers import spread_over_workers


def main(words: list[str]) -> None:
    """Run the study for each condition asked, or for none."""
    campaigns = int(words[0]) if words and words[0].isdigit() else 100
    asked = [word for word in words if word in CONDITIONS]
    for names in [(name,) for name in asked] or [()]:
        parts = [range(first, min(first + 5, campaigns)) for first in range(0, campaigns, 5)]
        batches = spread_over_workers(partial(motor_cases, conditions=names), parts)
        print(f"\n{'+'.join(names) or 'plain'}: {campaigns} campaigns")
        heads = f"{'figure':26s} {'mean %':>7s} {'rms %':>7s} {'95 % in':>8s} {'worst %':>8s}"
        print(f"{heads} {'holds':>6s} {'z':>5s} {'u %':>6s}")
        for score in motor_scores(case for batch in batches for case in batch).values():
            print(line(score))


def line(score: MotorScore) -> str:
    """Return a score as one line."""
    text = f"{score.name:26s} {100 * score.mean:7.2f} {100 * score.rms:7.2f} {100 * score.within_95:8.2f}"
    text += f" {100 * score.worst:8.2f}"
    if score.coverage is None or score.rms_z is None or score.uncertainty is None:
        return text
    return text + f" {100 * score.coverage:6.1f} {score.rms_z:5.2f} {100 * score.uncertainty:6.2f}"


if __name__ == "__main__":
    main(sys.argv[1:])
