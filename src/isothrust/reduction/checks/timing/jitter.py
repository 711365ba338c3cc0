"""A clock that does not step evenly: a loop that takes as long as it takes."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.checks.timing.steps import Steps

__all__ = ["jitter"]

_UNEVEN = 0.5
"""Range of nine steps in ten over the usual step from which a clock is uneven [1]."""
_GRAIN = 1.2
"""Steps that differ by one last digit of the stamp are rounding."""


def jitter(clock: Steps) -> list[Finding]:
    """Return a finding where the steps scatter by more than a quarter either way."""
    spread = clock.high - clock.low
    return [_finding(clock)] if spread > _UNEVEN * clock.usual and spread > _GRAIN * clock.grain else []


def _finding(clock: Steps) -> Finding:
    spread = clock.high - clock.low
    return Finding(
        code="clock-jitter",
        severity="note",
        message=f"the clock is uneven: steps go from {1e3 * clock.low:.3g} to {1e3 * clock.high:.3g} ms, "
        f"{1e3 * clock.usual:.3g} ms as a rule",
        channel="time",
        start=float(clock.time[0]),
        end=float(clock.time[-1]),
        count=int(np.count_nonzero(np.abs(clock.step - clock.usual) > 0.25 * clock.usual)),
        effect=f"none on what columns of one row say of each other; rise times and rates of change scatter by "
        f"{0.3e3 * spread:.2g} ms",
    )
