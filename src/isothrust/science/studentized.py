"""The studentized range: the largest of k independent normal values less the smallest, over an estimate of their sd.

scipy.stats has it too, but takes longer to import than a whole comparison takes.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import Final, NamedTuple

import numpy as np
from numpy.polynomial.chebyshev import Chebyshev
from numpy.polynomial.legendre import leggauss
from numpy.typing import ArrayLike
from scipy.special import gammaincc, gammainccinv, gammaincinv, gammaln, ndtr, ndtri, stdtrit

from isothrust.science.arrays import Floats, floats

__all__ = ["studentized_range_distribution", "studentized_range_quantile"]

_INNER_POINTS = 64
_OUTER_POINTS = 96
_TAIL = 1e-15
_PASSES = 60
# Relative step at which the quantile is called solved; the next one would be about its square.
_SOLVED = 1e-9
# From here on four terms of Stirling's series give the gamma function to the last digit.
_STIRLING = 50.0
# Beyond this many degrees of freedom the estimate of the standard deviation is as good as known.
_MANY = 1e8
# The quantile is smooth in 1/dof: between these degrees of freedom it is interpolated, from as many nodes; below it is
# found one by one. It does so depend on count and degrees of freedom alone, not on what else is asked with them.
_PANELS: Final = (1.0, 4.0, np.inf)
_NODES = 32
# Nodes from which the distribution of the range of normal values is interpolated to 1e-13 on the way to a quantile.
_RANGE_NODES = 80

_NormalRange = Callable[[Floats], tuple[Floats, Floats]]


class _Quadrature(NamedTuple):
    """Points and weights on -1 to 1 for the estimate (outer) and for the largest of the values (inner)."""

    outer: Floats
    outer_weight: Floats
    inner: Floats
    inner_weight: Floats


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
    return _distribution(floats(x), floats(dof), count, partial(_normal_range, count=count))[0]


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
    panel = np.where(np.isnan(dof), 0, np.digitize(dof, _PANELS[:-1]))
    for k in np.unique(panel):
        these = panel == k
        if k == 0:
            q[these] = _quantile(level, count, floats(dof[these]))
        else:
            q[these] = np.exp(_log_quantile(level, count, int(k))(1.0 / dof[these]))
    return floats(q[back.reshape(-1)].reshape(np.shape(degrees_of_freedom)))


@cache
def _log_quantile(level: float, count: int, panel: int) -> Chebyshev:
    """Return the logarithm of the quantile over 1/dof, between two of the `_PANELS`."""

    def exact(inverse: Floats) -> Floats:
        return floats(np.log(_quantile(level, count, floats(1.0 / inverse))))

    return Chebyshev.interpolate(exact, _NODES - 1, domain=[1.0 / _PANELS[panel], 1.0 / _PANELS[panel - 1]])


def _quantile(level: float, count: int, dof: Floats) -> Floats:
    # Every pair by itself at its share of the risk (Bonferroni) is never less than the quantile that is sought.
    pairs = max(count * (count - 1) / 2.0, 1.0)
    positive = np.where(dof > 0.0, dof, np.nan)
    high = floats(np.sqrt(2.0) * stdtrit(positive, 1.0 - (1.0 - level) / (2.0 * pairs))) * (1.0 + 1e-9)
    low, q = np.zeros_like(high), high
    normal_range = _interpolated_range(count)
    for _ in range(_PASSES):
        reached, density = _distribution(q, floats(positive), count, normal_range)
        low, high = np.where(reached < level, q, low), np.where(reached >= level, q, high)
        # Over ln q the logarithm of the tail is all but straight, for few degrees of freedom as for many.
        with np.errstate(divide="ignore", invalid="ignore"):
            tail = 1.0 - reached
            newton = q * np.exp(tail * np.log(tail / (1.0 - level)) / (density * q))
        following = np.where((newton >= low) & (newton <= high), newton, 0.5 * (low + high))
        q, last = floats(np.where(np.isnan(positive), np.nan, following)), q
        if np.all(~(np.abs(q - last) > _SOLVED * last)):
            break
    return q


@cache
def _quadrature() -> _Quadrature:
    return _Quadrature(*(floats(part) for n in (_OUTER_POINTS, _INNER_POINTS) for part in leggauss(n)))


def _certain(count: int) -> tuple[float, float]:
    """Return below which range all values never lie, and below which they always do, but for a chance of _TAIL."""
    never = 2.0 * ndtri(0.5 + 0.5 * (_TAIL / count) ** (1.0 / (count - 1)))
    return float(never), float(np.sqrt(2.0) * -ndtri(_TAIL / count**2))


@cache
def _interpolated_range(count: int) -> _NormalRange:
    """Return `_normal_range` as a polynomial: a quantile asks it a hundred thousand times."""
    ends = _certain(_several(count))

    def exact(w: Floats) -> Floats:
        return _normal_range(w, count)[0]

    below = Chebyshev.interpolate(exact, _RANGE_NODES - 1, domain=ends)
    slope = below.deriv()

    def interpolated(w: Floats) -> tuple[Floats, Floats]:
        inside = np.clip(w, *ends)
        return floats(below(inside)), floats(slope(inside))

    return interpolated


def _distribution(q: Floats, dof: Floats, count: int, normal_range: _NormalRange) -> tuple[Floats, Floats]:
    """Return distribution function and density at q, same shape."""
    never, always = _certain(_several(count))
    rule = _quadrature()
    q, dof = q[..., None], np.where(dof > 0.0, dof, np.nan)[..., None]
    unknown = np.isnan(q + dof)[..., 0]
    positive = np.where(q > 0.0, q, 1.0)
    half = floats(np.minimum(dof, _MANY) / 2.0)
    # Where the range itself is certain to be more than q s, or less, there is nothing to integrate.
    low = np.log(np.maximum(np.sqrt(gammaincinv(half, _TAIL) / half), never / positive))
    high = np.log(np.minimum(np.sqrt(gammainccinv(half, _TAIL) / half), always / positive))
    # Over ln s the density of s = chi/sqrt(dof) is smooth at both ends, for one degree of freedom as for a thousand.
    middle, reach = 0.5 * (high + low), np.maximum(0.5 * (high - low), 0.0)
    ln_s = floats(middle + reach * rule.outer)
    s = np.exp(ln_s)
    share = np.exp(_log_density(ln_s, half)) * reach * rule.outer_weight
    below, slope = normal_range(floats(positive * s))
    beyond = gammaincc(half, half * np.exp(2.0 * np.maximum(high, low)))[..., 0]
    reached = np.clip(np.sum(share * below, axis=-1) + beyond, 0.0, 1.0)
    above_zero = q[..., 0] > 0.0
    reached = np.where(unknown, np.nan, np.where(above_zero, reached, 0.0))
    return floats(reached), floats(np.where(above_zero, np.sum(share * s * slope, axis=-1), 0.0))


def _several(count: int) -> int:
    if count < 2:
        message = f"a range needs two values or more, not {count}"
        raise ValueError(message)
    return count


def _log_density(ln_s: Floats, half: Floats) -> Floats:
    """Return the logarithm of the density of ln s, s = chi/sqrt(dof), with half of the degrees of freedom.

    Written so that nothing large is taken from something large: 1e8 degrees of freedom leave all digits but two.
    """
    few = np.minimum(half, _STIRLING)
    by_gamma = few * np.log(few) - few - gammaln(few)
    by_stirling = (
        0.5 * np.log(half / (2.0 * np.pi)) - (1.0 / 12.0 - (1.0 / 360.0 - 1.0 / (1260.0 * half**2)) / half**2) / half
    )
    at_one = np.where(half < _STIRLING, by_gamma, by_stirling)
    return floats(np.log(2.0) + at_one + half * (2.0 * ln_s - np.expm1(2.0 * ln_s)))


def _normal_range(w: Floats, count: int) -> tuple[Floats, Floats]:
    """Return distribution and density of the range of `count` standard normal values, w above zero.

    P(range < w) = k * integral of phi(z) (Phi(z) - Phi(z - w))^(k-1), z the largest of them: [Copenhaver1988] eq. (1).
    """
    # The largest of the values lies between these but for a chance of _TAIL.
    low, high = float(ndtri((_TAIL / count) ** (1.0 / count))), float(-ndtri(_TAIL / count))
    rule = _quadrature()
    z = 0.5 * (high + low) + 0.5 * (high - low) * rule.inner
    at_z = 0.5 * (high - low) * rule.inner_weight * np.exp(-0.5 * z**2) / np.sqrt(2.0 * np.pi)
    lowest = z - w[..., None]
    between = np.maximum(ndtr(z) - ndtr(lowest), 0.0)
    power = at_z * between ** (count - 2)
    below = count * np.sum(power * between, axis=-1)
    slope = count * (count - 1) / np.sqrt(2.0 * np.pi) * np.sum(power * np.exp(-0.5 * lowest**2), axis=-1)
    return floats(below), floats(slope)
