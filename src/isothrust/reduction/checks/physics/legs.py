"""Legs up and down under power must tell the same coefficient at the same speed."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.fitting import CurveFit

__all__ = ["check_legs"]

_FEWEST = 15
_MATTERS = 0.015
_STRETCHES = 8
"""Stretches of speed in which the legs are set side by side."""
_CERTAIN = 20.0
"""Multiple of the standard error over the stretches; noise that remembers, and what a curve swallows, reach 15."""


def check_legs(channel: str, speed: Floats, curve: CurveFit, size: Floats, falling: np.ndarray) -> list[Finding]:
    """Return a finding where the two legs differ by more than noise and half a per cent."""
    if np.count_nonzero(falling) < _FEWEST or np.count_nonzero(~falling) < _FEWEST:
        return []
    low = max(float(speed[falling].min()), float(speed[~falling].min()))
    high = min(float(speed[falling].max()), float(speed[~falling].max()))
    both = (speed >= max(low, 0.4 * high)) & (speed <= high)
    down, up = both & falling, both & ~falling
    if np.count_nonzero(down) < _FEWEST or np.count_nonzero(up) < _FEWEST:
        return []
    fitted = float(np.mean(size[both])) * float(np.median(curve.fit.coefficients))
    gap = (float(np.mean(curve.residuals[down])) - float(np.mean(curve.residuals[up]))) / fitted
    # one error for all would hold the gap itself: what the legs differ by is part of the residuals
    gaps = _by_speed(speed, curve.residuals, size, down, up)
    if abs(gap) < _MATTERS or gaps is None or max(map(_surely, gaps)) < _CERTAIN:
        return []
    return [
        Finding(
            code="legs-disagree",
            severity="warning",
            message=f"{channel} on the way down is {100.0 * gap:+.1f} % from the way up at the same speed",
            channel=channel,
            count=int(both.sum()),
            effect=f"the figures stand half-way; either leg alone would move them by {50.0 * abs(gap):.1f} %",
            done="both legs were fitted together",
        )
    ]


def _by_speed(
    speed: Floats, residuals: Floats, size: Floats, down: np.ndarray, up: np.ndarray
) -> tuple[Floats, Floats] | None:
    """Return the gap between the legs in each stretch of speed (k,): as a force, and over the square of speed."""
    edges = np.linspace(float(speed[down | up].min()), float(speed[down | up].max()), _STRETCHES + 1)[1:-1]
    place = np.searchsorted(edges, speed)
    means = [_means(place[leg], residuals[leg]) for leg in (down, up)]
    sizes = _means(place[down | up], size[down | up])
    gap = means[0] - means[1]
    known = np.isfinite(gap) & np.isfinite(sizes)
    if np.count_nonzero(known) < _STRETCHES - 2:
        return None
    return gap[known], (gap / sizes)[known]


def _means(place: np.ndarray, values: Floats) -> Floats:
    count = np.bincount(place, minlength=_STRETCHES).astype(np.float64)
    return np.asarray(np.bincount(place, values, minlength=_STRETCHES) / np.where(count > 2, count, np.nan))


def _surely(gaps: Floats) -> float:
    """Return the mean of the gaps over its standard error [1]."""
    return float(abs(np.mean(gaps)) / max(np.std(gaps, ddof=1) / np.sqrt(gaps.size), 1e-300))
