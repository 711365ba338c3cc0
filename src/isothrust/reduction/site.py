"""Where a run measured: knots that suit its speeds, and what is worked out once for all of its curves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.science.smoothing import LagPairs, Penalty, lag_pairs, make_penalty
from isothrust.science.splines import basis_matrix, knots_at_sites, stretch_matrix, uniform_knots

__all__ = ["Site", "make_site"]

_POWER = 2.0
"""Curvature is freer at low speed, where coefficients bend with Reynolds number."""
_SEGMENTS = 22
_NARROW = 0.02
"""Least width of a curve's range, as a share of its top [1]."""
_ENOUGH = 4
"""Levels from which a curve between them has a slope of its own."""
_WIDE = 0.3
"""Range from which a curve has a slope of its own, as a share of its top [1]."""


@dataclass(frozen=True, slots=True)
class Site:
    """Where a run measured: abscissae of its steady bins and the basis on them."""

    x: Floats
    knots: Floats
    basis: Floats
    segment: NDArray[np.int64]
    slices: NDArray[np.intp]
    """Bins grouped by speed, a row a group of equal count (groups, m), for the noise level."""
    by_level: bool
    """True where the bins are holds, each at a speed of its own."""
    one_level: bool
    """True where the run held one speed and the curve below it is only a guess."""
    sparse: bool
    """True where levels are so few, or the range so narrow, that the slope of the curve is only a guess."""
    gappy: bool
    """True where stretches of the range have no bins: the curve there is carried by its prior alone."""
    penalty: Penalty
    loosest: Floats
    """(p, n): coefficients of all but unpenalised least squares, which sees the noise and prescribes no shape."""
    pairs: LagPairs
    """For the correlation of residuals, up to the longest lag that a filter or the air can leave."""
    stretch: Floats
    """(p, p): coefficients of x f' from those of f."""


def make_site(
    x: Floats, segment: NDArray[np.int64], *, longest: int, reach: float | None = None, fine: bool = False
) -> Site:
    """Return knots that suit where the run measured: equal segments for a ramp, one a level for holds.

    `fine` gives a segment for every two abscissae, for what bends from resonance to resonance. `reach` lets the curve
    go on down to that abscissa, all but level; it serves the run's own transients, no figure.
    """
    levels = _levels(x, segment)
    if levels is not None:
        knots = knots_at_sites(levels)
        knots[:4], knots[-4:] = min(knots[0], float(x.min())), max(knots[-1], float(x.max()))
    else:
        high = float(x.max())
        low = min(float(x.min()), (1.0 - _NARROW) * high)  # a single speed still needs a range for its curve
        if reach is not None:
            low = min(low, reach)
        margin = 1e-9 * high
        most = 2 * _SEGMENTS if fine else _SEGMENTS
        segments = 2 if float(np.ptp(x)) < _WIDE * high else int(np.clip(x.size // (2 if fine else 6), 2, most))
        knots = uniform_knots(low - margin, high + margin, segments)
    order = np.argsort(x, kind="stable")
    parts = int(np.clip(x.size // 40, 1, 5))
    one_level = reach is not None
    basis = basis_matrix(x, knots)
    span = min(1.0, 2.0 * float(1.0 - knots[0] / knots[-1]))  # over a narrow range a coefficient cannot change as much
    penalty = make_penalty(knots, power=_POWER, slope_doubt=0.03 if one_level else 0.5 * span)
    return Site(
        x=x,
        knots=knots,
        basis=basis,
        segment=segment,
        slices=order[: parts * (x.size // parts)].reshape(parts, -1),
        by_level=levels is not None,
        one_level=one_level,
        sparse=levels.size < _ENOUGH if levels is not None else one_level or float(np.ptp(x)) < _WIDE * float(x.max()),
        gappy=levels is None and bool(np.any(np.histogram(x, np.unique(knots))[0] == 0)),
        penalty=penalty,
        loosest=_loosest(x, basis, penalty),
        pairs=lag_pairs(segment, longest=longest),
        stretch=stretch_matrix(knots),
    )


def _loosest(x: Floats, basis: Floats, penalty: Penalty) -> Floats:
    """Least squares on readings that grow as the square of x, held by a trace of slope where knots have no data."""
    weighted = basis.T * x**4
    normal = weighted @ basis
    trace = 1e-6 * float(np.trace(normal)) / float(np.trace(penalty.anchor))
    return np.asarray(np.linalg.solve(normal + trace * penalty.anchor, weighted))


def _levels(x: Floats, segment: NDArray[np.int64]) -> Floats | None:
    """Mean of each hold where the bins are holds: many spells, each much narrower than the range."""
    numbers = np.unique(segment)
    span = float(np.ptp(x))
    if numbers.size < 2 or span <= 0.0:
        return None
    means, widths = [], []
    for number in numbers:
        inside = x[segment == number]
        means.append(float(inside.mean()))
        widths.append(float(np.ptp(inside)))
    if float(np.median(widths)) * numbers.size > 0.5 * span:
        return None
    sites: list[float] = []
    for level in sorted(means):
        if not sites or level - sites[-1] > 0.015 * span:
            sites.append(level)
    return np.array(sites) if len(sites) >= 2 else None
