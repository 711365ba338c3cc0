"""Means over settled holds, as recorded."""

from __future__ import annotations

import numpy as np

from isothrust.records.reduced import HoldPoint
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.spells import POINTS

__all__ = ["hold_points"]


def hold_points(prepared: Prepared) -> tuple[HoldPoint, ...]:
    """Return one point for each steady spell of a run of kind holds, or each row where rows are working points."""
    if prepared.job.run.kind != "holds":
        return ()
    spells, bins = prepared.spells, prepared.bins
    # rows so far apart that each is a working point are holds by themselves
    segment = np.where(spells.steady, np.cumsum(spells.steady), 0) if bins.width >= POINTS else spells.segment
    out: list[HoldPoint] = []
    for number in range(1, int(segment.max(initial=0)) + 1):
        of = segment == number
        means: dict[str, float | None] = {}
        for name in ("throttle", "speed", "thrust", "torque", "voltage", "current"):
            values = bins.get(name)
            known = of & np.isfinite(values) if values is not None else of & False
            means[name] = float(np.mean(values[known])) if values is not None and known.any() else None
        out.append(HoldPoint(float(bins.time[of][0]), float(bins.time[of][-1]), **means))
    return tuple(out)
