"""Levels of frames as smooth curves over speed, with what else may have moved them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.curve import CurveName, SmoothCurve
from isothrust.records.recording import Floats
from isothrust.reduction.fitting import fit_curve
from isothrust.reduction.site import make_site
from isothrust.science.splines import basis_matrix

__all__ = ["LevelCurve", "fit_levels"]

_LIFT = 200.0
"""Added to every level before fitting: the prior on a curve's slope goes by the curve's size, and 0 dB is no size."""
_LEAST = 8
_REMEMBERED = 1.0
"""Longest correlation that gusts and hands leave in the levels [s]."""


@dataclass(frozen=True, slots=True)
class LevelCurve:
    """A fitted curve with what is needed to see how an error moves it."""

    curve: SmoothCurve
    gain: Floats
    """(p, n)"""
    x: Floats
    """Where it was fitted (n,)."""
    residuals: Floats
    """(n,) [dB]"""

    def shift(self, error: Floats | float) -> Floats:
        """Return the change of the coefficients (p,) for an error of the levels (n,)."""
        return np.asarray(self.gain @ np.broadcast_to(error, self.x.shape))

    def rise(self) -> Floats:
        """Return the curve's own slope at the sites (n,) [dB per unit of x]."""
        inside = np.clip(self.x, self.curve.low, self.curve.high)
        return np.asarray(basis_matrix(inside, self.curve.knots, derivative=1) @ self.curve.coefficients)


def fit_levels(
    name: CurveName, x: Floats, levels: Floats, segment: NDArray[np.int64], *, hop: float, powers: bool = True
) -> LevelCurve | None:
    """Return the curve through levels [dB]; NaN are left out, and None where fewer than eight are left.

    A level is the logarithm of a power, and the mean of logarithms lies below the logarithm of the mean: the residuals
    tell by how much, and the curve is raised by it. Not so where `powers` is False: what was given is a mean already.
    """
    known = np.isfinite(levels)
    if np.count_nonzero(known) < _LEAST or not np.ptp(x[known]) >= 0.0:
        return None
    site = make_site(x[known], segment[known], longest=max(2, round(_REMEMBERED / hop)))
    lifted = levels[known] + _LIFT
    fit = fit_curve(site, lifted, np.ones_like(lifted))
    raised = 10.0 * np.log10(np.mean(10.0 ** (0.1 * np.clip(fit.residuals, -20.0, 6.0)))) if powers else 0.0
    curve = SmoothCurve(
        name=name,
        knots=site.knots,
        coefficients=fit.fit.coefficients - _LIFT + raised,
        covariance=fit.fit.covariance,
        low=float(site.x.min()),
        high=float(site.x.max()),
        degrees_of_freedom=fit.degrees_of_freedom,
        residual_sd=fit.residual_sd,
        correlation=fit.correlation,
    )
    return LevelCurve(curve, fit.fit.gain, site.x, fit.residuals)
