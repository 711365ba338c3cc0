"""What no propeller and no motor can do: more power out than in, more thrust than the ideal disc."""

from __future__ import annotations

from isothrust.records.finding import Finding
from isothrust.science.momentum import ideal_hover_power

__all__ = ["check_merit", "check_power"]

_DOUBT = 1.02
"""Ratio beyond which no usual uncertainty of scales explains it [1]."""


def check_power(shaft: float, electrical: float) -> list[Finding]:
    """Return a finding where the shaft gives more power [W] than the controller takes at the top of the run."""
    if shaft <= _DOUBT * electrical:
        return []
    return [
        Finding(
            code="power-balance",
            severity="warning",
            message=f"torque times speed is {shaft:.4g} W where voltage times current is {electrical:.4g} W: "
            "no motor gives out more than it takes",
            effect="torque, current or voltage is off by a scale, a unit or a sign, and all efficiencies with it",
            done="electrical figures were left as recorded",
        )
    ]


def check_merit(thrust: float, shaft: float, density: float, diameter: float | None) -> list[Finding]:
    """Return a finding where thrust [N] needs more power [W] by momentum theory than the shaft gives."""
    if diameter is None or thrust <= 0.0 or shaft <= 0.0:
        return []
    merit = float(ideal_hover_power(thrust, density, diameter)) / shaft
    if merit <= _DOUBT:
        return []
    return [
        Finding(
            code="merit-above-one",
            severity="warning",
            message=f"the figure of merit at the top of the run is {merit:.2f}: no propeller can pass 1",
            effect="thrust, torque, speed or diameter is off by a scale or a unit, and all efficiencies with it",
            done="nothing",
        )
    ]
