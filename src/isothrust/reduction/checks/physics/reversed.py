"""A propeller on backwards: the same way round, but trailing edge first and camber upside down."""

from __future__ import annotations

import math
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.physics.classes import ClassFigures, class_figures
from isothrust.reduction.checks.physics.coefficients import Coefficients, coefficients_at_speed
from isothrust.reduction.evidence import Evidence

__all__ = ["check_reversed", "is_reversed"]

# ln(CT/usual) + ln(FM/usual). Of 205 published propellers the weakest two-blade sweep with a pitch above 0.36 diameters
# comes to -0.63, flatter ones to -1.04; blades on backwards lose about half the thrust for much the same power: -1.1 to
# -1.5.
_DOUBT: Final = -0.85
_SURE: Final = -1.25
_FLAT: Final = 0.36
"""Pitch over diameter below which thin blades of little thrust are sold [1]."""
_FLAT_MORE: Final = -0.35
_UNKNOWN_MORE: Final = -0.45
"""Where the pitch is not known, it may be flat or steep."""


def check_reversed(evidence: Evidence) -> list[Finding]:
    """Return a finding where thrust and merit together are far below the class: fail where no good propeller is."""
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    if found is None:
        return []
    design = evidence.job.design
    usual = class_figures(design.blades, design.pitch, found.diameter)
    if not is_reversed(found, usual):
        return []
    assert found.thrust is not None and found.merit is not None
    sure = _deficit(found, usual) <= _SURE + _allowance(usual)
    thrust, merit = 100.0 * found.thrust / usual.thrust_coefficient, 100.0 * found.merit / usual.merit
    return [
        Finding(
            code="propeller-reversed",
            severity="fail" if sure else "warning",
            message=f"CT {found.thrust:.3f} and figure of merit {found.merit:.2f} are "
            f"{thrust:.0f} % and {merit:.0f} % of "
            f"what {usual.said} usually reach ({usual.thrust_coefficient:.3f} and {usual.merit:.2f}): "
            "the propeller is on backwards, or turns the wrong way",
            channel="thrust",
            effect=f"thrust at a speed is about {100.0 - thrust:.0f} % too low and shaft efficiency at a thrust about "
            f"{100.0 - merit:.0f} %, if the propeller is good",
            done="the run was set aside" if sure else "nothing",
        )
    ]


def is_reversed(found: Coefficients, usual: ClassFigures) -> bool:
    """Return whether a run's thrust and merit lie below its class as those of blades on backwards do."""
    if found.thrust is None or found.merit is None or found.thrust <= 0.0:
        return False
    # Both must be low: a wrong scale of torque alone lowers the merit, a wrong diameter alone CT.
    weak = found.thrust < 0.75 * usual.thrust_coefficient and found.merit < 0.75 * usual.merit
    return weak and _deficit(found, usual) < _DOUBT + _allowance(usual)


def _deficit(found: Coefficients, usual: ClassFigures) -> float:
    assert found.thrust is not None and found.merit is not None
    return math.log(found.thrust / usual.thrust_coefficient) + math.log(found.merit / usual.merit)


def _allowance(usual: ClassFigures) -> float:
    if usual.ratio is None:
        return _UNKNOWN_MORE
    return _FLAT_MORE if usual.ratio < _FLAT else 0.0
