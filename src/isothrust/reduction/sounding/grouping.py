"""Frames gathered where the speed is much the same: what ratios of powers are taken of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.reduction.sounding.frames import Frames

__all__ = ["Groups", "groups_of"]

_STEPS: Final = 24
"""Of a ramp: a third of a second each on one of eight seconds."""


@dataclass(frozen=True, slots=True)
class Groups:
    """Which group each frame belongs to, and what is common to a group."""

    number: NDArray[np.intp]
    """Of each frame (m,)."""
    count: Floats
    """Frames in each group (k,)."""
    x: Floats
    """Mean of each group (k,)."""
    segment: NDArray[np.int64]
    """A hold's own number, the same for all of a ramp (k,)."""

    def mean(self, values: Floats) -> Floats:
        """Return the mean of each group (k, …); NaN where more than half of its frames have no value."""
        known = np.isfinite(values)
        total = np.zeros((self.count.size, *values.shape[1:]))
        heard = np.zeros_like(total)
        np.add.at(total, self.number, np.where(known, values, 0.0))
        np.add.at(heard, self.number, known.astype(np.float64))
        enough = heard >= 0.5 * self.count.reshape((-1,) + (1,) * (values.ndim - 1))
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray(np.where(enough, total / heard, np.nan))


def groups_of(frames: Frames, *, parts: int = 1, holding: bool) -> Groups:
    """Return the frames gathered: each hold in as many parts, or a ramp in even steps of speed."""
    if holding:
        key = np.zeros(frames.x.size, dtype=np.int64)
        for segment in np.unique(frames.segment):
            at = np.flatnonzero(frames.segment == segment)
            key[at] = segment * parts + (np.arange(at.size) * parts) // at.size
    else:
        low, high = float(frames.x.min()), float(frames.x.max())
        width = max((high - low) / _STEPS, 1e-9 * high)
        key = np.minimum(((frames.x - low) / width).astype(np.int64), _STEPS - 1)
    names, number = np.unique(key, return_inverse=True)
    count = np.bincount(number).astype(np.float64)
    x = np.bincount(number, weights=frames.x) / count
    segment = names // parts if holding else np.ones(names.size, dtype=np.int64)
    return Groups(number.astype(np.intp), count, x, segment)
