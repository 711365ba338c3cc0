"""What residuals tell of the noise: its size by speed, outliers, and how long it remembers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from isothrust.records.recording import Floats
from isothrust.reduction.ranges import middle
from isothrust.reduction.site import Site
from isothrust.science.smoothing import correlation_length

__all__ = ["Noise", "least_noise", "noise_of", "without_wild"]

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
_GRAIN = 2e-4
"""Share of the usual reading under which a bend is the log's last digit."""
_WILD = 12.0
"""Multiple of the usual distance at which a bin stands off its neighbours."""


@dataclass(frozen=True, slots=True)
class Noise:
    """Noise of one curve's readings."""

    sigma: Floats
    """Standard deviation by speed (n,) [reading's unit]."""
    weight: Floats
    """Robust weights (n,)."""
    correlation: float
    """Bins per independent bin."""

    def near(self, other: Noise) -> bool:
        """Whether two estimates are the same for all that a fit would do with them."""
        of_variance = float(np.mean((self.sigma / other.sigma) ** 2)) * self.correlation / other.correlation
        return _SAME < of_variance < 1.0 / _SAME and bool(np.all((self.weight < 0.1) == (other.weight < 0.1)))


def noise_of(site: Site, residual: Floats, parameters: float, least: Floats) -> Noise:
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
    return Noise(sigma, weight, correlation)


def least_noise(site: Site, reading: Floats, size: Floats) -> Floats:
    """Return the least standard deviation (n,) that the readings themselves leave possible, whatever the curve."""
    floor = _LEAST_SCATTER * float(np.max(np.abs(reading))) + 1e-300
    return np.maximum(_noise_by_speed(site, _off_neighbours(site, reading, size)), floor)


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


def without_wild(y: Floats, size: Floats) -> Floats:
    """Return the values (n,) with those bridged that stand off their neighbours, up to three in a row.

    A loose curve would follow them; the median of seven neighbours does not. Where no reading y * size bends off its
    neighbours far more than usual, which is nearly always, there is nothing to look for.
    """
    if y.size < 8:
        return y
    bend = np.abs(y[1:-1] - 0.5 * (y[:-2] + y[2:])) * size[1:-1]
    if float(bend.max()) <= _WILD * max(middle(bend), _GRAIN * middle(np.abs(y * size))):
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
