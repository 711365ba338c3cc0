"""Who is really better than whom: family-wise intervals for all pairs, and ties.

The studentized range is the largest of k independent normal values less the smallest, over an estimate of their
standard deviation. scipy.stats has it too, but takes longer to import than a whole comparison takes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.polynomial.chebyshev import Chebyshev
from numpy.polynomial.legendre import leggauss
from numpy.typing import ArrayLike
from scipy.special import gammaincc, gammainccinv, gammaincinv, gammaln, ndtr, ndtri, stdtrit

from isothrust.science.arrays import Bools, Floats, floats

__all__ = [
    "PairIntervals",
    "pair_intervals",
    "places",
    "studentized_range_distribution",
    "studentized_range_quantile",
    "tied_with",
]

_INNER_POINTS = 64
_OUTER_POINTS = 96
_TAIL = 1e-15
_PASSES = 60
# Beyond this many degrees of freedom the estimate of the standard deviation is as good as known.
_MANY = 1e8
# Above this many different degrees of freedom the quantile is interpolated, at as many nodes; it is smooth in 1/dof.
_NODES = 32


class _Quadrature(NamedTuple):
    """Points and weights on -1 to 1 for the estimate (outer) and for the largest of the values (inner)."""

    outer: Floats
    outer_weight: Floats
    inner: Floats
    inner_weight: Floats


class PairIntervals(NamedTuple):
    """All pairs of k estimates: first index less second index, each of shape (k, k)."""

    difference: Floats
    half_width: Floats
    """Of the family-wise interval; not a number where a pair cannot be compared."""
    real: Bools
    """True where the family-wise interval excludes zero."""


def studentized_range_distribution(q: ArrayLike, count: int, degrees_of_freedom: ArrayLike = np.inf) -> Floats:
    """Return the probability that the studentized range of `count` values is at most q.

    Parameters
    ----------
    q
        Range over standard deviation, any shape [1].
    count
        How many values, two or more.
    degrees_of_freedom
        Of the standard deviation, broadcastable, infinite where it is known [1].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [1].

    Raises
    ------
    ValueError
        If there are fewer than two values.

    Source
    ------
    [Copenhaver1988] equations (1) and (2), here by Gauss-Legendre quadrature of both integrals.

    Examples
    --------
    >>> f"{studentized_range_distribution(4.0461, 4, 16):.4f}"
    '0.9500'
    """
    x, dof = np.broadcast_arrays(floats(q), floats(degrees_of_freedom))
    return _distribution(floats(x), floats(dof), count, _quadrature())[0]


def studentized_range_quantile(level: float, count: int, degrees_of_freedom: ArrayLike = np.inf) -> Floats:
    """Return the q that the studentized range of `count` values stays below with this probability.

    Parameters
    ----------
    level
        Probability [1].
    count
        How many values, two or more.
    degrees_of_freedom
        Of the standard deviation, any shape, infinite where it is known [1].

    Returns
    -------
    numpy.ndarray
        Shape of the degrees of freedom [1].

    Raises
    ------
    ValueError
        If there are fewer than two values.

    Source
    ------
    Inverse of `studentized_range_distribution`, by Newton's method within a bracket.

    Examples
    --------
    >>> f"{studentized_range_quantile(0.95, 4, 16):.4f}"
    '4.0461'
    """
    dof, back = np.unique(floats(degrees_of_freedom), return_inverse=True)
    q = np.empty_like(dof)
    smooth = dof >= 1.0
    if np.count_nonzero(smooth) > _NODES:
        ends = [0.0 if np.isinf(dof[-1]) else 1.0 / np.nanmax(dof), 1.0 / np.min(dof[smooth])]

        def log_quantile(inverse: Floats) -> Floats:
            return floats(np.log(_quantile(level, count, 1.0 / inverse)))

        q[smooth] = np.exp(Chebyshev.interpolate(log_quantile, _NODES - 1, domain=ends)(1.0 / dof[smooth]))
        q[~smooth] = _quantile(level, count, dof[~smooth])
    else:
        q = _quantile(level, count, dof)
    return floats(q[back.reshape(-1)].reshape(np.shape(degrees_of_freedom)))


def pair_intervals(
    values: ArrayLike, uncertainties: ArrayLike, degrees_of_freedom: ArrayLike, *, level: float = 0.95
) -> PairIntervals:
    """Return all differences with intervals that all hold together with this probability.

    Parameters
    ----------
    values
        Estimates to be ranked, shape (k,) [any unit].
    uncertainties
        Standard uncertainty of each difference, what is common already taken out, shape (k, k) [same unit].
    degrees_of_freedom
        Of each of these, broadcastable to (k, k) [1].
    level
        Family-wise probability [1].

    Returns
    -------
    PairIntervals
        A pair whose value or uncertainty is not a number is not real, and does not count in the family.

    Source
    ------
    [Tukey1953] and [Kramer1956]; for unequal variances with each pair's own degrees of freedom [GamesHowell1976].

    Examples
    --------
    >>> found = pair_intervals([10.0, 11.0, 14.0], [[0.0, 1.0, 1.0]] * 3, 20.0)
    >>> found.real[0].tolist(), f"{found.half_width[0, 1]:.3f}"
    ([False, False, True], '2.530')
    """
    v, u = floats(values), floats(uncertainties)
    dof = np.broadcast_to(floats(degrees_of_freedom), u.shape)
    difference = floats(v[:, None] - v[None, :])
    count = int(np.sum(np.isfinite(v)))
    if count < 2:
        return PairIntervals(difference, floats(np.full(u.shape, np.nan)), np.zeros(u.shape, dtype=bool))
    factor = studentized_range_quantile(level, count, dof) / np.sqrt(2.0)
    half = floats(np.where(np.isfinite(difference), factor * u, np.nan))
    apart = ~np.eye(len(v), dtype=bool)
    return PairIntervals(difference, half, np.asarray(apart & (np.abs(difference) > half)))


def places(difference: ArrayLike, real: ArrayLike, *, more_is_better: bool) -> tuple[int, ...]:
    """Return each one's place: one more than the number that are really better.

    Parameters
    ----------
    difference
        First index less second, shape (k, k) [any unit].
    real
        True where a difference is real, shape (k, k).
    more_is_better
        True where the greater value wins.

    Returns
    -------
    tuple of int
        Length k; those whom nobody really beats share place 1.

    Source
    ------
    Definition.

    Examples
    --------
    >>> places([[0.0, 5.0], [-5.0, 0.0]], [[False, True], [True, False]], more_is_better=True)
    (1, 2)
    """
    d = floats(difference) if more_is_better else -floats(difference)
    beaten = np.sum(np.asarray(real, dtype=bool) & (d < 0.0), axis=1)
    return tuple(int(number) + 1 for number in beaten)


def tied_with(difference: ArrayLike, real: ArrayLike) -> tuple[tuple[int, ...], ...]:
    """Return, for each one, the others from whom it cannot be told apart.

    Parameters
    ----------
    difference
        First index less second, shape (k, k); what is not a number is no tie, since nothing is known [any unit].
    real
        True where a difference is real, shape (k, k).

    Returns
    -------
    tuple of tuple of int
        Length k. Not transitive: a may tie with b and b with c while a and c differ.

    Source
    ------
    Definition.

    Examples
    --------
    >>> tied_with([[0.0, 1.0], [-1.0, 0.0]], [[False, False], [False, False]])
    ((1,), (0,))
    """
    ties = ~np.asarray(real, dtype=bool) & np.isfinite(floats(difference))
    np.fill_diagonal(ties, val=False)
    return tuple(tuple(int(other) for other in np.flatnonzero(row)) for row in ties)


def _quantile(level: float, count: int, dof: Floats) -> Floats:
    # Every pair by itself at its share of the risk (Bonferroni) is never less than the quantile that is sought.
    pairs = max(count * (count - 1) / 2.0, 1.0)
    positive = np.where(dof > 0.0, dof, np.nan)
    high = floats(np.sqrt(2.0) * stdtrit(positive, 1.0 - (1.0 - level) / (2.0 * pairs))) * (1.0 + 1e-9)
    low, q, rule = np.zeros_like(high), high, _quadrature()
    for _ in range(_PASSES):
        reached, density = _distribution(q, positive, count, rule)
        low, high = np.where(reached < level, q, low), np.where(reached >= level, q, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = q - (reached - level) / density
        following = np.where((newton > low) & (newton < high), newton, 0.5 * (low + high))
        q, last = floats(np.where(np.isnan(positive), np.nan, following)), q
        if np.all(~(np.abs(q - last) > 1e-10 * last)):
            break
    return q


def _quadrature() -> _Quadrature:
    return _Quadrature(*(floats(part) for n in (_OUTER_POINTS, _INNER_POINTS) for part in leggauss(n)))


def _distribution(q: Floats, dof: Floats, count: int, rule: _Quadrature) -> tuple[Floats, Floats]:
    """Return distribution function and density at q, same shape."""
    if count < 2:
        message = f"a range needs two values or more, not {count}"
        raise ValueError(message)
    q, dof = q[..., None], np.where(dof > 0.0, dof, np.nan)[..., None]
    unknown = np.isnan(q + dof)[..., 0]
    positive = np.where(q > 0.0, q, 1.0)
    half = np.minimum(dof, _MANY) / 2.0
    # Where the range itself is certain to be more than q s, or less, there is nothing to integrate.
    never = 2.0 * ndtri(0.5 + 0.5 * (_TAIL / count) ** (1.0 / (count - 1)))
    always = np.sqrt(2.0) * -ndtri(_TAIL / count**2)
    low = np.log(np.maximum(np.sqrt(gammaincinv(half, _TAIL) / half), never / positive))
    high = np.log(np.minimum(np.sqrt(gammainccinv(half, _TAIL) / half), always / positive))
    # Over ln s the density of s = chi/sqrt(dof) is smooth at both ends, for one degree of freedom as for a thousand.
    middle, reach = 0.5 * (high + low), np.maximum(0.5 * (high - low), 0.0)
    s = np.exp(middle + reach * rule.outer)
    density = 2.0 * np.exp(half * np.log(half) + 2.0 * half * np.log(s) - half * s**2 - gammaln(half))
    share = density * reach * rule.outer_weight
    below, slope = _normal_range(floats(positive * s), count, rule)
    beyond = gammaincc(half, half * np.exp(2.0 * np.maximum(high, low)))[..., 0]
    reached = np.clip(np.sum(share * below, axis=-1) + beyond, 0.0, 1.0)
    above_zero = q[..., 0] > 0.0
    reached = np.where(unknown, np.nan, np.where(above_zero, reached, 0.0))
    return floats(reached), floats(np.where(above_zero, np.sum(share * s * slope, axis=-1), 0.0))


def _normal_range(w: Floats, count: int, rule: _Quadrature) -> tuple[Floats, Floats]:
    """Return distribution and density of the range of `count` standard normal values, w above zero.

    P(range < w) = k * integral of phi(z) (Phi(z) - Phi(z - w))^(k-1), z the largest of them: [Copenhaver1988] eq. (1).
    """
    # The largest of the values lies between these but for a chance of _TAIL.
    low, high = float(ndtri((_TAIL / count) ** (1.0 / count))), float(-ndtri(_TAIL / count))
    z = 0.5 * (high + low) + 0.5 * (high - low) * rule.inner
    at_z = 0.5 * (high - low) * rule.inner_weight * np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi)
    lowest = z - w[..., None]
    between = np.maximum(ndtr(z) - ndtr(lowest), 0.0)
    power = at_z * between ** (count - 2)
    below = count * np.sum(power * between, axis=-1)
    slope = count * (count - 1) / np.sqrt(2.0 * np.pi) * np.sum(power * np.exp(-0.5 * lowest**2), axis=-1)
    return floats(below), floats(slope)
