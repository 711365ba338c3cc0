"""Who is really better than whom: family-wise intervals for all pairs, and ties."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.studentized import studentized_range_distribution, studentized_range_quantile

__all__ = [
    "PairIntervals",
    "pair_intervals",
    "place_numbers",
    "places",
    "studentized_range_distribution",
    "studentized_range_quantile",
    "tied_pairs",
    "tied_with",
]


class PairIntervals(NamedTuple):
    """All pairs of k estimates: first index less second index, each of shape (..., k, k)."""

    difference: Floats
    half_width: Floats
    """Of the family-wise interval; not a number where a pair cannot be compared."""
    real: Bools
    """True where the family-wise interval excludes zero."""


def pair_intervals(
    values: ArrayLike, uncertainties: ArrayLike, degrees_of_freedom: ArrayLike, *, level: float = 0.95
) -> PairIntervals:
    """Return all differences with intervals that all hold together with this probability.

    Parameters
    ----------
    values
        Estimates to be ranked, shape (..., k): one family for each condition [any unit].
    uncertainties
        Standard uncertainty of each difference, what is common already taken out, shape (..., k, k) [same unit].
    degrees_of_freedom
        Of each of these, broadcastable to (..., k, k) [1].
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
    difference = floats(v[..., :, None] - v[..., None, :])
    counts = np.sum(np.isfinite(v), axis=-1)
    factor = np.full(u.shape, np.nan)
    for count in np.unique(counts[counts > 1]):
        families = counts == count
        factor[families] = studentized_range_quantile(level, int(count), dof[families]) / np.sqrt(2.0)
    half = floats(np.where(np.isfinite(difference), factor * u, np.nan))
    apart = ~np.eye(v.shape[-1], dtype=bool)
    return PairIntervals(difference, half, np.asarray(apart & (np.abs(difference) > half)))


def place_numbers(difference: ArrayLike, real: ArrayLike, *, more_is_better: bool) -> NDArray[np.intp]:
    """Return each one's place: one more than the number that are really better.

    Parameters
    ----------
    difference
        First index less second, shape (..., k, k) [any unit].
    real
        True where a difference is real, shape (..., k, k).
    more_is_better
        True where the greater value wins.

    Returns
    -------
    numpy.ndarray
        Shape (..., k); those whom nobody really beats share place 1 [1].

    Source
    ------
    Definition.

    Examples
    --------
    >>> place_numbers([[0.0, 5.0], [-5.0, 0.0]], [[False, True], [True, False]], more_is_better=True).tolist()
    [1, 2]
    """
    d = floats(difference) if more_is_better else -floats(difference)
    return np.asarray(1 + np.sum(np.asarray(real, dtype=bool) & (d < 0.0), axis=-1), dtype=np.intp)


def tied_pairs(difference: ArrayLike, real: ArrayLike) -> Bools:
    """Return who cannot be told apart from whom.

    Parameters
    ----------
    difference
        First index less second, shape (..., k, k); what is not a number is no tie, since nothing is known [any unit].
    real
        True where a difference is real, shape (..., k, k).

    Returns
    -------
    numpy.ndarray
        True for ties, shape (..., k, k); nobody ties with himself.

    Source
    ------
    Definition.

    Examples
    --------
    >>> tied_pairs([[0.0, 1.0], [-1.0, 0.0]], [[False, False], [False, False]]).tolist()
    [[False, True], [True, False]]
    """
    ties = ~np.asarray(real, dtype=bool) & np.isfinite(floats(difference))
    return np.asarray(ties & ~np.eye(ties.shape[-1], dtype=bool))


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
    return tuple(int(number) for number in place_numbers(difference, real, more_is_better=more_is_better))


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
    ties = tied_pairs(difference, real)
    return tuple(tuple(int(other) for other in np.flatnonzero(row)) for row in ties)
