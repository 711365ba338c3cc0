"""Where a hold begins and ends: what moved the rotor, and when the cells had caught up with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.reduction.bins import Bins
from isothrust.science.alignment import smoothed_slope

__all__ = ["keep_settled", "level_changes"]

Mask = NDArray[np.bool_]

_COMMAND = 0.01
"""A command that changes by more than this between two bins starts another hold [1]."""
_LEADS = 0.03
"""A command that moves faster than this leads from one hold to the next [1/s]."""
_SPAN = 0.15
"""Half the time over which a level's rate of change and a load's own level are taken [s]."""
_DRIFTS: Final[Mapping[str, float]] = {"speed": 0.03, "thrust": 0.1}
"""Share of its greatest reading by which a level may drift in a second within a hold [1/s]."""
_WITHIN = 0.02
"""A load this near to where the hold's second half stands has arrived, in proportion."""
_SCATTERS = 3.0
"""Multiple of scatter that noise alone does not pass."""
_SHORTEST = 0.25
"""A spell shorter than this [s] is no hold."""


def level_changes(bins: Bins) -> Mask:
    """Return the bins (n,) in which a run of holds is on its way from one level to another.

    The command says so where the log has one; else speed, and where there is none either, thrust.
    """
    throttle = bins.get("throttle")
    if throttle is not None:
        change = np.diff(_filled(bins.time, throttle))
        step = np.abs(change) > _COMMAND
        slow = np.append(0.0, np.cumsum(np.where(step, 0.0, change)))  # what moves without a step
        leading = np.abs(smoothed_slope(bins.time, slow, half_width=_half(bins))) > _LEADS
        return np.asarray(np.append(step, False) | np.append(False, step) | leading)
    name = "speed" if bins.get("speed") is not None else "thrust"
    level = bins.get(name)
    if level is None or not np.any(np.isfinite(level)):
        return np.zeros(bins.time.size, dtype=bool)
    filled = _filled(bins.time, level)
    slope = np.abs(smoothed_slope(bins.time, filled, half_width=_half(bins)))
    noise = _SCATTERS * 1.4826 * float(np.median(slope))
    return np.asarray(slope > max(noise, _DRIFTS[name] * float(np.quantile(np.abs(filled), 0.98))))


def keep_settled(bins: Bins, steady: Mask, segment: NDArray[np.int64]) -> Mask:
    """Return the steady bins (n,) without the beginning of each hold in which a load was still on its way.

    A cell may be far slower than the rotor, and be late to start. It has arrived once its running mean stays near
    where it stands in the second half of the hold: by 2 %, or by what it wanders there anyhow.
    """
    out = steady.copy()
    loads = [_filled(bins.time, v) for v in (bins.get("thrust"), bins.get("torque")) if v is not None]
    for number in range(1, int(segment.max(initial=0)) + 1):
        inside = np.flatnonzero(segment == number)
        if inside.size * bins.width < _SHORTEST:
            out[inside] = False
            continue
        for load in loads:
            out[inside[: _arrival(load[inside], _half(bins))]] = False
    return out


def _arrival(load: Floats, half: int) -> int:
    """Return how many bins of a hold pass before its load has arrived, at most half of them."""
    window = min(2 * half + 1, load.size // 4)
    if window < 1:
        return 0
    total = np.concatenate([[0.0], np.cumsum(load)])
    running = (total[window:] - total[:-window]) / window
    late = load[load.size // 2 :]
    level = float(np.median(late))
    wander = 1.4826 * float(np.median(np.abs(running[running.size // 2 :] - level)))
    away = np.abs(running[: load.size // 2] - level) > max(_WITHIN * abs(level), _SCATTERS * wander)
    return int(np.flatnonzero(away)[-1]) + 1 if away.any() else 0


def _half(bins: Bins) -> int:
    return max(1, round(_SPAN / bins.width))


def _filled(time: Floats, values: Floats) -> Floats:
    known = np.isfinite(values)
    return np.interp(time, time[known], values[known]) if known.any() else np.zeros(time.size)
