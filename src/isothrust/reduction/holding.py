"""Means over settled holds, as recorded."""

from __future__ import annotations

import numpy as np

from isothrust.records.reduced import HoldPoint
from isothrust.reduction.prepare import Prepared

__all__ = ["hold_points"]


def hold_points(prepared: Prepared) -> tuple[HoldPoint, ...]:
    """Return one point for each steady spell of a run of kind holds; none for other kinds."""
    if prepared.job.run.kind != "holds":
        return ()
    spells, bins = prepared.spells, prepared.bins
    out: list[HoldPoint] = []
    for number in range(1, int(spells.segment.max(initial=0)) + 1):
        of = spells.segment == number
        means: dict[str, float | None] = {}
        for name in ("throttle", "speed", "thrust", "torque", "voltage", "current"):
            values = bins.get(name)
            known = of & np.isfinite(values) if values is not None else of & False
            means[name] = float(np.mean(values[known])) if values is not None and known.any() else None
        out.append(HoldPoint(float(bins.time[of][0]), float(bins.time[of][-1]), **means))
    return tuple(out)
