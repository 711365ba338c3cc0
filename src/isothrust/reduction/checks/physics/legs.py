"""Legs up and down under power must tell the same coefficient at the same speed."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.fitting import CurveFit

__all__ = ["check_legs"]

_FEWEST = 15
_MATTERS = 0.005


def check_legs(channel: str, speed: Floats, curve: CurveFit, size: Floats, falling: np.ndarray) -> list[Finding]:
    """Return a finding where the two legs differ by more than noise and half a per cent."""
    if np.count_nonzero(falling) < _FEWEST or np.count_nonzero(~falling) < _FEWEST:
        return []
    low = max(float(speed[falling].min()), float(speed[~falling].min()))
    high = min(float(speed[falling].max()), float(speed[~falling].max()))
    both = (speed >= max(low, 0.4 * high)) & (speed <= high)
    down, up = both & falling, both & ~falling
    if np.count_nonzero(down) < _FEWEST or np.count_nonzero(up) < _FEWEST:
        return []
    fitted = float(np.mean(size[both])) * float(np.median(curve.fit.coefficients))
    gap = (float(np.mean(curve.residuals[down])) - float(np.mean(curve.residuals[up]))) / fitted
    error = curve.residual_sd * np.sqrt(curve.correlation * (1.0 / down.sum() + 1.0 / up.sum())) / fitted
    if abs(gap) < max(3.0 * error, _MATTERS):
        return []
    return [
        Finding(
            code="legs-disagree",
            severity="warning",
            message=f"{channel} on the way down is {100.0 * gap:+.1f} % from the way up at the same speed",
            channel=channel,
            count=int(both.sum()),
            effect=f"the figures stand half-way; either leg alone would move them by {50.0 * abs(gap):.1f} %",
            done="both legs were fitted together",
        )
    ]
