"""Where a growth that follows a power law begins to grow faster."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = ["Onset", "find_onset"]

_STEPS = 45
_BEYOND = 5
"""Values that must lie above an onset."""
_LEAST_RANGE = 0.15
"""Least range of the logarithm over which an onset is looked for [1]."""


@dataclass(frozen=True, slots=True)
class Onset:
    """A straight line in logarithms that bends up at an onset, and levels off or goes on."""

    onset: float
    """[unit of x]"""
    u_onset: float
    """Standard uncertainty [unit of x]."""
    rise: float
    """Logarithm of what is there at the top over what the growth below leads to [1]."""
    u_rise: float
    """Standard uncertainty [1]."""


def find_onset(
    x: ArrayLike, y: ArrayLike, *, lowest: float = 0.45, highest: float = 0.94, width: float = 0.12
) -> Onset | None:
    """Return the onset that fits best.

    Parameters
    ----------
    x
        Rising, above 0 (n,) [any].
    y
        Logarithm of what grows (n,) [1].
    lowest, highest
        Where an onset is looked for, as parts of the greatest x [1].
    width
        Share of the onset over which the growth saturates, tried beside one that goes on [1].

    Returns
    -------
    Onset or None
        None where x covers too little.

    Source
    ------
    Least squares over a grid of onsets; the uncertainty from where the sum of squares is within one variance of its
    least, definition.

    Examples
    --------
    >>> x = np.linspace(100.0, 400.0, 61)
    >>> found = find_onset(x, 5 * np.log(x) + np.where(x > 300.0, 6 * np.log(x / 300.0), 0.0))
    >>> abs(found.onset - 300.0) < 6.0, round(found.rise, 1)
    (True, 1.7)
    """
    log_x, log_y = np.log(floats(x)), floats(y)
    low = max(float(np.log(lowest) + log_x[-1]), float(log_x[min(8, log_x.size - 1)]))
    high = float(np.log(highest) + log_x[-1])
    if high - low < _LEAST_RANGE:
        return None
    tried = [at for at in np.linspace(low, high, _STEPS) if np.count_nonzero(log_x > at) >= _BEYOND]
    fits = [(at, *_hinge(log_x, log_y, at, reach)) for at in tried for reach in (float(np.log1p(width)), np.inf)]
    if not fits:
        return None
    best = min(fits, key=lambda fit: fit[3])
    variance = best[3] / max(log_x.size - 4, 1)
    near = [np.exp(fit[0]) for fit in fits if fit[3] <= best[3] + max(variance, 1e-12)]
    onset = float(np.exp(best[0]))
    half = max(0.5 * float(max(near) - min(near)), onset * (high - low) / _STEPS)
    return Onset(onset, half, best[1], best[2])


def _hinge(log_x: Floats, log_y: Floats, at: float, reach: float) -> tuple[float, float, float]:
    """Return the rise at the top, its standard uncertainty and the misfit of a line that bends at a place."""
    hinge = np.minimum(np.maximum(log_x - at, 0.0), reach)
    columns = np.stack([np.ones_like(log_x), log_x - log_x.mean(), hinge], axis=1)
    normal = np.linalg.inv(columns.T @ columns + 1e-9 * np.eye(3))
    values = normal @ (columns.T @ log_y)
    left = log_y - columns @ values
    misfit = float(left @ left)
    size = np.sqrt(misfit / max(log_x.size - 4, 1))
    top = float(hinge[-1])
    return float(values[2]) * top, float(size * np.sqrt(normal[2, 2])) * top, misfit
