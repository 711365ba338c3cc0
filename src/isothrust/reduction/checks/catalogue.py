"""The checks that look at a whole run once it is reduced, in the order in which their findings are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.air.limits import check_maximum_speed, check_tip_mach
from isothrust.reduction.checks.physics.merit import check_merit_high
from isothrust.reduction.checks.physics.negative import check_negative_power
from isothrust.reduction.checks.physics.outofclass import check_class
from isothrust.reduction.checks.physics.reversed import check_reversed
from isothrust.reduction.evidence import Evidence

__all__ = ["RUN_CHECKS", "examine"]

RunCheck = Callable[[Evidence], list[Finding]]

RUN_CHECKS: Final[tuple[RunCheck, ...]] = (
    check_maximum_speed,
    check_tip_mach,
    check_merit_high,
    check_negative_power,
    check_class,
    check_reversed,
)
"""One function a file; each is independent of the others."""


def examine(evidence: Evidence) -> list[Finding]:
    """Return what all the checks of a run find."""
    return [finding for check in RUN_CHECKS for finding in check(evidence)]
