"""Fits one smooth curve to bins: noise level by speed, correlation and outliers found from the residuals themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.noise import least_noise, noise_of, without_wild
from isothrust.reduction.site import Site
from isothrust.science.smoothing import SmoothFit, fit_smooth

__all__ = ["CurveFit", "first_gain", "fit_curve"]


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


def first_gain(site: Site, reading: Floats, size: Floats) -> Floats:
    """Return a gain (p, n) good enough to find lags and inertia with, before the fit that counts.

    The loosest curve where the run covers its range; the penalised one where the curve between or below a few speeds
    must be carried by its prior.
    """
    return fit_curve(site, reading, size).fit.gain if site.sparse or site.gappy else site.loosest


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
    calm = y if site.by_level else without_wild(y, size)
    least = least_noise(site, reading, size)
    noise = noise_of(site, reading - size * (site.basis @ (site.loosest @ calm)), float(site.basis.shape[1]), least)
    for turn in range(passes):
        fit = fit_smooth(site.basis, y, (noise.sigma / size) ** 2 * noise.correlation / noise.weight, site.penalty)
        residual = reading - size * (site.basis @ fit.coefficients)
        if turn + 1 < passes:
            seen = noise_of(site, residual, fit.effective_parameters, least)
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
