"""Long spells in which the tachometer counted double or half: what speed makes shows that the rotor did not jump."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.timing.clock import plural
from isothrust.reduction.ranges import rough_quantiles, usual_interval

__all__ = ["LONG_SPELL", "check_spells"]

LONG_SPELL: Final = "long spell"
"""What the message says, beside the short ones of the same code."""

_WITHIN: Final = 0.02
"""A counter that starts to count wrong shows it within its own window [s]."""
_SHARP: Final = (0.57, 1.75)
"""Ratio of two readings so near in time outside which the count may have changed [1]."""
_QUIET: Final = 0.15
"""Share of top speed below which nothing is judged [1]."""
_LATE: Final = 0.08
"""A load has followed a real change of speed after so long [s]."""
_SHORTEST: Final = 0.12
"""A spell that turns for less than this [s] tells too little; `check_tachometer` sees to the short ones."""
_QUARTER: Final = (0.17, 0.36)
"""Load over speed squared, in proportion to the run's own, where marks are counted twice [1]."""
_FOURFOLD: Final = (2.8, 5.9)
"""The same where one mark in two is counted [1]."""


def check_spells(channels: Mapping[str, Channel]) -> tuple[Channel | None, list[Finding]]:
    """Return the speed channel without the spells in which it was counted wrong, and a finding a kind of them.

    Sharp jumps of the speed cut the run into spells; in each, load over speed squared must be what it is over the run,
    as coefficients are. A quarter of it, or four times, is a count of two, or of one half. What lasts longest is taken
    for the true count.
    """
    speed, load = channels.get("speed"), channels.get("thrust", channels.get("torque"))
    if speed is None or load is None or speed.values.size < 8 or load.values.size < 8:
        return speed, []
    (top,) = rough_quantiles(speed.values, 0.95)
    if top <= 0.0:
        return speed, []
    reach = max(1, round(_WITHIN / usual_interval(speed.time)))
    cuts = _cuts(speed.values, reach, _QUIET * top)
    if cuts.size == 0:
        return speed, []
    count = _counts(speed, load, cuts, _QUIET * top)
    wrong = (count != 1.0) & (speed.values > 0.02 * top)
    if not wrong.any():
        return speed, []
    near = np.zeros(wrong.size, dtype=bool)
    for cut in cuts[count[cuts] != count[cuts - 1]].tolist():
        near[max(0, cut - reach) : cut + reach] = True
    wrong |= near
    kept = Channel("speed", speed.time[~wrong], speed.values[~wrong], speed.resolution)
    findings = [
        _finding(
            speed, load.quantity, wrong & (count > 1.0), code="tachometer-double-count", counted="each mark twice"
        ),
        _finding(speed, load.quantity, wrong & (count < 1.0), code="tachometer-half-count", counted="one mark in two"),
    ]
    return kept, [finding for finding in findings if finding is not None]


def _cuts(w: Floats, reach: int, quiet: float) -> NDArray[np.intp]:
    """Return the first sample after each sharp jump."""
    before, after = w[:-reach], w[reach:]
    jumped = (after < _SHARP[0] * before) | (after > _SHARP[1] * before)
    sharp = np.flatnonzero(jumped & (np.minimum(before, after) > quiet))
    if sharp.size == 0:
        return sharp
    groups = np.split(sharp, 1 + np.flatnonzero(np.diff(sharp) > reach))
    return np.array([int(group[group.size // 2]) + (reach + 1) // 2 for group in groups], dtype=np.intp)


def _counts(speed: Channel, load: Channel, cuts: NDArray[np.intp], quiet: float) -> Floats:
    """Return 2, 1 or 1/2 for each sample (n,): by what its spell is counted."""
    w = speed.values
    force = load.values if load.time is speed.time else np.interp(speed.time, load.time, load.values)
    turning = w > quiet
    per_square = np.where(turning, np.abs(force) / np.maximum(w / quiet, 1.0) ** 2, np.nan)
    usual = float(np.median(per_square[turning]))
    count = np.ones(w.size)
    interval = usual_interval(speed.time)
    bounds = [0, *cuts.tolist(), w.size]
    for first, last in pairwise(bounds):
        inside = np.arange(first, last)
        settled = inside[turning[inside] & (speed.time[inside] > speed.time[first] + _LATE)]
        if settled.size * interval < _SHORTEST or usual <= 0.0:
            continue
        share = float(np.median(per_square[settled])) / usual
        if _QUARTER[0] < share < _QUARTER[1]:
            count[first:last] = 2.0
        elif _FOURFOLD[0] < share < _FOURFOLD[1]:
            count[first:last] = 0.5
    return count


def _finding(speed: Channel, load: str, at: NDArray[np.bool_], *, code: str, counted: str) -> Finding | None:
    places = np.flatnonzero(at)
    if places.size == 0:
        return None
    spells = int(np.count_nonzero(np.diff(places) > 1)) + 1
    start, end = float(speed.time[places[0]]), float(speed.time[places[-1]])
    return Finding(
        code=code,
        severity="warning",
        message=f"the tachometer counted {counted} in {spells} {LONG_SPELL}{plural(spells)} between {start:.2f} "
        f"and {end:.2f} s: the speed jumps where {load} does not",
        channel="speed",
        start=start,
        end=end,
        count=int(places.size),
        effect="left in, coefficients would be 4 times too "
        + ("low there" if code == "tachometer-double-count" else "high there"),
        done="these samples were left out; what lasts longest in the run was taken for the true count",
    )
