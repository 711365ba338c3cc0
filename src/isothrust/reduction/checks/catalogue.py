"""The checks that look at a whole run once it is reduced, in the order in which their findings are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.air.clearance import check_clearance
from isothrust.reduction.checks.air.implausible import check_air
from isothrust.reduction.checks.air.limits import check_maximum_speed, check_tip_mach
from isothrust.reduction.checks.air.recirculation import check_recirculation
from isothrust.reduction.checks.electrical.clipped import check_clipped
from isothrust.reduction.checks.electrical.idle import check_idle
from isothrust.reduction.checks.electrical.lead import check_lead
from isothrust.reduction.checks.electrical.limit import check_supply_limit
from isothrust.reduction.checks.electrical.regeneration import check_regeneration
from isothrust.reduction.checks.electrical.sag import check_sag
from isothrust.reduction.checks.force.creep import check_creep
from isothrust.reduction.checks.force.crosstalk import check_crosstalk
from isothrust.reduction.checks.force.slow import check_slow_filter
from isothrust.reduction.checks.force.vanishing import check_vanishing
from isothrust.reduction.checks.physics.merit import check_merit_high
from isothrust.reduction.checks.physics.negative import check_negative_power
from isothrust.reduction.checks.physics.outofclass import check_class
from isothrust.reduction.checks.physics.reversed import check_reversed
from isothrust.reduction.checks.speed.coarse import check_coarse
from isothrust.reduction.checks.speed.factor import check_factor
from isothrust.reduction.checks.speed.ripple import check_ripple
from isothrust.reduction.checks.throttle.derating import check_derating
from isothrust.reduction.checks.throttle.desync import check_desync
from isothrust.reduction.checks.throttle.endpoints import check_endpoints
from isothrust.reduction.checks.throttle.flattened import check_flattened
from isothrust.reduction.checks.throttle.full import check_full
from isothrust.reduction.checks.throttle.settling import check_settling
from isothrust.reduction.checks.timing.folded import check_folded
from isothrust.reduction.checks.timing.lateness import check_lateness
from isothrust.reduction.checks.timing.rows import check_rows
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
    check_creep,
    check_crosstalk,
    check_vanishing,
    check_slow_filter,
    check_sag,
    check_regeneration,
    check_supply_limit,
    check_idle,
    check_clipped,
    check_lead,
    check_endpoints,
    check_full,
    check_settling,
    check_flattened,
    check_desync,
    check_derating,
    check_rows,
    check_lateness,
    check_factor,
    check_coarse,
    check_ripple,
    check_folded,
    check_air,
    check_clearance,
    check_recirculation,
)
"""One function a file; each is independent of the others."""


def examine(evidence: Evidence) -> list[Finding]:
    """Return what all the checks of a run find."""
    return [finding for check in RUN_CHECKS for finding in check(evidence)]
