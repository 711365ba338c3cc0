"""Quantiles of long channels, from few enough samples to cost nothing."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Floats

__all__ = ["rough_quantiles"]

_ENOUGH = 1000


def rough_quantiles(values: Floats, *shares: float) -> tuple[float, ...]:
    """Return quantiles of a channel (n,) for thresholds, to about a thousandth of the samples; never for a figure."""
    ordered = np.sort(values[:: max(1, values.size // _ENOUGH)])
    return tuple(float(ordered[round(share * (ordered.size - 1))]) for share in shares)
