"""How a scatter grows with what is measured: sqrt(a^2 + (b value)^2)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = ["ScatterForm", "fit_scatter_form", "scatter"]

_PASSES = 50


class ScatterForm(NamedTuple):
    """Standard deviation sqrt(a^2 + (b value)^2): fixed part [unit of the value] and part in proportion [1]."""

    fixed: float
    proportional: float


def scatter(form: ScatterForm, values: ArrayLike) -> Floats:
    """Return the standard deviation that a form gives at these values.

    Parameters
    ----------
    form
        Fixed part and part in proportion.
    values
        Any shape [any unit].

    Returns
    -------
    numpy.ndarray
        Same shape [same unit].

    Source
    ------
    Definition.

    Examples
    --------
    >>> f"{scatter(ScatterForm(0.03, 0.004), 10.0):.3f}"
    '0.050'
    """
    return floats(np.hypot(form.fixed, form.proportional * floats(values)))


def fit_scatter_form(values: ArrayLike, variances: ArrayLike, degrees_of_freedom: ArrayLike = 1.0) -> ScatterForm:
    """Return the fixed and the proportional part that explain variances found at several values, neither below nil.

    Parameters
    ----------
    values
        What was measured, shape (k,) [any unit].
    variances
        Found at each, shape (k,); what is not a number is left out [that unit, squared].
    degrees_of_freedom
        Of each variance, broadcastable; what is infinite or nil counts as one [1].

    Returns
    -------
    ScatterForm
        Both not a number where no variance is left.

    Source
    ------
    [McCullaghNelder1989] chapter 8: maximum likelihood for variances (gamma errors), by reweighted least squares.

    Examples
    --------
    >>> form = fit_scatter_form([1.0, 2.0, 5.0], [0.01 + 0.0004, 0.01 + 0.0016, 0.01 + 0.01])
    >>> f"{form.fixed:.4f} {form.proportional:.4f}"
    '0.1000 0.0200'
    """
    x, y = floats(values) ** 2, floats(variances)
    dof = np.broadcast_to(floats(degrees_of_freedom), y.shape)
    dof = np.where(np.isfinite(dof) & (dof > 0.0), dof, 1.0)
    keep = np.isfinite(x) & np.isfinite(y) & (y >= 0.0)
    x, y, dof = x[keep], y[keep], dof[keep]
    if not y.size:
        return ScatterForm(float("nan"), float("nan"))
    if not np.any(y > 0.0):
        return ScatterForm(0.0, 0.0)
    # In units of their own means, so that neither micro- nor mega-anything under- or overflows in the fourth power.
    x_unit, y_unit = float(np.mean(x)) or 1.0, float(np.average(y, weights=dof))
    x, y = x / x_unit, y / y_unit
    fitted, parts = np.ones_like(y), (0.0, 0.0)
    for _ in range(_PASSES):
        # Where almost nothing was fitted, a variance of nil must not take all the weight.
        weights = dof / np.maximum(fitted, 1e-3 * fitted.max()) ** 2
        parts, last = _two_parts(x, y, floats(weights)), parts
        fitted = parts[0] + parts[1] * x
        if np.allclose(parts, last, rtol=1e-10, atol=0.0):
            break
    return ScatterForm(float(np.sqrt(parts[0] * y_unit)), float(np.sqrt(parts[1] * y_unit / x_unit)))


def _two_parts(x: Floats, y: Floats, w: Floats) -> tuple[float, float]:
    """Return alpha and beta of y = alpha + beta x by weighted least squares, neither below nil."""
    s0, s1, s2 = float(np.sum(w)), float(np.sum(w * x)), float(np.sum(w * x * x))
    t0, t1 = float(np.sum(w * y)), float(np.sum(w * x * y))
    determinant = s0 * s2 - s1 * s1
    if determinant > 1e-12 * s0 * s2:
        alpha, beta = (s2 * t0 - s1 * t1) / determinant, (s0 * t1 - s1 * t0) / determinant
        if alpha >= 0.0 and beta >= 0.0:
            return alpha, beta
    # One part alone: the one that leaves less, which is the one that explains more (t^2/s).
    fixed = t0 * t0 / s0
    proportional = t1 * t1 / s2 if s2 > 0.0 else 0.0
    return (0.0, t1 / s2) if proportional >= fixed else (t0 / s0, 0.0)
