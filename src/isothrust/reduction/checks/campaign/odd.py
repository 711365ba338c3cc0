"""Which of a few numbers stands apart from the others by more than they scatter, each held against the rest alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.recording import Floats
from isothrust.science.uncertainty import coverage_factor

__all__ = ["stands_apart"]

_MISSED = 1e-5
"""Share of good numbers, normally scattered, that may be called odd."""


def stands_apart(values: Sequence[float] | Floats, *, fewest: int, least_scatter: float = 0.0) -> Floats:
    """Return by how many critical widths each number stands off the mean of the others (n,), with its sign.

    Beyond 1 in size it is odd at a level that hardly a good one reaches, however few the others are; all zero where
    there are fewer than `fewest`. Good numbers are known to scatter by `least_scatter`, however alike the others are.
    """
    x = np.asarray(values, dtype=np.float64)
    if x.size < fewest:
        return np.zeros(x.size)
    others = x.size - 1
    mean = (x.sum() - x) / others
    square = np.maximum((np.sum(x**2) - x**2) - others * mean**2, 0.0) / (others - 1)
    by_others = float(coverage_factor(others - 1, level=1.0 - _MISSED)) * np.sqrt(square)
    by_custom = float(coverage_factor(np.inf, level=1.0 - _MISSED)) * least_scatter
    limit = np.maximum(by_others, by_custom) * np.sqrt(1.0 + 1.0 / others)
    return np.asarray((x - mean) / np.maximum(limit, 1e-300))
