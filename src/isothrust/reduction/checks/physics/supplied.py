"""What the supply gives beside what the propeller takes, at the top of a run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.reduction.evidence import Evidence
from isothrust.science.momentum import ideal_hover_power

__all__ = ["Supplied", "supplied_at_speed"]

_TOP = 0.8
"""Share of the greatest abscissa from which the top is taken [1]."""


@dataclass(frozen=True, slots=True)
class Supplied:
    """Medians over the top of a run; ratios are None where what they need is missing."""

    voltage: float
    """[V]"""
    current: float
    """[A]"""
    efficiency: float | None
    """Shaft power over electrical power [1]."""
    merit: float | None
    """Power that momentum theory asks for this thrust over electrical power [1]."""


def supplied_at_speed(evidence: Evidence) -> Supplied | None:
    """Return the supply at the top of a run; None without voltage or current."""
    prepared = evidence.prepared
    voltage, current = prepared.steady("voltage"), prepared.steady("current")
    if voltage is None or current is None:
        return None
    top = prepared.site.x >= _TOP * float(prepared.site.x.max())
    power = float(np.median((voltage * current)[top]))
    if power == 0.0:
        return None
    torque, speed, thrust = (prepared.steady(name) for name in ("torque", "speed", "thrust"))
    shaft = None if torque is None or speed is None else float(np.median((torque * speed)[top]))
    diameter, density = prepared.job.design.diameter, evidence.air.density
    ideal = None
    if thrust is not None and diameter is not None and density is not None:
        ideal = float(ideal_hover_power(max(float(np.median(thrust[top])), 0.0), density, diameter))
    return Supplied(
        float(np.median(voltage[top])),
        float(np.median(current[top])),
        None if shaft is None else shaft / power,
        None if ideal is None else ideal / power,
    )
