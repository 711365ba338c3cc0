"""Means over settled holds, as recorded."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.records.reduced import HoldPoint
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.spells import POINTS

__all__ = ["hold_points"]

_KEPT = ("throttle", "speed", "thrust", "torque", "voltage", "current")


def hold_points(prepared: Prepared) -> tuple[HoldPoint, ...]:
    """Return one point for each steady spell of a run of kind holds, or each row where rows are working points."""
    if prepared.job.run.kind != "holds":
        return ()
    spells, bins = prepared.spells, prepared.bins
    # rows so far apart that each is a working point are holds by themselves
    segment = np.where(spells.steady, np.cumsum(spells.steady), 0) if bins.width >= POINTS else spells.segment
    count = int(segment.max(initial=0)) + 1
    of = np.flatnonzero(segment)
    first = np.full(count, np.inf)
    last = np.full(count, -np.inf)
    np.minimum.at(first, segment[of], bins.time[of])
    np.maximum.at(last, segment[of], bins.time[of])
    means = {name: _means(bins.get(name), segment, count) for name in _KEPT}
    return tuple(
        HoldPoint(float(first[k]), float(last[k]), **{name: values[k] for name, values in means.items()})
        for k in range(1, count)
    )


def _means(values: Floats | None, segment: NDArray[np.int64], count: int) -> list[float | None]:
    """Return the mean over each numbered spell (count,), None where the channel has nothing there."""
    if values is None:
        return [None] * count
    known = np.isfinite(values)
    number = np.bincount(segment[known], minlength=count)
    total = np.bincount(segment[known], values[known], minlength=count)
    return [float(t / n) if n else None for t, n in zip(total.tolist(), number.tolist(), strict=True)]
