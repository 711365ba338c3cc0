"""Combining uncertainties: budgets by key, correlations, effective degrees of freedom, coverage.

A budget is three parallel things: `keys`, what each error is common to; `contributions`, the signed effect of one
standard uncertainty of each; and their `degrees_of_freedom`, infinite for a stated uncertainty. Equal keys mean the
same error, so their contributions add with their signs before anything is squared. Errors that are independent may
still owe their size to one estimate, a pooled scatter for instance: equal `estimates` say so, and its degrees of
freedom then count once and not once an error.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from isothrust.science.arrays import Floats, floats

__all__ = [
    "Combined",
    "Merged",
    "combine",
    "combine_correlated",
    "combine_difference",
    "coverage_factor",
    "coverage_interval",
    "merge_by_key",
    "welch_satterthwaite",
]


class Combined(NamedTuple):
    """Standard uncertainty [unit of the contributions] and effective degrees of freedom [1]."""

    uncertainty: Floats
    degrees_of_freedom: Floats


class Merged(NamedTuple):
    """A budget in which each key stands once, in order of first appearance."""

    keys: tuple[str, ...]
    contributions: Floats
    degrees_of_freedom: Floats
    first: tuple[int, ...]
    """Where each key stood first."""


def merge_by_key(keys: Sequence[str], contributions: ArrayLike, degrees_of_freedom: ArrayLike) -> Merged:
    """Return the budget with the contributions of equal keys added up, signs kept.

    Parameters
    ----------
    keys
        What each error is common to, length n.
    contributions
        Signed effect of one standard uncertainty of each, shape (n, ...) [unit of the result].
    degrees_of_freedom
        Broadcastable to the contributions; where one key was given with several, the least counts [1].

    Returns
    -------
    Merged
        Contributions and degrees of freedom of shape (m, ...), m the number of different keys.

    Raises
    ------
    ValueError
        If the number of keys is not the length of the contributions' first axis.

    Source
    ------
    [GUM] 5.2.2: fully correlated inputs add linearly.

    Examples
    --------
    >>> merged = merge_by_key(["scale", "zero", "scale"], [3.0, 1.0, -3.0], np.inf)
    >>> merged.keys, merged.contributions.tolist()
    (('scale', 'zero'), [0.0, 1.0])
    """
    c = floats(contributions)
    if c.ndim == 0 or c.shape[0] != len(keys):
        message = f"{len(keys)} keys for contributions of shape {c.shape}"
        raise ValueError(message)
    dof = _along_first_axis(degrees_of_freedom, c)
    first: dict[str, int] = {}
    for i, key in enumerate(keys):
        first.setdefault(key, i)
    names = tuple(first)
    place = {name: i for i, name in enumerate(names)}
    index = np.array([place[key] for key in keys], dtype=np.intp)
    total = np.zeros((len(names), *c.shape[1:]))
    least = np.full(total.shape, np.inf)
    np.add.at(total, index, c)
    np.minimum.at(least, index, dof)
    return Merged(names, total, least, tuple(first.values()))


def combine(
    keys: Sequence[str],
    contributions: ArrayLike,
    degrees_of_freedom: ArrayLike,
    *,
    estimates: Sequence[str] | None = None,
) -> Combined:
    """Return the combined standard uncertainty of a budget and its effective degrees of freedom.

    Parameters
    ----------
    keys
        What each error is common to, length n.
    contributions
        Signed effect of one standard uncertainty of each, shape (n, ...) [unit of the result].
    degrees_of_freedom
        Broadcastable to the contributions [1].
    estimates
        Which estimate each uncertainty came from, length n; left out: each from its own.

    Returns
    -------
    Combined
        Each of shape (...).

    Raises
    ------
    ValueError
        If the number of keys is not the length of the contributions' first axis.

    Source
    ------
    [GUM] equation (10) after the errors that are common have been added up (5.2.2), and equation (G.2b).

    Examples
    --------
    >>> total = combine(["T", "rho", "n"], [0.25, 0.57, 0.82], [9, 4, 14])
    >>> f"{total.uncertainty:.4f} {total.degrees_of_freedom:.3f}"
    '1.0295 18.999'
    """
    merged = merge_by_key(keys, contributions, degrees_of_freedom)
    u = floats(np.sqrt(np.sum(merged.contributions**2, axis=0)))
    names = None if estimates is None else [estimates[i] for i in merged.first]
    return Combined(u, welch_satterthwaite(merged.contributions, merged.degrees_of_freedom, estimates=names))


def combine_difference(
    keys: tuple[Sequence[str], Sequence[str]],
    contributions: tuple[ArrayLike, ArrayLike],
    degrees_of_freedom: tuple[ArrayLike, ArrayLike],
    *,
    estimates: tuple[Sequence[str], Sequence[str]] | None = None,
) -> Combined:
    """Return the standard uncertainty of a - b, in which errors with a common key cancel as far as they really do.

    Parameters
    ----------
    keys
        Keys of a's budget and of b's.
    contributions
        Of a and of b, shapes (n, ...) and (m, ...) [unit of the result].
    degrees_of_freedom
        Of a and of b, broadcastable to the contributions [1].
    estimates
        Of a and of b: which estimate each uncertainty came from; left out: each from its own.

    Returns
    -------
    Combined
        Each of shape (...).

    Raises
    ------
    ValueError
        If a number of keys is not the length of its contributions' first axis.

    Source
    ------
    [GUM] 5.2.2: u^2 is the sum over keys of (c_a - c_b)^2.

    Examples
    --------
    >>> u = combine_difference((["scale", "a"], ["scale", "b"]), ([3.0, 1.0], [3.2, 1.0]), (np.inf, [4.0, 4.0]))
    >>> f"{u.uncertainty:.4f}"
    '1.4283'
    """
    a, b = floats(contributions[0]), floats(contributions[1])
    dof = [_along_first_axis(d, c) for d, c in zip(degrees_of_freedom, (a, b), strict=True)]
    names = None if estimates is None else [*estimates[0], *estimates[1]]
    return combine([*keys[0], *keys[1]], np.concatenate([a, -b]), np.concatenate(dof), estimates=names)


def combine_correlated(sensitivities: ArrayLike, uncertainties: ArrayLike, correlation: ArrayLike) -> Floats:
    """Return the combined standard uncertainty of a result whose inputs are correlated.

    Parameters
    ----------
    sensitivities
        Partial derivatives of the result by each input, shape (..., n) [unit of the result per unit of the input].
    uncertainties
        Standard uncertainties of the inputs, shape (..., n) [unit of each input].
    correlation
        Correlation coefficients, shape (..., n, n) [1].

    Returns
    -------
    numpy.ndarray
        Shape (...) [unit of the result].

    Source
    ------
    [GUM] equation (16).

    Examples
    --------
    >>> f"{combine_correlated([1.0, -1.0], [0.3, 0.4], [[1.0, 0.5], [0.5, 1.0]]):.4f}"
    '0.3606'
    """
    c = floats(sensitivities) * floats(uncertainties)
    variance = np.einsum("...i,...ij,...j->...", c, floats(correlation), c)
    # Rounding may leave a variance that should be nil a hair below it.
    return floats(np.sqrt(np.where(variance > -1e-12 * np.sum(c**2, axis=-1), np.maximum(variance, 0.0), np.nan)))


def welch_satterthwaite(
    contributions: ArrayLike, degrees_of_freedom: ArrayLike, *, estimates: Sequence[str] | None = None
) -> Floats:
    """Return the effective degrees of freedom of a sum of independent contributions.

    Parameters
    ----------
    contributions
        Standard uncertainties, signs do not matter, shape (n, ...) [unit of the result].
    degrees_of_freedom
        Broadcastable to the contributions; infinite for a stated uncertainty [1].
    estimates
        Which estimate each uncertainty came from, length n: equal names share one estimate, and the least degrees of
        freedom among them. Left out: each from its own.

    Returns
    -------
    numpy.ndarray
        Shape (...); infinite where everything that counts is stated, or where all contributions are nil [1].

    Source
    ------
    [GUM] equation (G.2b). Deviations: not cut to an integer, since `coverage_factor` takes any number; variances that
    come from one estimate are added up before their share is squared, since they are wrong together.

    Examples
    --------
    >>> f"{welch_satterthwaite([0.25, 0.57, 0.82], [9, 4, 14]):.4f}"
    '18.9987'
    >>> f"{welch_satterthwaite([1.0, 1.0], 8):.0f} {welch_satterthwaite([1.0, 1.0], 8, estimates=['s', 's']):.0f}"
    '16 8'
    """
    c = floats(contributions)
    dof = _along_first_axis(degrees_of_freedom, c)
    squares = c**2
    total = np.sum(squares, axis=0)
    # In shares of the total, so that neither very small nor very large units under- or overflow in the fourth power.
    share = squares / np.where(total > 0.0, total, 1.0)
    if estimates is not None:
        labels = [str(name) for name in estimates]
        merged = merge_by_key(labels, share, np.where(share == 0.0, np.inf, dof))
        share, dof = merged.contributions, merged.degrees_of_freedom
    with np.errstate(divide="ignore", invalid="ignore"):
        penalty = np.sum(np.where(share == 0.0, 0.0, share**2 / dof), axis=0)
        effective = 1.0 / penalty
    return floats(np.where(np.isnan(total), np.nan, effective))


def coverage_factor(degrees_of_freedom: ArrayLike, *, level: float = 0.95) -> Floats:
    """Return the half-width, in standard uncertainties, of the interval that holds the truth with this probability.

    Parameters
    ----------
    degrees_of_freedom
        Any shape, fractions allowed, infinite for the normal distribution [1].
    level
        Probability of coverage, two-sided [1].

    Returns
    -------
    numpy.ndarray
        Same shape [1].

    Source
    ------
    [GUM] G.3.2 and table G.2: Student's distribution.

    Examples
    --------
    >>> [f"{k:.2f}" for k in coverage_factor([1, 5, 30, np.inf])]
    ['12.71', '2.57', '2.04', '1.96']
    """
    dof = floats(degrees_of_freedom)
    return floats(stdtrit(np.where(dof > 0.0, dof, np.nan), 0.5 + level / 2.0))


def coverage_interval(
    value: ArrayLike, uncertainty: ArrayLike, degrees_of_freedom: ArrayLike = np.inf, *, level: float = 0.95
) -> tuple[Floats, Floats]:
    """Return the two ends of the interval that holds the truth with this probability.

    Parameters
    ----------
    value
        Any shape [any unit].
    uncertainty
        Standard uncertainty, broadcastable [same unit].
    degrees_of_freedom
        Broadcastable [1].
    level
        Probability of coverage [1].

    Returns
    -------
    tuple of numpy.ndarray
        Low and high end, broadcast shape [same unit].

    Source
    ------
    [GUM] equation (G.1d).

    Examples
    --------
    >>> [f"{end:.3f}" for end in coverage_interval(10.0, 1.0, 5)]
    ['7.429', '12.571']
    """
    v = floats(value)
    half = coverage_factor(degrees_of_freedom, level=level) * floats(uncertainty)
    return floats(v - half), floats(v + half)


def _along_first_axis(degrees_of_freedom: ArrayLike, contributions: Floats) -> Floats:
    """Return the degrees of freedom in the contributions' shape; a one-dimensional list runs along the sources."""
    dof = floats(degrees_of_freedom)
    if dof.ndim == 1 and contributions.ndim > 1:
        dof = dof.reshape(-1, *(1,) * (contributions.ndim - 1))
    return floats(np.broadcast_to(dof, contributions.shape))
