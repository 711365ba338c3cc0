"""A figure of merit that no propeller of this size is known to reach, though momentum theory would allow it."""

from __future__ import annotations

from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.physics.coefficients import coefficients_at_speed
from isothrust.reduction.evidence import Evidence

__all__ = ["check_merit_high"]

_HIGH: Final = 0.80
"""The best of 205 published small propellers reaches 0.76 as a mean over its upper speeds, a 14 inch one."""
_IMPOSSIBLE: Final = 1.02
"""From here on `merit-above-one` tells of it."""


def check_merit_high(evidence: Evidence) -> list[Finding]:
    """Return a finding where the mean figure of merit over the run's upper speeds passes 0.8."""
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    if found is None or found.merit is None or not _HIGH < found.merit <= _IMPOSSIBLE:
        return []
    return [
        Finding(
            code="merit-high",
            severity="warning",
            message=f"the figure of merit over the run's upper speeds is {found.merit:.2f}: "
            f"small propellers stay below {_HIGH:.2g}",
            channel="thrust",
            effect=f"shaft efficiency is at least {100.0 * (found.merit / _HIGH - 1.0):.0f} % too high: thrust too "
            "high, torque too low, or the diameter too small",
            done="nothing",
        )
    ]
