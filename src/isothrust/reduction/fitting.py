"""Fits one smooth curve to bins: noise level by speed, correlation and outliers found from the residuals themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.science.smoothing import (
    LagPairs,
    Penalty,
    SmoothFit,
    correlation_length,
    fit_smooth,
    lag_pairs,
    make_penalty,
)
from isothrust.science.splines import basis_matrix, knots_at_sites, stretch_matrix, uniform_knots

__all__ = ["CurveFit", "Site", "first_gain", "fit_curve", "make_site"]

_POWER = 2.0
"""Curvature is freer at low speed, where coefficients bend with Reynolds number."""
_SEGMENTS = 22
_NARROW = 0.02
"""Least width of a curve's range, as a share of its top [1]."""
_ENOUGH = 4
"""Levels from which a curve between them has a slope of its own."""
_WIDE = 0.3
"""Range from which a curve has a slope of its own, as a share of its top [1]."""
_LEAST_SCATTER = 1e-7
"""No reading is better than this share of the greatest one, however few digits say otherwise [1]."""
_HUBER = 3.0
_REJECT = 7.0


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
    penalty: Penalty
    loosest: Floats
    """(p, n): coefficients of all but unpenalised least squares, which sees the noise and prescribes no shape."""
    pairs: LagPairs
    """For the correlation of residuals, up to the longest lag that a filter or the air can leave."""
    stretch: Floats
    """(p, p): coefficients of x f' from those of f."""


@dataclass(frozen=True, slots=True)
class CurveFit:
    """A fit with what its residuals say."""

    fit: SmoothFit
    residual_sd: float
    """In the reading's unit, over all bins."""
    correlation: float
    """Bins per independent bin [1]."""
    degrees_of_freedom: float
    left_out: int
    """Bins that the robust weights gave nothing."""
    residuals: Floats
    """Reading less fit (n,)."""


def make_site(x: Floats, segment: NDArray[np.int64], *, longest: int, reach: float | None = None) -> Site:
    """Return knots that suit where the run measured: equal segments for a ramp, one a level for holds.

    `reach` lets the curve go on down to that abscissa, all but level; it serves the run's own transients, no figure.
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
        knots = uniform_knots(low - margin, high + margin, int(np.clip(x.size // 6, 2, _SEGMENTS)))
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
        penalty=penalty,
        loosest=_loosest(x, basis, penalty),
        pairs=lag_pairs(segment, longest=longest),
        stretch=stretch_matrix(knots),
    )


def first_gain(site: Site, reading: Floats, size: Floats) -> Floats:
    """Return a gain (p, n) good enough to find lags and inertia with, before the fit that counts.

    The loosest curve where the run covers its range; the penalised one where the curve between or below a few speeds
    must be carried by its prior.
    """
    return fit_curve(site, reading, size).fit.gain if site.sparse else site.loosest


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


def fit_curve(site: Site, reading: Floats, size: Floats) -> CurveFit:
    """Return the curve f with reading = size * f(x).

    Noise, outliers and correlation are read from what the least stiff curve on the same knots leaves; the fit that
    counts then chooses its stiffness against that noise.

    Parameters
    ----------
    site
        Abscissae and basis (n, p).
    reading, size
        What was read (n,) [reading's unit] and what the curve is multiplied by (n,).

    Returns
    -------
    CurveFit
        The fit; its covariance counts correlated residuals as what they are.
    """
    y = reading / size
    sigma, weight, correlation = _noise(site, reading - size * (site.basis @ (site.loosest @ y)))
    sigma = np.maximum(sigma, _LEAST_SCATTER * float(np.max(np.abs(reading))) + 1e-300)
    fit = fit_smooth(site.basis, y, (sigma / size) ** 2 * correlation / weight, site.penalty)
    residual = reading - size * (site.basis @ fit.coefficients)
    kept = float(np.sum(weight))
    freedom = max(2.0, 0.6 * (kept / correlation - fit.effective_parameters))
    return CurveFit(
        fit=fit,
        residual_sd=float(np.sqrt(np.sum(weight * residual**2) / kept)),
        correlation=correlation,
        degrees_of_freedom=freedom,
        left_out=int(np.count_nonzero(weight < 1e-3)),
        residuals=residual,
    )


def _noise(site: Site, residual: Floats) -> tuple[Floats, Floats, float]:
    """Return standard deviation by speed (n,), robust weights (n,) and bins per independent bin."""
    sigma = np.maximum(_noise_by_speed(site, residual), 1e-300)
    far = np.abs(residual) / sigma
    correlation = correlation_length(np.clip(residual / sigma, -_HUBER, _HUBER), site.pairs)
    # a loose curve swallows the share of the noise that its parameters span, more of a slow noise than of a quick one
    swallowed = min(0.5, site.basis.shape[1] * correlation / residual.size)
    weight = np.clip(np.minimum(1.0, _HUBER / np.maximum(far, 1e-12)), 1e-6, 1.0)
    weight[far > _REJECT] = 1e-6
    return sigma / np.sqrt(1.0 - swallowed), weight, correlation


def _noise_by_speed(site: Site, residual: Floats) -> Floats:
    """Scatter of the residuals, a line through slices of equal count; medians, so that wild bins do not count."""
    away = np.abs(residual)
    half = site.slices.shape[1] // 2
    levels = 1.4826 * np.partition(away[site.slices], half, axis=1)[:, half]
    everywhere = float(np.mean(levels))
    centres = np.mean(site.x[site.slices], axis=1)
    return np.asarray(np.interp(site.x, centres, np.maximum(levels, 0.2 * everywhere)))
