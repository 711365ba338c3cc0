"""Steps and holds that are over before the rotor has arrived."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.checks.throttle.plateaus import plateaus
from isothrust.reduction.evidence import Evidence

__all__ = ["check_settling"]

_STEP: Final = 0.05
"""Least change of speed, as a share of the greatest, that counts as a step [1]."""
_MOVES: Final = 0.02
"""Share of a step that its last quarter may still bring [1]."""
_FEWEST: Final = 4
"""Bins that the last quarter needs at least."""
_SHARE: Final = 0.5
"""Share of the steps that must be so [1]."""


def check_settling(evidence: Evidence) -> list[Finding]:
    """Return a finding where most steps are still under way when the next command comes.

    Only what goes on in the step's own direction counts: warmth and a sagging supply pull the other way.
    """
    if evidence.job.run.kind not in {"steps", "holds"}:
        return []
    spells, bins = evidence.prepared.spells, evidence.prepared.bins
    drive, left = spells.drive, []
    ends: list[int] = []
    before: float | None = None
    for plateau in plateaus(evidence):
        inside = drive[plateau.first : plateau.last + 1]
        tail = max(1, inside.size // 8)
        end = float(np.mean(inside[-tail:]))
        step = None if before is None else end - before
        before = end
        if step is None or abs(step) < _STEP * spells.top or inside.size < 4 * _FEWEST or plateau.command <= 0.005:
            continue
        quarter = inside[-(inside.size // 4) :]
        half = quarter.size // 2
        moved = 2.0 * (float(np.mean(quarter[half:])) - float(np.mean(quarter[:half])))
        left.append(moved / step)
        ends.append(plateau.last)
    late = np.array(left) > _MOVES
    if late.size == 0 or np.count_nonzero(late) < max(1.0, _SHARE * late.size):
        return []
    usual = 100.0 * float(np.median(np.array(left)[late]))
    at = np.array(ends)[late]
    what = "speed" if evidence.prepared.abscissa == "speed" else "the root of thrust"
    return [
        Finding(
            code="steps-unsettled",
            severity="warning",
            message=f"{what} still moves by {usual:.1f} % of the step in the last quarter of "
            f"{np.count_nonzero(late)} of {late.size} levels",
            channel="speed" if evidence.prepared.abscissa == "speed" else "thrust",
            start=float(bins.time[at[0]]),
            end=float(bins.time[at[-1]]),
            count=int(np.count_nonzero(late)),
            effect="rise time, fall time and figures at the levels are those of the way there",
            done="what moves faster than a tenth of top speed a second was left out of the curves",
        )
    ]
