"""Finding the throttle where no head names it: a command moves without noise, and the rest moves with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from isothrust.ingest.mapping.values import Facts
from isothrust.science.association import rank_correlation

__all__ = ["found_throttle", "is_quiet"]

_Floats = NDArray[np.float64]
_FEWEST = 60
_FOLLOW = 0.75


def found_throttle(columns: Sequence[_Floats], facts: Mapping[int, Facts], taken: frozenset[int]) -> int | None:
    """Return the place of the one column that commands the others, None where there is none or no telling which.

    A command moves straight or not at all between its corners, and at least two other columns go up or down with it.
    `taken` are the clock, counters, and what heads call something else.
    """
    quiet = [
        place for place, values in enumerate(columns) if place in facts and place not in taken and is_quiet(values)
    ]
    followed = {}
    for place in quiet:
        others = [
            abs(rank_correlation(columns[place], columns[other]))
            for other in facts
            if other != place and other not in taken and facts[other].distinct > 8
        ]
        strong = [value for value in others if value >= _FOLLOW]
        if len(strong) >= 2:
            followed[place] = float(np.sum(strong))
    best = sorted(followed, key=lambda place: followed[place], reverse=True)
    if len(best) > 1 and followed[best[1]] > 0.97 * followed[best[0]]:
        return None
    return best[0] if best else None


def is_quiet(values: _Floats) -> bool:
    """Say whether a column has the marks of a command: no noise, and levels that a person chose or a straight rise."""
    known = values[np.isfinite(values)]
    if known.size < _FEWEST or np.unique(known).size < 4 or known.min() < 0.0:
        return False
    span = float(known.max() - known.min())
    resting = float(np.mean(np.abs(np.diff(known)) <= 1e-9 * span))
    levels, counts = np.unique(known, return_counts=True)
    digit = max(float(np.diff(levels).min()), 1e-6 * span)
    straight = float(np.mean(np.abs(np.diff(known, n=2)) <= 1.01 * digit))
    held = float(counts[counts >= 12].sum() / known.size) if levels.size <= 200 else 0.0
    stair = resting > 0.9 and held > 0.9 and levels.size >= 5 and _chosen(known, levels, counts)
    # A ramp: nearly everywhere straight to its last digit, with a slope of its own and a rest.
    ramp = straight > 0.97 and 0.02 < resting < 0.98 and levels.size > 50
    return stair or ramp


def _chosen(known: _Floats, levels: _Floats, counts: NDArray[np.intp]) -> bool:
    """Say whether a person chose the levels: steps of one size, larger than the last digit, held about as long each."""
    steps = np.diff(levels)
    usual = float(np.median(steps))
    whole = bool(np.all(known == np.round(known)))
    even = float(np.mean(np.abs(steps - usual) <= 0.05 * usual)) > 0.8
    inner = counts[1:-1]
    alike = float(np.mean(np.abs(inner - np.median(inner)) <= 0.3 * np.median(inner))) > 0.7
    return even and alike and (not whole or usual >= 2.0)
