"""Which of a few numbers, or which half of them, stands apart from the others by more than they scatter."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.recording import Floats
from isothrust.science.uncertainty import coverage_factor

__all__ = ["levels_apart", "stands_apart"]

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


def levels_apart(first: Sequence[float] | Floats, second: Sequence[float] | Floats) -> float:
    """Return by how many critical widths the means of two groups differ, from their common scatter (Student 1908).

    Zero where nothing is left to tell the scatter by.
    """
    groups = [np.asarray(group, dtype=np.float64) for group in (first, second)]
    freedom = sum(group.size for group in groups) - 2
    if freedom < 1 or not all(group.size for group in groups):
        return 0.0
    square = sum(float(np.sum((group - group.mean()) ** 2)) for group in groups) / freedom
    width = float(coverage_factor(freedom, level=1.0 - _MISSED)) * np.sqrt(square * sum(1.0 / g.size for g in groups))
    return float(abs(groups[0].mean() - groups[1].mean()) / max(width, 1e-300))
