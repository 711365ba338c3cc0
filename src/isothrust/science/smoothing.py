"""Penalised smooth curves with covariance; stiffness chosen by the data's own noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.splines import basis_matrix, roughness_matrix, slope_matrix

__all__ = [
    "LagPairs",
    "Penalty",
    "SmoothFit",
    "basis_matrix",
    "correlation_length",
    "evaluate",
    "fit_smooth",
    "lag_pairs",
    "make_penalty",
]

Floats = NDArray[np.float64]
_LOG_STIFFNESS = np.linspace(-2.0, 24.0, 66)


@dataclass(frozen=True, slots=True)
class SmoothFit:
    """A penalised least-squares fit of a cubic B-spline."""

    coefficients: Floats
    """(p,) [unit of y]"""
    covariance: Floats
    """(p, p) [unit of y squared], noise and smoothing bias together."""
    gain: Floats
    """(p, n): coefficients = gain @ y, so gain @ dy is what an error dy of the data does."""
    stiffness: float
    """Prior precision of the curvature [1 / (y''^2 x)]."""
    effective_parameters: float
    """Trace of the smoother [1]."""


def evaluate(x: ArrayLike, knots: Floats, coefficients: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Return the curve and its standard uncertainty at x.

    Parameters
    ----------
    x
        Abscissae (n,) [unit of the knots].
    knots, coefficients, covariance
        Of one cubic spline: (p + 4,), (p,), (p, p).

    Returns
    -------
    tuple of ndarray
        Value (n,) and standard uncertainty (n,) [unit of y].

    Source
    ------
    [JCGM100], 5.2.2, eq. (13) for a linear model.
    """
    basis = basis_matrix(x, knots)
    variance = np.einsum("ij,jk,ik->i", basis, covariance, basis)
    return basis @ coefficients, np.sqrt(np.maximum(variance, 0.0))


@dataclass(frozen=True, slots=True)
class Penalty:
    """Prior of a curve on given knots: how stiff it is in shape, and how level where no data say."""

    rough: Floats
    """(p, p), integral of the weighted squared second derivative."""
    anchor: Floats
    """(p, p), prior precision of slope and level for a curve of size 1."""
    prior_values: Floats
    """Eigenvalues of `rough` against `anchor` (p,)."""


def make_penalty(knots: Floats, *, power: float = 0.0, slope_doubt: float = 0.5) -> Penalty:
    """Return the prior on a knot vector, worked out once for all curves of a run.

    Parameters
    ----------
    knots
        Full knot vector (p + 4,) [unit of x].
    power
        Weight of the curvature penalty, see `splines.roughness_matrix` [1].
    slope_doubt
        Share of its level by which the curve may well change over the knots' range where no data say [1].

    Returns
    -------
    Penalty
        For `fit_smooth`.

    Source
    ------
    [GreenSilverman1994], section 2.1; [EilersMarx1996].
    """
    span = float(knots[-1] - knots[0])
    slope = slope_matrix(knots)
    anchor = slope * (span / slope_doubt**2) + 1e-4 / slope.shape[0] ** 2
    rough = roughness_matrix(knots, power=power)
    return Penalty(rough, anchor, _pencil(rough, anchor)[0])


def fit_smooth(basis: Floats, y: ArrayLike, variance: ArrayLike, penalty: Penalty) -> SmoothFit:
    """Return the smooth curve through y whose stiffness maximises the marginal likelihood.

    The curve's second derivative is given a normal prior of unknown size (the stiffness); the likelihood of the data
    with the curve integrated out is maximised over it, with the noise as stated. A weak prior on the slope only
    serves where the data do not fix it, as with a single speed.

    Parameters
    ----------
    basis
        `basis_matrix(x, knots)` at the data's abscissae (n, p) [1].
    y
        Data (n,) [any unit].
    variance
        Variance of each datum (n,), already multiplied by the number of samples per independent sample
        [unit of y squared].
    penalty
        Prior on the same knots.

    Returns
    -------
    SmoothFit
        Coefficients, posterior covariance and gain.

    Source
    ------
    [EilersMarx1996] for the penalised B-spline; [Wahba1983] and [Nychka1988] for the posterior covariance, whose
    intervals hold across the function with smoothing bias inside; marginal likelihood as in [Wood2011], eq. (2) to (4).
    """
    y = np.asarray(y, dtype=np.float64)
    weight = 1.0 / np.asarray(variance, dtype=np.float64)
    share = weight / np.sum(weight)
    level = float(share @ y)
    size = max(abs(level), float(np.sqrt(1.0 / np.min(weight))) * 1e-3)
    weighted = basis.T * weight
    normal = weighted @ basis
    target = weighted @ (y - level)
    of_data, rotation = _pencil(penalty.rough, normal + penalty.anchor / size**2)
    turned = rotation.T @ target
    stiffness = _likeliest_stiffness(of_data, turned, penalty.prior_values * size**2)
    shrunk = rotation / (1.0 + stiffness * of_data)
    covariance = shrunk @ rotation.T
    # the level was taken out by its weighted mean: its own dependence on the data belongs into the gain
    about_mean = covariance @ weighted
    gain = about_mean + np.outer(1.0 - about_mean.sum(axis=1), share)
    effective = float(np.sum(covariance * normal))
    return SmoothFit(shrunk @ turned + level, covariance, gain, stiffness, effective)


def _pencil(matrix: Floats, against: Floats) -> tuple[Floats, Floats]:
    """Return eigenvalues d and rotation Z with Z' against Z = 1 and Z' matrix Z = diag(d); `matrix` is a roughness.

    A straight line has no roughness: two eigenvalues are nothing but rounding. Left in, they would grow with the
    stiffness until they drew its likelihood down without end.
    """
    half = np.linalg.inv(np.linalg.cholesky(against))
    values, vectors = np.linalg.eigh(half @ matrix @ half.T)
    values[:2] = 0.0
    return np.maximum(values, 0.0), half.T @ vectors


def _likeliest_stiffness(of_data: Floats, turned: Floats, of_prior: Floats) -> float:
    """Return the stiffness of greatest marginal likelihood; after one rotation both determinants are sums."""
    trial = np.exp(_LOG_STIFFNESS) / np.max(of_data)
    of_both = 1.0 + trial[:, None] * of_data
    # twice the negative log likelihood, constants left out
    misfit = np.sum(np.log(of_both / (1.0 + trial[:, None] * of_prior)) - turned**2 / of_both, axis=1)
    return float(trial[int(np.argmin(misfit))])


@dataclass(frozen=True, slots=True)
class LagPairs:
    """Where samples stand once spells are set apart, and how many pairs each lag has."""

    place: NDArray[np.intp]
    """(n,)"""
    length: int
    """Of the transform."""
    share: Floats
    """All samples over the pairs of a lag, lag 0 to the longest [1]."""


def lag_pairs(segments: ArrayLike, *, longest: int) -> LagPairs:
    """Return the pairs that `correlation_length` sums over.

    Parameters
    ----------
    segments
        Number of the unbroken spell that each sample belongs to (n,); pairs across spells do not count.
    longest
        Greatest lag looked at [samples].

    Returns
    -------
    LagPairs
        Worked out once for all residuals of a run.

    Source
    ------
    Autocorrelation by transform (Wiener-Khinchin); zeros between spells keep their pairs apart.
    """
    spell = np.asarray(segments)
    reach = min(longest, spell.size // 2)
    place = np.arange(spell.size) + reach * np.concatenate([[0], np.cumsum(np.diff(spell) != 0)]).astype(np.intp)
    length = 1 << int(place[-1] + reach + 1).bit_length()
    there = np.zeros(length)
    there[place] = 1.0
    pairs = np.fft.irfft(np.abs(np.fft.rfft(there)) ** 2, length)[: reach + 1]
    return LagPairs(place, length, spell.size / np.maximum(np.rint(pairs), 1.0))


def correlation_length(residuals: ArrayLike, pairs: LagPairs) -> float:
    """Return the number of samples per independent sample, 1 + 2 sum of the autocorrelation.

    The sum runs over pairs of neighbouring lags as long as a pair's sum is positive.

    Parameters
    ----------
    residuals
        Residuals (n,) in the order of time, scaled to a common variance [any].
    pairs
        From `lag_pairs`.

    Returns
    -------
    float
        At least 1 [1].

    Source
    ------
    [Geyer1992], section 3.3 (initial positive sequence); [JCGM100] 4.2.7 (correlated observations).
    """
    r = np.asarray(residuals, dtype=np.float64)
    power = float(r @ r)
    reach = pairs.share.size - 1
    if r.size < 4 or power <= 0.0 or reach < 2:
        return 1.0
    spread = np.zeros(pairs.length)
    spread[pairs.place] = r
    products = np.fft.irfft(np.abs(np.fft.rfft(spread)) ** 2, pairs.length)[: reach + 1]
    rho = products / power * pairs.share
    sums = rho[1:reach:2] + rho[2 : reach + 1 : 2]
    ends = np.flatnonzero(sums <= 0.0)
    kept = sums[: ends[0]] if ends.size else sums
    return max(1.0, 1.0 + 2.0 * float(np.sum(kept)))
