"""What thrust does within the levels of a run of holds or steps, once the curve over speed is taken out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.spells import POINTS
from isothrust.science.splines import basis_matrix

__all__ = ["Levels", "centred", "levels_of", "linked"]

_NEAR: Final = 0.02
"""Speeds this near to one another are one level, as a share of top speed [1]."""
_FEWEST: Final = 25
"""Bins that a level must have: half a second."""
_LOW: Final = 0.3
"""Share of top speed below which zeros weigh more than air [1]."""
_STANDS: Final = 0.015
"""Change of speed within a hold that heating and sag may bring [1]."""
_RISEN: Final = 0.6
"""Time after which a cell has followed a rise [s]."""
_WILD: Final = 8.0
"""Multiple of the curve's residuals that no reading of a hold is away."""
_BLOCK: Final = 10
"""Bins in a block whose mean is independent of the next: a fifth of a second."""


@dataclass(frozen=True, slots=True)
class Levels:
    """The bins of a run's levels, in the order of time (n,)."""

    place: NDArray[np.intp]
    """Which of the run's bins each one is."""
    number: NDArray[np.intp]
    """Which level it belongs to, from 0."""
    count: int
    time: Floats
    """[s]"""
    relative: Floats
    """Thrust less the curve over the curve, its mean over the level taken out [1]."""
    thrust: Floats
    """By the curve [N]."""
    weight: Floats
    """Inverse variance of `relative`, level by level."""


def levels_of(evidence: Evidence) -> Levels | None:
    """Return the levels of a run of holds or steps; None where thrust or speed is missing, or no level lasts."""
    prepared, fit = evidence.prepared, evidence.mechanics.thrust
    if fit is None or prepared.job.run.kind not in {"holds", "steps"} or prepared.bins.width >= POINTS:
        return None
    bins, drive = prepared.bins, prepared.spells.drive
    place = _within_holds(prepared)
    place = place[drive[place] > _LOW * float(prepared.site.x.max())]
    x, knots = drive[place], prepared.site.knots
    # a coefficient hardly changes beyond the ends, thrust goes on as the square
    factor = basis_matrix(np.clip(x, knots[0], knots[-1]), knots) @ fit.curve.fit.coefficients
    fitted = factor * x**2 * (fit.size[0] / prepared.site.x[0] ** 2)
    thrust = bins.values["thrust"][place]
    with np.errstate(invalid="ignore"):  # a blank bin is not calm
        calm = (np.abs(thrust - fitted) < _WILD * fit.curve.residual_sd) & (fitted > 0.0)
    place, x, fitted, thrust = place[calm], x[calm], fitted[calm], thrust[calm]
    if place.size == 0:
        return None
    number = _numbered(x)
    counts = np.bincount(number)
    kept = counts[number] >= _FEWEST
    if not kept.any():
        return None
    place, fitted, relative = place[kept], fitted[kept], (thrust / fitted)[kept]
    _, number = np.unique(number[kept], return_inverse=True)
    count = int(number.max()) + 1
    relative = relative - _means(relative, number, count)[number]
    variance = _means(relative**2, number, count)
    if not np.all(variance > 0.0):
        return None
    return Levels(place, number, count, bins.time[place], relative, fitted, 1.0 / variance[number])


def _within_holds(prepared: Prepared) -> NDArray[np.intp]:
    """Return the steady bins, and those before them in which the speed stood already while thrust was still moving.

    Only where a hold was reached from below: there a slow cell reads too little at first, and never a fall.
    """
    spells, width = prepared.spells, prepared.bins.width
    mask = spells.steady.copy()
    if prepared.job.run.kind == "holds":
        starts = np.flatnonzero(np.diff(spells.segment, prepend=0) > 0)
        for start in starts.tolist():
            level = float(spells.drive[start])
            before = spells.drive[:start]
            away = np.flatnonzero((np.abs(before / level - 1.0) > _STANDS) | ~spells.powered[:start])
            first = int(away[-1]) + 1 if away.size else 0
            if first > 0 and before[first - 1] < level:
                mask[first + round(_RISEN / width) : start] = True
    return np.flatnonzero(mask)


def centred(levels: Levels, values: Floats) -> Floats:
    """Return values (n,) less their mean over each level."""
    return np.asarray(values - _means(values, levels.number, levels.count)[levels.number])


def linked(levels: Levels, residuals: Floats) -> float:
    """Return how many bins count as one [1], at least 1, by how much their block means scatter."""
    whole = residuals.size // _BLOCK
    if whole < 4:
        return float(_BLOCK)
    scaled = residuals * np.sqrt(levels.weight)
    blocks = scaled[: whole * _BLOCK].reshape(whole, _BLOCK).mean(axis=1)
    return max(1.0, float(np.mean(blocks**2)) * _BLOCK / float(np.mean(scaled**2)))


def _numbered(x: Floats) -> NDArray[np.intp]:
    """Return the level of each bin (n,): speeds that lie together, however often the run came back to them."""
    order = np.argsort(x, kind="stable")
    new = np.append(False, np.diff(x[order]) > _NEAR * float(x.max()))
    number = np.empty(x.size, dtype=np.intp)
    number[order] = np.cumsum(new)
    return number


def _means(values: Floats, number: NDArray[np.intp], count: int) -> Floats:
    return np.asarray(np.bincount(number, values, minlength=count) / np.bincount(number, minlength=count))
