"""A value with its gradient by every curve's coefficients: the chain rule, carried along by the arithmetic.

A figure is a product of powers of fitted curves and of the speed, and at a fixed thrust the speed is itself a function
of the thrust curve. Writing each formula once, on values that know their gradient, gives the exact derivative of every
figure without a second formula that could disagree with the first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.curve import SmoothCurve
from isothrust.records.recording import Floats
from isothrust.science.splines import basis_matrix

__all__ = ["Sensitive", "curve_at", "evaluate_curve", "within"]

RANGE_TOLERANCE = 1e-9
"""Relative; a condition that was typed as the measured limit itself counts as measured."""


@dataclass(frozen=True, slots=True)
class Sensitive:
    """Values (m,) and, by curve name, their derivatives by the curve's coefficients (m, p)."""

    value: Floats
    gradient: Mapping[str, Floats]

    def __mul__(self, other: Sensitive | float) -> Sensitive:
        """Return the product."""
        if not isinstance(other, Sensitive):
            return Sensitive(self.value * other, {name: part * other for name, part in self.gradient.items()})
        return Sensitive(
            self.value * other.value, _add(_scaled(self.gradient, other.value), _scaled(other.gradient, self.value))
        )

    __rmul__ = __mul__

    def __pow__(self, exponent: float) -> Sensitive:
        """Return the power; NaN where a negative value has no real one."""
        with np.errstate(invalid="ignore", divide="ignore"):
            slope = exponent * self.value ** (exponent - 1.0)
            return Sensitive(self.value**exponent, _scaled(self.gradient, slope))

    def __truediv__(self, other: Sensitive | float) -> Sensitive:
        """Return the quotient."""
        return self * (other**-1.0)

    def exp(self) -> Sensitive:
        """Return the exponential."""
        value = np.exp(self.value)
        return Sensitive(value, _scaled(self.gradient, value))

    @classmethod
    def constant(cls, value: Floats) -> Sensitive:
        """Return values that depend on no curve."""
        return cls(np.asarray(value, dtype=np.float64), {})


def _scaled(gradient: Mapping[str, Floats], factor: Floats) -> dict[str, Floats]:
    return {name: part * factor[:, None] for name, part in gradient.items()}


def _add(first: Mapping[str, Floats], second: Mapping[str, Floats]) -> dict[str, Floats]:
    total = dict(first)
    for name, part in second.items():
        total[name] = total[name] + part if name in total else part
    return total


def evaluate_curve(curve: SmoothCurve, x: Floats, *, derivative: int = 0) -> Floats:
    """Return the curve's ordinate (or derivative) at x (m,), NaN outside its measured range."""
    inside = within(curve, x)
    safe = np.minimum(np.maximum(np.where(inside, x, curve.low), curve.low), curve.high)
    values = basis_matrix(safe, curve.knots, derivative=derivative) @ curve.coefficients
    return np.where(inside, values, np.nan)


def within(curve: SmoothCurve, x: Floats) -> NDArray[np.bool_]:
    """Say where x lies inside the curve's measured range."""
    slack = RANGE_TOLERANCE * max(abs(curve.low), abs(curve.high))
    with np.errstate(invalid="ignore"):
        return (x >= curve.low - slack) & (x <= curve.high + slack)


def curve_at(curve: SmoothCurve, x: Sensitive) -> Sensitive:
    """Return the curve's ordinate at x, with the gradient by its own coefficients and through x."""
    inside = within(curve, x.value)
    safe = np.minimum(np.maximum(np.where(inside, x.value, curve.low), curve.low), curve.high)
    basis = basis_matrix(safe, curve.knots)
    slope = basis_matrix(safe, curve.knots, derivative=1) @ curve.coefficients
    value = np.where(inside, basis @ curve.coefficients, np.nan)
    return Sensitive(value, _add({curve.name: basis}, _scaled(x.gradient, slope)))
