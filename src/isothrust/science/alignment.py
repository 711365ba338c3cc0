"""Delay of one channel against what another says it should read, from the moments of its step response."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["DelayFit", "cumulative_integral", "fit_delay", "smoothed_slope"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class DelayFit:
    """Mean delay of a channel and how well it is known."""

    delay: float
    """First moment of the channel's response, dead time and filter together [s]."""
    u_delay: float
    """Standard uncertainty [s], infinite where the data do not fix it."""
    residual_sd: float
    """Of the integrals, about the fit [unit of the channel times s]."""
    share: float = 1.0
    """Of what was expected, how much the channel showed within the transients [1]; far below 1: still on its way."""


def cumulative_integral(time: ArrayLike, values: ArrayLike) -> Floats:
    """Return the running integral by the trapezoidal rule, zero at the first sample.

    Parameters
    ----------
    time
        Rising times (n,) [s].
    values
        (n,) or (n, k) [any].

    Returns
    -------
    ndarray
        Same shape as `values` [unit of values times s].

    Source
    ------
    Trapezoidal rule, definition.

    Examples
    --------
    >>> cumulative_integral([0.0, 1.0, 2.0], [0.0, 2.0, 4.0]).tolist()
    [0.0, 1.0, 4.0]
    """
    t = np.asarray(time, dtype=np.float64)
    v = np.asarray(values, dtype=np.float64)
    step = np.diff(t).reshape((-1,) + (1,) * (v.ndim - 1))
    out = np.zeros_like(v)
    np.cumsum(0.5 * (v[1:] + v[:-1]) * step, axis=0, out=out[1:])
    return out


def smoothed_slope(time: ArrayLike, values: ArrayLike, *, half_width: int) -> Floats:
    """Return the slope of a straight line through each sample and its neighbours.

    Parameters
    ----------
    time
        Rising times (n,) [s].
    values
        (n,) [any].
    half_width
        Neighbours on each side, fewer at the ends [samples].

    Returns
    -------
    ndarray
        (n,) [unit of values per s]; zero where all neighbours share one time.

    Source
    ------
    Least squares in a moving window, [SavitzkyGolay1964] for order 1.
    """
    t = np.asarray(time, dtype=np.float64)
    v = np.asarray(values, dtype=np.float64)
    n = t.size
    if n < 2:
        return np.zeros(n)
    t = t - t[0]
    step = np.diff(t)
    if n > 4 * half_width + 2 and float(np.ptp(step)) < 1e-6 * float(t[-1]) / n:
        return _even_slope(v, float(t[-1]) / (n - 1), half_width)
    first = np.maximum(np.arange(n) - half_width, 0)
    last = np.minimum(np.arange(n) + half_width + 1, n)
    count = (last - first).astype(np.float64)
    level = float(np.mean(v))

    def window_sum(x: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(x)])
        return np.asarray(total[last] - total[first])

    w = v - level
    sum_t, sum_w = window_sum(t), window_sum(w)
    spread = window_sum(t * t) - sum_t**2 / count
    product = window_sum(t * w) - sum_t * sum_w / count
    return np.where(spread > 0.0, product / np.where(spread > 0.0, spread, 1.0), 0.0)


def _even_slope(v: Floats, step: float, half_width: int) -> Floats:
    """Return `smoothed_slope` on an even clock: one convolution, and straight lines through what the ends have."""
    offsets = np.arange(-half_width, half_width + 1, dtype=np.float64)
    out = np.empty_like(v)
    kernel = -offsets / (np.sum(offsets**2) * step)
    out[half_width : v.size - half_width] = np.convolve(v, kernel, mode="valid")
    for place in range(half_width):
        few = place + half_width + 1
        clock = step * (np.arange(few) - 0.5 * (few - 1))
        power = float(clock @ clock)
        out[place] = float(clock @ v[:few]) / power
        out[v.size - 1 - place] = float(clock @ v[v.size - few :]) / power
    return out


def fit_delay(
    time: ArrayLike, measured: ArrayLike, expected: ArrayLike, segments: ArrayLike, *, half_width: int
) -> DelayFit:
    """Return the mean delay of a measured channel against what it is expected to read.

    A sensor that answers x with y has x = y + m1 y' + m2 y'' + ..., m1 being the mean delay whatever the filter.
    Integrated over a transient: int(x - y) dt = m1 (y - y_start) + m2 (y' - y'_start). A scale error and a zero error
    of `expected` are fitted along, so that a coefficient or a zero that is not yet right does not pass for a delay.

    Parameters
    ----------
    time
        Rising within a segment (n,) [s].
    measured, expected
        The channel, and what it would read without delay (n,) [same unit].
    segments
        Number of the transient each sample belongs to (n,).
    half_width
        Neighbours on each side for the slope y' [samples].

    Returns
    -------
    DelayFit
        Delay and its standard uncertainty; the uncertainty counts the residuals' correlation by comparing halves of
        the data.

    Source
    ------
    Moments of a linear filter's impulse response; least squares [JCGM100] H.3 for the uncertainty of the slope.
    """
    t, y, x = (np.asarray(a, dtype=np.float64) for a in (time, measured, expected))
    spell = np.asarray(segments)
    rows: list[Floats] = []
    right: list[Floats] = []
    spells: list[Floats] = []
    for number in np.unique(spell):
        of = spell == number
        if np.count_nonzero(of) < 8:
            continue
        slope = smoothed_slope(t[of], y[of], half_width=half_width)
        scale = -cumulative_integral(t[of], x[of])
        columns = np.stack([y[of] - y[of][0], slope - slope[0], scale, t[of] - t[of][0]])
        rows.append(columns - columns.mean(axis=1, keepdims=True))
        lhs = cumulative_integral(t[of], x[of] - y[of])
        right.append(lhs - lhs.mean())
        spells.append(np.full(lhs.size, float(number)))
    if not rows:
        return DelayFit(0.0, np.inf, np.nan)
    return _delay_of(np.concatenate(rows, axis=1).T, np.concatenate(right), np.concatenate(spells))


def _delay_of(design: Floats, right: Floats, spells: Floats) -> DelayFit:
    scale = np.sqrt(np.mean(design**2, axis=0))
    if not np.all(scale > 0.0):
        return DelayFit(0.0, np.inf, np.nan)
    scaled = design / scale
    solution, _, rank, _ = np.linalg.lstsq(scaled, right, rcond=1e-9)
    if rank < scaled.shape[1]:
        return DelayFit(0.0, np.inf, np.nan)
    residual = right - scaled @ solution
    sd = float(np.sqrt(np.mean(residual**2)))
    # integrals of noise wander: about ten independent stretches a transient, not one a sample
    independent = max(6.0, 10.0 * np.unique(spells).size)
    inverse = np.linalg.inv(scaled.T @ scaled / right.size)
    spread = sd * float(np.sqrt(inverse[0, 0] / (independent - 4.0)))
    share = 1.0 + float(solution[2] / scale[2])
    return DelayFit(float(solution[0] / scale[0]), spread / float(scale[0]), sd, share)
