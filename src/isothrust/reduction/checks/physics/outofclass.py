"""Coefficients that no propeller of the class has: a scale, a unit or the diameter is wrong."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.physics.classes import class_figures
from isothrust.reduction.checks.physics.coefficients import coefficients_at_speed
from isothrust.reduction.checks.physics.reversed import is_reversed
from isothrust.reduction.evidence import Evidence

__all__ = ["check_class"]

# Of 205 published propellers CT lies within 0.64 to 1.81 times the line of its class, CP within 0.59 to 2.75.
_BOUNDS: Final[Mapping[str, tuple[float, float]]] = {"CT": (0.50, 2.25), "CP": (0.45, 3.2)}
_PITCH_UNKNOWN: Final[Mapping[str, float]] = {"CT": 1.5, "CP": 2.5}
"""By what the bounds are wider on either side where the pitch is not known."""
_SURE: Final = 1.6
"""Beyond the bounds by this factor a run's figures are surely wrong."""
_CHANNELS: Final[Mapping[str, str]] = {"CT": "thrust", "CP": "torque"}


def check_class(evidence: Evidence) -> list[Finding]:
    """Return a finding for CT and for CP where either lies outside what the class can have."""
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    if found is None:
        return []
    design = evidence.job.design
    usual = class_figures(design.blades, design.pitch, found.diameter)
    if is_reversed(found, usual):
        return []
    out: list[Finding] = []
    for name, value, middle in (
        ("CT", found.thrust, usual.thrust_coefficient),
        ("CP", found.power, usual.power_coefficient),
    ):
        if value is None or value <= 0.0:
            continue
        wider = _PITCH_UNKNOWN[name] if usual.ratio is None else 1.0
        low, high = _BOUNDS[name][0] / wider * middle, _BOUNDS[name][1] * wider * middle
        if low <= value <= high:
            continue
        sure = math.log(value / high if value > high else low / value) > math.log(_SURE)
        out.append(
            Finding(
                code="coefficient-out-of-class",
                severity="fail" if sure else "warning",
                message=f"{name} is {value:.3g} where {usual.said} have {low:.2g} to {high:.2g}: "
                f"{_CHANNELS[name]}, speed or diameter is off by a scale or a unit",
                channel=_CHANNELS[name],
                effect=f"{name} is {100.0 * (value / middle - 1.0):+.0f} % from the middle of its class",
                done="the run was set aside" if sure else "nothing",
            )
        )
    return out
