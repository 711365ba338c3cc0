"""How one column moves with another: rank correlation, and the power with which one rises as the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["power_exponent", "rank_correlation"]


def rank_correlation(x: NDArray[np.float64], y: NDArray[np.float64]) -> float:
    """Return Spearman's rank correlation of two columns: 1 where both rise together, -1 where one falls.

    Parameters
    ----------
    x, y
        Readings, shape (n,), in any unit; ties share their mean rank [1].

    Returns
    -------
    float
        Between -1 and 1; NaN where fewer than three pairs are finite or one of the two does not move [1].

    Validity
    --------
    Any readings: it depends on their order alone, and so neither on unit nor on zero.

    Source
    ------
    The Pearson correlation of the mean ranks, by definition; from memory.

    Examples
    --------
    >>> rank_correlation(np.array([1.0, 2.0, 3.0, 4.0]), np.array([1.0, 4.0, 9.0, 16.0]))
    1.0
    >>> rank_correlation(np.array([1.0, 2.0, 3.0]), np.array([1.0, 3.0, 2.0]))
    0.5
    """
    known = np.isfinite(x) & np.isfinite(y)
    if np.count_nonzero(known) < 3:
        return float("nan")
    first, second = _mean_ranks(x[known]), _mean_ranks(y[known])
    first, second = first - first.mean(), second - second.mean()
    scale = float(np.sqrt(np.sum(first**2) * np.sum(second**2)))
    return float(np.sum(first * second)) / scale if scale > 0.0 else float("nan")


def power_exponent(x: NDArray[np.float64], y: NDArray[np.float64]) -> float:
    """Return the exponent k of y = c x^k through readings that are both positive, by least squares of the logarithms.

    Parameters
    ----------
    x, y
        Readings above their rest, shape (n,), in any unit.

    Returns
    -------
    float
        k, NaN where fewer than five pairs are positive, or where x spans less than a factor of 1.5 [1].

    Validity
    --------
    Where one power law holds over the readings.

    Source
    ------
    Least squares of the logarithms, by definition; from memory.

    Examples
    --------
    >>> x = np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    >>> power_exponent(x, 3.0 * x**2)
    2.0
    """
    usable = np.isfinite(x) & np.isfinite(y) & (x > 0.0) & (y > 0.0)
    if np.count_nonzero(usable) < 5 or x[usable].max() < 1.5 * x[usable].min():
        return float("nan")
    across, up = np.log(x[usable]), np.log(y[usable])
    across = across - across.mean()
    return float(np.sum(across * (up - up.mean())) / np.sum(across**2))


def _mean_ranks(values: NDArray[np.float64]) -> NDArray[np.float64]:
    _, places, counts = np.unique(values, return_inverse=True, return_counts=True)
    last = np.cumsum(counts)
    ranks: NDArray[np.float64] = (last - 0.5 * (counts - 1))[places]
    return ranks
