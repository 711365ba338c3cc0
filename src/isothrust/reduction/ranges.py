"""Order statistics of long channels that cost next to nothing."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Floats

__all__ = ["middle", "rough_quantiles", "usual_interval"]

_ENOUGH = 1000


def rough_quantiles(values: Floats, *shares: float) -> tuple[float, ...]:
    """Return quantiles of a channel (n,) for thresholds, to about a thousandth of the samples; never for a figure."""
    every = max(1, values.size // _ENOUGH) | 1  # odd, so as not to fall in step with a clock that alternates
    ordered = np.sort(values[::every])
    return tuple(float(ordered[round(share * (ordered.size - 1))]) for share in shares)


def middle(values: Floats) -> float:
    """Return the median (n,), the upper of the two middle ones where their number is even."""
    half = values.size // 2
    return float(np.partition(values, half)[half])


def usual_interval(time: Floats) -> float:
    """Return the median interval of rising times (n,) [s], n at least 2."""
    return rough_quantiles(np.diff(time), 0.5)[0]
