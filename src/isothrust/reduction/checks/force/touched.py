"""Thrust without power: with the motor off and the rotor still, only a hand, a tool or a cable moves the cell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.force.blocks import Blocks, block_means
from isothrust.reduction.ranges import middle, rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["check_touched"]

_BLOCK = 0.05
"""[s] short against a touch, long against a cell's noise."""
_QUICK = 0.3
"""A change within this time [s] is a touch; a zero that creeps takes longer."""
_FAR = 15.0
"""Multiple of what blocks usually differ by."""
_FEWEST = 12
"""Steps between blocks that tell what is usual."""
_MATTERS = 0.003
"""Share of the greatest thrust: taken for the zero, it is 1 % of the thrust at a third of that."""


def check_touched(thrust: Channel, rests: Sequence[tuple[float, float]]) -> list[Finding]:
    """Return a finding where the thrust, its zero taken out, jumps with the motor off and the rotor still."""
    if thrust.values.size < 8:
        return []
    top = rough_quantiles(np.abs(thrust.values), 0.98)[0]
    resting = _of_rests(thrust, rests)
    limit = max(_FAR * _usual_step(resting), _MATTERS * top)
    found = [(blocks, at) for blocks in resting if (at := _jumps(blocks, limit)).size]
    if not found:
        return []
    within = max(_QUICK, *(blocks.width for blocks, _ in found))
    size = max(float(np.max(np.abs(blocks.means[at] - middle(blocks.means)))) for blocks, at in found)
    return [
        Finding(
            code="touched",
            severity="warning",
            message=f"thrust jumps by {said_reading('thrust', size, digits=3)} within {within:.2g} s with the motor "
            "off and the rotor still: something touched the bench",
            channel="thrust",
            start=float(found[0][0].time[found[0][1][0]]),
            end=float(found[-1][0].time[found[-1][1][-1]]),
            count=sum(int(at.size) * blocks.each for blocks, at in found),
            effect=f"up to {100.0 * size / top:.1f} % of the greatest thrust where it got into the zero",
            done="readings far from the rest's middle were left out of its zero",
        )
    ]


def _of_rests(thrust: Channel, rests: Sequence[tuple[float, float]]) -> list[Blocks]:
    made = (block_means(thrust, start, end, _BLOCK) for start, end in rests)
    return [blocks for blocks in made if blocks is not None and blocks.means.size >= 5]


def _jumps(blocks: Blocks, limit: float) -> np.ndarray:
    """Return the blocks that stand away from the rest's middle, where the level changed quickly; else none."""
    means = blocks.means
    apart = min(max(1, round(_QUICK / blocks.width)), means.size - 1)
    if float(np.max(np.abs(means[apart:] - means[:-apart]))) <= limit:
        return np.empty(0, dtype=np.intp)
    return np.flatnonzero(np.abs(means - middle(means)) > 0.5 * limit)


def _usual_step(resting: Sequence[Blocks]) -> float:
    """Return the usual scatter of a block, from the steps between neighbours in all rests: a slow course is none."""
    steps = [np.abs(np.diff(blocks.means)) for blocks in resting]
    known: Floats = np.concatenate(steps) if steps else np.empty(0)
    return 1.4826 * middle(known) / float(np.sqrt(2.0)) if known.size >= _FEWEST else np.inf
