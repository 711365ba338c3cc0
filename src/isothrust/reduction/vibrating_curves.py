"""Mean square of vibration over speed as a smooth curve, with what the noise of the band leaves uncertain."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.site import Site, make_site
from isothrust.reduction.vibrating_frames import Frames
from isothrust.science.smoothing import SmoothFit, correlation_length, fit_smooth
from isothrust.science.spectra import noise_freedom

__all__ = ["FEWEST", "POWER", "SquareFit", "fit_square", "site_of"]

FEWEST = 5
"""Frames that a curve needs at least."""
POWER = 4
"""Power of the abscissa that the mean square is divided by."""
_MEMORY = 1.0
"""Longest time over which frames are looked at for what they have in common [s]."""
_HANN_SHARE = 0.514
"""Of a frame that counts for a mean square under the squared Hann window [1]: (sum w2)^2 over N sum w4."""
_LEAST = 0.004
"""No mean square of a frame is better known than this share of itself [1]: the speed within it is not."""
_PASSES = 4


@dataclass(frozen=True, slots=True)
class SquareFit:
    """Mean square over the fourth power of the abscissa."""

    fit: SmoothFit
    residual_sd: float
    """[m2/s4]"""
    correlation: float
    """Frames per independent frame."""
    degrees_of_freedom: float


def site_of(frames: Frames) -> Site:
    """Return where the frames measured."""
    longest = max(2, round(2.0 * _MEMORY / frames.window))
    return make_site(frames.x, frames.segment, longest=longest, fine=True)


def fit_square(site: Site, frames: Frames, square: Floats, density: Floats) -> SquareFit:
    """Return the curve through mean squares (m,) whose frames have the densities (m, k).

    A mean square of noise scatters in proportion to itself: by sqrt(2/freedom) at most, as the frame's own spectrum
    says; how much it does is read from what the curve leaves.
    """
    y = square / site.x**POWER
    order = np.argsort(site.x, kind="stable")
    level = np.empty_like(y)
    level[order] = _running(y[order])
    freedom = noise_freedom(
        frames.spectra[0].frequency, density.mean(axis=0), frames.low, frames.high, _HANN_SHARE * frames.window
    )
    relative = np.full(y.size, float(np.sqrt(2.0 / max(2.0, float(freedom)))))
    correlation = 1.0
    fit = None
    for _ in range(_PASSES):
        fit = fit_smooth(site.basis, y, (relative * level) ** 2 * correlation, site.penalty)
        found = site.basis @ fit.coefficients
        # weights follow the curve, not the frame: one that happens to be low must not count for more
        level = np.maximum(found, 0.05 * level)
        left = y / level - found / level
        relative = np.maximum(_scatter(site, left, fit.effective_parameters), _LEAST)
        correlation = correlation_length(np.clip(left / relative, -3.0, 3.0), site.pairs)
    assert fit is not None
    residual = (y - site.basis @ fit.coefficients) * site.x**POWER
    left_over = max(2.0, y.size / correlation - fit.effective_parameters)
    return SquareFit(fit, float(np.std(residual)), correlation, left_over)


def _running(y: Floats) -> Floats:
    """Return the mean over seven neighbours, of fewer at the ends."""
    half = min(3, (y.size - 1) // 2)
    total = np.concatenate([[0.0], np.cumsum(y)])
    place = np.arange(y.size)
    first, last = np.maximum(place - half, 0), np.minimum(place + half + 1, y.size)
    return np.asarray((total[last] - total[first]) / (last - first))


def _scatter(site: Site, left: Floats, parameters: float) -> Floats:
    """Return the relative scatter of frames by their speed (m,), what the curve swallows allowed for."""
    share = np.sqrt(max(0.3, 1.0 - parameters / left.size))
    order = np.argsort(site.x, kind="stable")
    out = np.empty_like(left)
    for part in np.array_split(order, int(np.clip(left.size // 20, 1, 4))):
        out[part] = float(np.sqrt(np.mean(left[part] ** 2))) / share
    return out
