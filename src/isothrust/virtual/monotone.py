"""Monotone interpolation of tables: what the simulated propellers are made of.

Written here on its own, so that nothing the simulated stand is made of is shared with the code that it tries.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "Monotone"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Monotone:
    """A table y(x) joined by cubic pieces that never overshoot (Fritsch and Carlson's rule); level beyond its ends."""

    x: Floats
    """Rising, (n,)."""
    y: Floats
    slopes: Floats
    """dy/dx at the points."""

    @classmethod
    def through(cls, x: Floats, y: Floats) -> Monotone:
        """Join the points (x, y)."""
        return cls(x, y, _slopes(x, y))

    def __call__(self, x: Floats | float) -> Floats:
        """Return y at x, any shape."""
        at = np.minimum(np.maximum(np.asarray(x, dtype=np.float64), self.x[0]), self.x[-1])
        k = np.minimum(np.maximum(np.searchsorted(self.x, at, side="right") - 1, 0), self.x.size - 2)
        width = self.x[k + 1] - self.x[k]
        s = (at - self.x[k]) / width
        left, right = self.y[k], self.y[k + 1]
        d_left, d_right = self.slopes[k] * width, self.slopes[k + 1] * width
        value = (
            left * (1 + 2 * s) * (1 - s) ** 2
            + d_left * s * (1 - s) ** 2
            + right * s**2 * (3 - 2 * s)
            + d_right * s**2 * (s - 1)
        )
        return np.asarray(value, dtype=np.float64)


def _slopes(x: Floats, y: Floats) -> Floats:
    """Weighted harmonic means of the neighbouring chords, zero where they differ in sign."""
    width = np.diff(x)
    chord = np.diff(y) / width
    slopes = np.empty_like(y)
    slopes[0], slopes[-1] = chord[0], chord[-1]
    before, after = chord[:-1], chord[1:]
    same = before * after > 0
    weight_before = 2 * width[1:] + width[:-1]
    weight_after = width[1:] + 2 * width[:-1]
    inner = np.zeros_like(before)
    np.divide(
        weight_before + weight_after,
        weight_before / np.where(same, before, 1.0) + weight_after / np.where(same, after, 1.0),
        out=inner,
        where=same,
    )
    slopes[1:-1] = inner
    return slopes
