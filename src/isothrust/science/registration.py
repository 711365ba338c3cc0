"""Where one recording lies in the time of another: from what both show of the same event, or of the same course."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Registration", "edge_registration", "level_registration", "rising_edges", "short_time_level"]

Floats = NDArray[np.float64]

_ORDER: Final = 3
"""Degree of the polynomial by which a level follows a speed: the law is not known, only that it is smooth."""
_OVERLAP: Final = 0.4
"""Share of the shorter series that must lie in the longer one: less may match by chance."""
_FEWEST: Final = 30
_HIGH, _LOW = 0.65, 0.35
"""Shares of the range between which a trigger's edge lies; the gap keeps noise from making two edges of one."""
_MATCHED: Final = 0.7
"""Share of the edges of the recording with fewer that must meet an edge of the other."""


@dataclass(frozen=True, slots=True)
class Registration:
    """How much later the first sample of a series was taken than the first of the reference."""

    offset: float
    """[s]"""
    u_offset: float
    """Standard uncertainty [s], infinite where the data do not fix it."""
    degrees_of_freedom: float
    explained: float
    """Share of the variance that the reference explains, or of the edges that meet [1]."""
    rival: float
    """How many times more variance the best of all other offsets leaves unexplained [1]; infinite if there is none."""


def short_time_level(values: ArrayLike, *, frame: int) -> Floats:
    """Return the root mean square of each whole frame of a waveform, its mean left out.

    Parameters
    ----------
    values
        Waveform (n,) [any].
    frame
        Samples in a frame [1].

    Returns
    -------
    ndarray
        (n // frame,) [unit of values]; NaN where a frame holds a sample that is not finite.

    Source
    ------
    Definition of a root mean square.

    Examples
    --------
    >>> short_time_level([1.0, -1.0, 4.0, 4.0, 9.0], frame=2).tolist()
    [1.0, 0.0]
    """
    v = np.asarray(values, dtype=np.float64)
    count = v.size // frame
    framed = v[: count * frame].reshape(count, frame)
    mean = framed.mean(axis=1)
    power = np.einsum("ij,ij->i", framed, framed) / frame  # no copy of a long waveform
    return np.asarray(np.sqrt(np.maximum(power - mean**2, 0.0)))


def level_registration(level: ArrayLike, reference: ArrayLike, *, step: float) -> Registration:
    """Return where a level lies in the time of a reference that it follows, by whatever smooth law.

    At each shift the level is fitted by a polynomial of third degree in the reference over all that overlaps; the shift
    with the smallest residual variance in proportion wins. So neither the law of loudness nor a gain matters.

    Parameters
    ----------
    level
        (n,) at equal steps [any].
    reference
        (m,) at the same steps, finite [any].
    step
        Of both [s].

    Returns
    -------
    Registration
        Its standard uncertainty comes from the curvature of the residual sum at its least, the residuals' correlation
        from one step to the next allowed for, and is at least that of rounding to a step.

    Raises
    ------
    ValueError
        Where one of the series is shorter than 30 steps, or one of them never moves.

    Source
    ------
    Least squares; the variance of the offset from the curvature of the sum of squares at its least, definition.
    """
    y = np.asarray(level, dtype=np.float64)
    x = np.asarray(reference, dtype=np.float64)
    if min(x.size, y.size) < _FEWEST or not np.ptp(x) > 0.0 or not np.ptp(y) > 0.0:
        raise ValueError("a level or a reference is too short, or stands still")
    shifts, unexplained, count = _unexplained(y - y.mean(), 2.0 * (x - x.min()) / np.ptp(x) - 1.0)
    best = int(np.argmin(unexplained))
    residual = _residual(y, x, int(shifts[best]))
    correlated = _correlation_time(residual)
    independent = max(float(count[best]) / correlated - _ORDER - 2.0, 1.0)
    place, curvature = _least(unexplained, best)
    u = np.sqrt(2.0 * unexplained[best] / (independent * curvature)) if curvature > 0.0 else np.inf
    u_offset = step * float(np.hypot(u, 1.0 / np.sqrt(12.0)))
    apart = np.abs(shifts - shifts[best]) * step > max(4.0 * u_offset, 6.0 * step)
    rival = np.inf
    if apart.any():
        rival = float(unexplained[apart].min() / unexplained[best])
    offset = step * (float(shifts[best]) + place)
    return Registration(offset, u_offset, independent, 1.0 - float(unexplained[best]), rival)


def _unexplained(y: Floats, x: Floats) -> tuple[NDArray[np.int64], Floats, NDArray[np.int64]]:
    """Return every shift allowed, the share of the level's variance that is left at it, and how many steps overlap."""
    n, m = y.size, x.size
    shifts = np.arange(-(n - 1), m)
    first, last = np.maximum(shifts, 0), np.minimum(m, n + shifts)
    count = last - first
    allowed = count >= max(_OVERLAP * min(n, m), _FEWEST)
    shifts, first, last, count = shifts[allowed], first[allowed], last[allowed], count[allowed]

    def window(series: Floats, start: NDArray[np.int64], stop: NDArray[np.int64]) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(series)])
        return np.asarray(total[stop] - total[start])

    size = 1 << int(n + m - 1).bit_length()
    spectrum = np.conj(np.fft.rfft(y, size))
    powers = [x**p for p in range(2 * _ORDER + 1)]
    gram_sums = [window(power, first, last) for power in powers]
    gram = np.stack(
        [np.stack([gram_sums[p + q] for q in range(_ORDER + 1)], axis=-1) for p in range(_ORDER + 1)], axis=-1
    )
    products = [np.fft.irfft(np.fft.rfft(powers[p], size) * spectrum, size)[shifts] for p in range(_ORDER + 1)]
    right = np.stack(products, axis=-1)
    gram += (
        1e-9 * count[:, None, None] * np.eye(_ORDER + 1)
    )  # a stretch at one speed has no slope: none is wanted there
    solution = np.linalg.solve(gram, right[..., None])[..., 0]
    sums, squares = (window(s, first - shifts, last - shifts) for s in (y, y * y))
    total = squares - sums**2 / count
    left = squares - np.sum(solution * right, axis=-1)
    quiet = total <= 1e-6 * np.sum(y * y)
    return shifts, np.where(quiet, 1.0, np.clip(left / np.where(quiet, 1.0, total), 1e-12, 1.0)), count


def _residual(y: Floats, x: Floats, shift: int) -> Floats:
    start, stop = max(shift, 0), min(x.size, y.size + shift)
    over, under = x[start:stop], y[start - shift : stop - shift]
    scaled = 2.0 * (over - x.min()) / np.ptp(x) - 1.0
    basis = np.vander(scaled, _ORDER + 1)
    return np.asarray(under - basis @ np.linalg.lstsq(basis, under, rcond=None)[0])


def _correlation_time(residual: Floats) -> float:
    """Return how many steps share one independent deviation: 1 + 2 sum of correlations, up to the first below zero."""
    n = residual.size
    size = 1 << int(2 * n - 1).bit_length()
    power = np.abs(np.fft.rfft(residual - residual.mean(), size)) ** 2
    correlation = np.fft.irfft(power, size)[: n // 4]
    if correlation.size < 2 or correlation[0] <= 0.0:
        return 1.0
    correlation = correlation / correlation[0]
    below = np.flatnonzero(correlation < 0.0)
    stop = int(below[0]) if below.size else correlation.size
    return 1.0 + 2.0 * float(np.sum(correlation[1:stop]))


def _least(values: Floats, best: int) -> tuple[float, float]:
    """Return where a parabola through the least value and its neighbours has its vertex [steps], and its curvature."""
    if not 0 < best < values.size - 1:
        return 0.0, 0.0
    before, at, after = values[best - 1 : best + 2]
    curvature = float(before - 2.0 * at + after)
    return (0.5 * float(before - after) / curvature if curvature > 0.0 else 0.0), curvature


def rising_edges(values: ArrayLike) -> NDArray[np.int64]:
    """Return the places of the first sample after each rise of a trigger signal.

    Parameters
    ----------
    values
        (n,) [any].

    Returns
    -------
    ndarray
        Indices of samples that are high where the last one that was clearly low or high was low.

    Source
    ------
    A threshold with hysteresis, at 35 and 65 % of the range; common practice.

    Examples
    --------
    >>> rising_edges([0.0, 0.0, 5.0, 5.0, 2.6, 5.0, 0.0, 5.0]).tolist()
    [2, 7]
    """
    v = np.asarray(values, dtype=np.float64)
    known = np.flatnonzero(np.isfinite(v))
    if not known.size or not np.ptp(v[known]) > 0.0:
        return np.empty(0, dtype=np.int64)
    share = (v[known] - v[known].min()) / np.ptp(v[known])
    clear = np.flatnonzero((share >= _HIGH) | (share <= _LOW))
    high = share[clear] >= _HIGH
    return np.asarray(known[clear[1:][high[1:] & ~high[:-1]]])


def edge_registration(edges: ArrayLike, reference: ArrayLike, *, step: float) -> Registration | None:
    """Return where a recording lies in the time of another whose trigger rose at the same moments; None if nowhere.

    Parameters
    ----------
    edges
        Times of the edges in the one (n,) [s].
    reference
        Times of the edges in the other (m,), each a sample after the rise [s].
    step
        Between two samples of the reference, the slower one [s].

    Returns
    -------
    Registration or None
        None where too few edges meet, or where two offsets let as many meet. Half a step is taken off, since an edge
        falls on average that long before the sample that shows it.

    Source
    ------
    Mean of paired differences; rounding to a step has the standard deviation of a rectangle, step / sqrt(12) [JCGM100,
    4.3.7].
    """
    one = np.sort(np.asarray(edges, dtype=np.float64))
    other = np.sort(np.asarray(reference, dtype=np.float64))
    if not one.size or not other.size:
        return None
    tolerance = 1.5 * step
    if one.size == other.size and np.ptp(other - one) <= 2.0 * tolerance:
        return _met(other - one, step, 1.0)
    candidates = (other[:, None] - one[None, :]).ravel()
    met = np.array([_meeting(one + each, other, tolerance).sum() for each in candidates])
    best = int(np.argmax(met))
    near = np.abs(candidates - candidates[best]) <= 2.0 * tolerance
    few = min(one.size, other.size)
    if met[best] < max(_MATCHED * few, 1) or (not near.all() and met[~near].max() >= met[best]):
        return None
    pairs = _meeting(one + candidates[best], other, tolerance)
    moved = one[pairs] + candidates[best]
    nearest = np.abs(other[None, :] - moved[:, None]).argmin(axis=1)
    return _met(other[nearest] - one[pairs], step, float(met[best]) / few)


def _meeting(moved: Floats, other: Floats, tolerance: float) -> NDArray[np.bool_]:
    return np.asarray(np.abs(other[None, :] - moved[:, None]).min(axis=1) <= tolerance)


def _met(differences: Floats, step: float, share: float) -> Registration:
    count = differences.size
    scatter = float(np.std(differences, ddof=1)) if count > 1 else 0.0
    u = np.hypot(scatter / np.sqrt(count), step / np.sqrt(12.0))  # clocks may step together: rounding does not average
    return Registration(float(np.mean(differences)) - 0.5 * step, float(u), max(count - 1.0, 1.0), share, np.inf)
