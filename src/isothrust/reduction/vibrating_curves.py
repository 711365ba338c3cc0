"""Vibration over speed as a smooth curve of the logarithm of its mean square, with what noise leaves uncertain."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.site import Site, make_site
from isothrust.reduction.vibrating_frames import Frames
from isothrust.science.smoothing import SmoothFit, correlation_length, fit_smooth

__all__ = ["FEWEST", "POWER", "SquareFit", "fit_square", "site_of"]

FEWEST = 5
"""Frames that a curve needs at least."""
POWER = 4
"""Power of the abscissa that the mean square is divided by."""
_MEMORY = 1.0
"""Longest time over which frames are looked at for what they have in common [s]."""
_LEAST = 0.004
"""No mean square of a frame is better known than this share of itself [1]: the speed within it is not."""
_PASSES = 4
_RANGE = 3.0
"""What a logarithm may well change by over the range of speed [1]: the curve's prior goes by it."""


@dataclass(frozen=True, slots=True)
class SquareFit:
    """Logarithm of the mean square over the fourth power of the abscissa."""

    fit: SmoothFit
    residual_sd: float
    """Of the logarithm [1]."""
    correlation: float
    """Frames per independent frame."""
    degrees_of_freedom: float


def site_of(frames: Frames) -> Site:
    """Return where the frames measured."""
    longest = max(2, round(2.0 * _MEMORY / frames.window))
    return make_site(frames.x, frames.segment, longest=longest, fine=True)


def fit_square(site: Site, square: Floats) -> SquareFit:
    """Return the curve through the logarithms of mean squares (m,) over the fourth power of the abscissa.

    About a resonance a mean square changes tenfold within a few frames, its logarithm by two; and a mean square of
    noise scatters in proportion to itself. How much is read first from how each frame differs from its neighbours in
    speed, then from what the curve leaves. The mean of a logarithm lies below the logarithm of the mean by half the
    squared scatter, which is put back.
    """
    plain = np.log(np.maximum(square / site.x**POWER, 1e-300))
    away = float(plain.mean()) - _RANGE
    relative = _neighbours(site, plain)
    correlation = 1.0
    fit = None
    for _ in range(_PASSES):
        y = plain - away + 0.5 * relative**2
        fit = fit_smooth(site.basis, y, relative**2 * correlation, site.penalty)
        left = y - site.basis @ fit.coefficients
        relative = np.maximum(_scatter(site, left, fit.effective_parameters), _LEAST)
        correlation = correlation_length(np.clip(left / relative, -3.0, 3.0), site.pairs)
    assert fit is not None
    left_over = max(2.0, plain.size / correlation - fit.effective_parameters)
    moved = replace(fit, coefficients=fit.coefficients + away)
    return SquareFit(moved, float(np.std(left)), correlation, left_over)


def _neighbours(site: Site, y: Floats) -> Floats:
    """Return the scatter (m,) by how far frames lie off the straight line between their neighbours in speed."""
    if y.size < FEWEST:
        return np.full(y.size, 0.3)
    order = np.argsort(site.x, kind="stable")
    x, ordered = site.x[order], y[order]
    share = (x[1:-1] - x[:-2]) / np.maximum(x[2:] - x[:-2], 1e-300)
    between = ordered[:-2] + share * (ordered[2:] - ordered[:-2])
    off = np.abs(ordered[1:-1] - between) / np.sqrt(1.0 + share**2 + (1.0 - share) ** 2)
    out = np.empty_like(y)
    for part in np.array_split(np.arange(y.size), int(np.clip(y.size // 20, 1, 4))):
        out[order[part]] = max(1.4826 * float(np.median(off[np.clip(part - 1, 0, off.size - 1)])), _LEAST)
    return out


def _scatter(site: Site, left: Floats, parameters: float) -> Floats:
    """Return the scatter of frames by their speed (m,), what the curve swallows allowed for."""
    share = np.sqrt(max(0.3, 1.0 - parameters / left.size))
    order = np.argsort(site.x, kind="stable")
    out = np.empty_like(left)
    for part in np.array_split(order, int(np.clip(left.size // 20, 1, 4))):
        out[part] = float(np.sqrt(np.mean(left[part] ** 2))) / share
    return out
