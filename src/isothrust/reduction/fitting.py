"""Fits one smooth curve to bins: noise level by speed, correlation and outliers found from the residuals themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.reduction.ranges import middle
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
_SAME = 0.8
"""Ratio of two variances of the mean that are as good as one."""
_SLOW_FIRST = 1.6
"""How much faster the correlation length falls with the parameters of a curve than the variance does [1]; by trial on
autoregressive noise, see the tests."""
_STRETCHES = 12
"""Stretches in time within which the usual distance between neighbours is one: noise goes with speed."""
_WILD = 12.0
"""Multiple of the usual distance at which a bin stands off its neighbours."""


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
        segments = 2 if float(np.ptp(x)) < _WIDE * high else int(np.clip(x.size // 6, 2, _SEGMENTS))
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


def fit_curve(site: Site, reading: Floats, size: Floats, *, passes: int = 2) -> CurveFit:
    """Return the curve f with reading = size * f(x).

    Noise, outliers and correlation are read first from what the least stiff curve on the same knots leaves, then from
    what the fit itself leaves; where the two disagree, as with slow noise or wild bins, the fit is made once more.

    Parameters
    ----------
    site
        Abscissae and basis (n, p).
    reading, size
        What was read (n,) [reading's unit] and what the curve is multiplied by (n,).
    passes
        Greatest number of fits; one is enough where the readings are clean.

    Returns
    -------
    CurveFit
        The fit; its covariance counts correlated residuals as what they are.
    """
    y = reading / size
    floor = _LEAST_SCATTER * float(np.max(np.abs(reading))) + 1e-300
    calm = y if site.by_level else _without_wild(y)
    least = np.maximum(_noise_by_speed(site, _off_neighbours(site, reading, size)), floor)
    noise = _noise(site, reading - size * (site.basis @ (site.loosest @ calm)), float(site.basis.shape[1]), least)
    for turn in range(passes):
        fit = fit_smooth(site.basis, y, (noise.sigma / size) ** 2 * noise.correlation / noise.weight, site.penalty)
        residual = reading - size * (site.basis @ fit.coefficients)
        if turn + 1 < passes:
            seen = _noise(site, residual, fit.effective_parameters, least)
            if seen.near(noise):
                break
            noise = seen
    weight, correlation = noise.weight, noise.correlation
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


@dataclass(frozen=True, slots=True)
class _Noise:
    sigma: Floats
    """Standard deviation by speed (n,) [reading's unit]."""
    weight: Floats
    """Robust weights (n,)."""
    correlation: float
    """Bins per independent bin."""

    def near(self, other: _Noise) -> bool:
        """Whether two estimates are the same for all that a fit would do with them."""
        of_variance = float(np.mean((self.sigma / other.sigma) ** 2)) * self.correlation / other.correlation
        return _SAME < of_variance < 1.0 / _SAME and bool(np.all((self.weight < 0.1) == (other.weight < 0.1)))


def _noise(site: Site, residual: Floats, parameters: float, least: Floats) -> _Noise:
    """Return what the residuals of a curve with so many parameters tell of the noise."""
    sigma = np.maximum(_noise_by_speed(site, residual), least)
    seen = correlation_length(np.clip(residual / sigma, -_HUBER, _HUBER), site.pairs)
    # a curve swallows the share of the noise that its parameters span, slow noise first: seen = c (1 - swallowed c)
    swallowed = _SLOW_FIRST * parameters / residual.size
    whole = (1.0 - np.sqrt(max(0.0, 1.0 - 4.0 * swallowed * seen))) / (2.0 * swallowed) if swallowed else seen
    correlation = max(seen, float(whole))
    sigma = sigma / np.sqrt(1.0 - min(0.5, parameters * correlation / residual.size))
    far = np.abs(residual) / sigma
    weight = np.clip(np.minimum(1.0, _HUBER / np.maximum(far, 1e-12)), 1e-6, 1.0)
    weight[far > _REJECT] = 1e-6
    return _Noise(sigma, weight, correlation)


def _off_neighbours(site: Site, reading: Floats, size: Floats) -> Floats:
    """Departures that no curve can swallow (n,): from the mean of each hold, or of each bin from its neighbours."""
    y = reading / size
    if site.by_level:
        mean = np.bincount(site.segment, y) / np.maximum(np.bincount(site.segment), 1)
        return np.asarray(reading - size * mean[site.segment])
    if y.size < 4:
        return np.zeros_like(y)
    off = (y[1:-1] - 0.5 * (y[:-2] + y[2:])) / np.sqrt(1.5)
    return np.concatenate([off[:1], off, off[-1:]]) * size


def _without_wild(y: Floats) -> Floats:
    """Return the values (n,) with those bridged that stand off their neighbours, up to three in a row.

    A loose curve would follow them; the median of seven neighbours does not.
    """
    if y.size < 8:
        return y
    around = sliding_window_view(np.pad(y, 3, mode="edge"), 7)
    away = np.abs(y - np.partition(around, 3, axis=1)[:, 3])
    stretches = np.array_split(away, int(np.clip(y.size // 20, 1, _STRETCHES)))
    nearby = np.concatenate([np.full(stretch.size, middle(stretch)) for stretch in stretches])
    wild = away > _WILD * np.maximum(nearby, 0.1 * middle(away))
    if not wild.any():
        return y
    places = np.arange(y.size, dtype=np.float64)
    return np.asarray(np.interp(places, places[~wild], y[~wild]))


def _noise_by_speed(site: Site, residual: Floats) -> Floats:
    """Scatter of the residuals, a line through slices of equal count; medians, so that wild bins do not count."""
    away = np.abs(residual)
    half = site.slices.shape[1] // 2
    levels = 1.4826 * np.partition(away[site.slices], half, axis=1)[:, half]
    everywhere = float(np.mean(levels))
    centres = np.mean(site.x[site.slices], axis=1)
    return np.asarray(np.interp(site.x, centres, np.maximum(levels, 0.2 * everywhere)))
