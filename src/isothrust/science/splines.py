"""Cubic B-splines on any knots: basis, derivatives and the energies that penalties are made of."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "LocalCubic",
    "basis_matrix",
    "knots_at_sites",
    "local_cubic",
    "roughness_matrix",
    "slope_matrix",
    "stretch_matrix",
    "uniform_knots",
]

Floats = NDArray[np.float64]
_DEGREE = 3
_GAUSS_POINTS = np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)])
_GAUSS_WEIGHTS = np.array([5.0, 8.0, 5.0]) / 9.0


def uniform_knots(low: float, high: float, segments: int) -> Floats:
    """Return the full knot vector of a cubic spline with equal segments.

    Parameters
    ----------
    low, high
        Ends of the range [unit of x]; low < high.
    segments
        Number of polynomial pieces, at least 1.

    Returns
    -------
    ndarray
        Knots (segments + 7,), ends repeated four times.

    Raises
    ------
    ValueError
        Where the range is empty or there is no segment.

    Source
    ------
    [DeBoor2001], chapter IX (knot vectors with full end multiplicity).

    Examples
    --------
    >>> uniform_knots(0.0, 1.0, 2).tolist()
    [0.0, 0.0, 0.0, 0.0, 0.5, 1.0, 1.0, 1.0, 1.0]
    """
    if not low < high or segments < 1:
        message = f"need low < high and at least one segment, got {low}, {high}, {segments}"
        raise ValueError(message)
    inner = np.linspace(low, high, segments + 1)
    return np.concatenate([np.full(_DEGREE, low), inner, np.full(_DEGREE, high)])


def knots_at_sites(sites: ArrayLike) -> Floats:
    """Return a knot vector whose spline can pass through a value at every site.

    Parameters
    ----------
    sites
        Distinct rising abscissae (m,), m >= 2 [unit of x].

    Returns
    -------
    ndarray
        Knots (m + 6,): every site is a knot, ends repeated four times; p = m + 2 functions.

    Raises
    ------
    ValueError
        Where fewer than two sites are given or they do not rise.

    Source
    ------
    [DeBoor2001], chapter XIII (a basis that meets the Schoenberg-Whitney condition at its knots).
    """
    x = np.asarray(sites, dtype=np.float64)
    if x.size < 2 or not np.all(np.diff(x) > 0):
        message = "need at least two rising sites"
        raise ValueError(message)
    return np.concatenate([np.full(_DEGREE, x[0]), x, np.full(_DEGREE, x[-1])])


def _local_basis(x: Floats, knots: Floats, degree: int) -> tuple[Floats, NDArray[np.intp]]:
    """Return the `degree + 1` functions that are not zero at x, (n, degree + 1), and the index of the first."""
    last = knots.size - _DEGREE - 2
    span = np.minimum(np.maximum(np.searchsorted(knots, x, side="right") - 1, _DEGREE), last)
    values = np.ones((x.size, 1))
    for order in range(1, degree + 1):  # [DeBoor2001] eq. X.(4)-(6), the recurrence row by row
        raised = np.zeros((x.size, order + 1))
        for j in range(order):
            left = knots[span + j + 1 - order]
            right = knots[span + j + 1]
            part = values[:, j] / (right - left)
            raised[:, j] += part * (right - x)
            raised[:, j + 1] += part * (x - left)
        values = raised
    return values, span - degree


def basis_matrix(x: ArrayLike, knots: Floats, *, derivative: int = 0) -> Floats:
    """Return the cubic B-spline basis, or a derivative of it, at x.

    Parameters
    ----------
    x
        Abscissae (n,) [unit of the knots]; outside the knots the end pieces go on (callers refuse such x).
    knots
        Full knot vector (p + 4,), ends repeated four times.
    derivative
        0, 1 or 2.

    Returns
    -------
    ndarray
        (n, p) [1 over the unit of x to the power `derivative`].

    Source
    ------
    [DeBoor2001], chapter X, eq. (4)-(6) for the recurrence, eq. (15) for derivatives.

    Examples
    --------
    >>> basis_matrix([0.5], uniform_knots(0.0, 1.0, 1)).round(3).tolist()
    [[0.125, 0.375, 0.375, 0.125]]
    """
    points = np.atleast_1d(np.asarray(x, dtype=np.float64))
    knots = np.asarray(knots, dtype=np.float64)
    size = knots.size - _DEGREE - 1
    degree = _DEGREE - derivative
    values, first = _local_basis(points, knots, degree)
    # functions of the lower degree live on the same knots and number `derivative` more
    lower = np.zeros((points.size, size + derivative))
    rows = np.arange(points.size)[:, None]
    lower[rows, first[:, None] + np.arange(degree + 1)] = values
    for step in range(derivative):  # [DeBoor2001] eq. X.(15)
        order = degree + step + 1
        gap = knots[order : order + lower.shape[1]] - knots[: lower.shape[1]]
        with np.errstate(divide="ignore"):
            scale = np.where(gap > 0, order / np.where(gap > 0, gap, 1.0), 0.0)
        scaled = lower * scale
        lower = scaled[:, :-1] - scaled[:, 1:]
    return lower


class LocalCubic(NamedTuple):
    """One piece of a cubic spline: a0 + a1 t + a2 t^2 + a3 t^3 with t = (x - left) / width."""

    left: float
    """Knot at which the piece begins [unit of x]."""
    width: float
    """To the next knot [unit of x]."""
    coefficients: tuple[float, float, float, float]
    """a0 to a3 [unit of y]."""


def local_cubic(x: float, knots: Floats, coefficients: Floats) -> LocalCubic:
    """Return the polynomial that the spline is about x.

    Parameters
    ----------
    x
        Abscissa [unit of the knots].
    knots, coefficients
        Of one cubic spline with simple inner knots: (p + 4,), (p,).

    Returns
    -------
    LocalCubic
        The piece between the two knots about x; a knot belongs to the piece on its right, the last one to its left.

    Source
    ------
    [DeBoor2001], chapter X (from B-form to piecewise polynomial form, by derivatives at the left knot).

    Examples
    --------
    >>> piece = local_cubic(0.75, uniform_knots(0.0, 1.0, 2), np.array([0.0, 0.0, 0.0, 0.0, 1.0]))
    >>> piece.left, piece.width, [round(a, 12) for a in piece.coefficients]
    (0.5, 0.5, [0.0, 0.0, 0.0, 1.0])
    """
    last = knots.size - _DEGREE - 2
    span = int(np.clip(np.searchsorted(knots, x, side="right") - 1, _DEGREE, last))
    left, right = float(knots[span]), float(knots[span + 1])
    width = right - left
    value, slope, bend = (float(basis_matrix([left], knots, derivative=d)[0] @ coefficients) for d in range(3))
    # the second derivative is continuous and straight between knots: its two ends give the third
    bend_at_end = float(basis_matrix([right], knots, derivative=2)[0] @ coefficients)
    pieces = (value, slope * width, bend * width**2 / 2.0, (bend_at_end - bend) * width**2 / 6.0)
    return LocalCubic(left, width, pieces)


def _energy(knots: Floats, derivative: int, power: float) -> Floats:
    edges = np.unique(knots)
    middle = 0.5 * (edges[1:] + edges[:-1])
    half = 0.5 * np.diff(edges)
    x = (middle[:, None] + half[:, None] * _GAUSS_POINTS).ravel()
    w = (half[:, None] * _GAUSS_WEIGHTS).ravel()
    if power:
        w = w * np.abs(x / edges[-1]) ** power
    basis = basis_matrix(x, knots, derivative=derivative)
    return np.asarray(basis.T @ (w[:, None] * basis))


def roughness_matrix(knots: Floats, *, power: float = 0.0) -> Floats:
    """Return P with c' P c = integral of (x / x_end)^power times the squared second derivative.

    Parameters
    ----------
    knots
        Full knot vector (p + 4,).
    power
        0 for the plain penalty; above 0 the curve may bend more at small x, as a coefficient does at low Reynolds
        number [1].

    Returns
    -------
    ndarray
        (p, p); exact for a power of 0 or 1 (Gauss-Legendre with three points a segment).

    Source
    ------
    [GreenSilverman1994], section 2.1 (roughness penalty); the weight is ours.
    """
    return _energy(knots, 2, power)


def slope_matrix(knots: Floats) -> Floats:
    """Return S with c' S c = integral of the squared first derivative.

    Parameters
    ----------
    knots
        Full knot vector (p + 4,).

    Returns
    -------
    ndarray
        (p, p), exact (Gauss-Legendre with three points a segment).

    Source
    ------
    [GreenSilverman1994], section 2.1, with the first derivative in place of the second.
    """
    return _energy(knots, 1, 0.0)


def stretch_matrix(knots: Floats) -> Floats:
    """Return M: coefficients of x f' in the basis of f are M c.

    Parameters
    ----------
    knots
        Full knot vector (p + 4,) [unit of x].

    Returns
    -------
    ndarray
        (p, p) [1], by least squares on a fine grid: exact for a cubic within each segment, smoothed across knots.

    Source
    ------
    Euler's operator x d/dx; least squares, [DeBoor2001] chapter XIV.

    Examples
    --------
    >>> knots = uniform_knots(1.0, 2.0, 3)
    >>> line = np.array([1.0, 10 / 9, 4 / 3, 5 / 3, 17 / 9, 2.0])  # Greville abscissae: the spline x itself
    >>> bool(np.allclose(stretch_matrix(knots) @ line, line))
    True
    """
    grid = np.linspace(knots[0], knots[-1], 6 * knots.size)
    values = basis_matrix(grid, knots)
    slopes = basis_matrix(grid, knots, derivative=1) * grid[:, None]
    return np.asarray(np.linalg.solve(values.T @ values, values.T @ slopes))
