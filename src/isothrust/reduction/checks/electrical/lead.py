"""Voltage read at one end of a lead, controller at the other: what heats the lead is booked to the drive."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.checks.electrical.resting import usual_bins
from isothrust.reduction.evidence import Evidence

__all__ = ["Series", "check_lead", "series_resistance"]

_TOP: Final = 0.9
"""Share of top speed above which the loss is read [1]: there current squared outweighs iron and idling."""
_WARM: Final = 0.7
"""Share of the stated resistance that warmth and iron loss may add over a short ramp [1]."""
_SHORT: Final = 30.0
"""Time under power [s] in which a winding that is let through a ramp does not come near to burning."""
_SCALES: Final = 0.02
"""Share of the electrical power that scales of torque, current and voltage may feign [1]."""
_CONTROLLER: Final = 0.012
"""What the transistors of a controller and the motor's own wires add to a stated winding [ohm]."""
_POSSIBLE: Final = 0.9
"""Share of the stated resistance that a winding must have at least [1]: it may be colder than the data sheet's."""
_HEAT: Final = 0.06
"""Least share of the power that the stated winding turns into heat [1]: below, iron and idling are the greater loss."""
_FEWEST: Final = 8


@dataclass(frozen=True, slots=True)
class Series:
    """What the loss at the top of a run says of the resistance between voltage sensor and shaft."""

    seen: float
    """Loss over motor current squared [ohm]."""
    stated: float
    """Winding by motors.csv [ohm]."""
    motor_current: float
    """From torque and KV [A]."""
    power: float
    """Voltage times current as read [W]."""


def series_resistance(evidence: Evidence) -> Series | None:
    """Return the resistance that the loss at top speed stands for; None without motor constants, torque or power.

    The electromagnetic power is torque times speed whatever the KV; of the electrical power the rest is loss, and at
    full speed nearly all of it goes with current squared.
    """
    prepared, motor = evidence.prepared, evidence.job.motor
    torque, current, voltage = evidence.mechanics.torque, prepared.steady("current"), prepared.steady("voltage")
    if motor is None or motor.kv is None or motor.resistance is None or torque is None:
        return None
    if current is None or voltage is None or prepared.abscissa != "speed":
        return None
    x = prepared.site.x
    top = x >= _TOP * float(x.max())
    if np.count_nonzero(top) < _FEWEST:
        return None
    friction = (motor.no_load_current or 0.0) / motor.kv
    driving = float(np.mean(torque.given.torque[top])) + friction
    power = float(np.mean((voltage * current)[top]))
    if driving <= 0.0 or power <= 0.0:
        return None
    drawn = driving * motor.kv
    converted = float(np.mean((torque.given.torque[top] + friction) * x[top]))
    return Series((power - converted) / drawn**2, motor.resistance, drawn, power)


def check_lead(evidence: Evidence) -> list[Finding]:
    """Return a finding where the loss is more than winding, warmth and controller make, or less than the winding does.

    Voltage read ahead of a lead is too high by current times the lead's resistance: the drive looks the worse for it.
    A loss below the winding's own is an efficiency that no such motor has.
    """
    if evidence.job.run.kind not in {"ramp", "holds"}:  # levels of steps may still be on their way
        return []
    series = series_resistance(evidence)
    if series is None or series.stated * series.motor_current**2 < _HEAT * series.power:
        return []
    doubt = _SCALES * series.power / series.motor_current**2
    powered = float(np.count_nonzero(evidence.prepared.spells.powered)) * evidence.prepared.bins.width
    short = evidence.job.run.kind == "ramp" and powered <= _SHORT  # else a winding near to burning looks like a lead
    if short and series.seen - (1.0 + _WARM) * series.stated - _CONTROLLER > doubt:
        return [_too_much(evidence, series)]
    known = {finding.code for finding in evidence.electrics.findings}
    if series.seen + doubt < _POSSIBLE * series.stated and "power-balance" not in known:
        return [_too_little(series)]
    return []


def _said(series: Series) -> str:
    return (
        f"the loss at the top of the run, {series.power:.0f} W less torque times speed, stands for "
        f"{series.seen:.3f} ohm at {series.motor_current:.0f} A, where motors.csv states a winding of "
        f"{series.stated:.3f} ohm"
    )


def _too_much(evidence: Evidence, series: Series) -> Finding:
    prepared = evidence.prepared
    current, voltage = prepared.steady("current"), prepared.steady("voltage")
    assert current is not None and voltage is not None
    near, where = usual_bins(evidence)
    lead = series.seen - 1.2 * series.stated - _CONTROLLER
    share = 100.0 * lead * float(np.median(current[near] / voltage[near]))
    at = evidence.job.rig.controller.get("voltage_sensed_at")
    stated = f" (the rig says: voltage sensed at {at})" if at else ""
    return Finding(
        code="voltage-ahead-of-lead",
        severity="warning",
        message=f"{_said(series)}: some {lead:.2f} ohm lie between the voltage sensor and the motor{stated}",
        channel="voltage",
        effect=f"if a lead has them, electrical power at {where} is about {share:.1f} % too high and electrical "
        f"efficiency as much too low, {100.0 * lead * series.motor_current**2 / series.power:.0f} % at the top",
        done="nothing",
    )


def _too_little(series: Series) -> Finding:
    return Finding(
        code="power-balance",
        severity="warning",
        message=f"{_said(series)}: no motor is that good",
        effect="torque, current or voltage is off by a scale, a unit or a zero, and the efficiencies with it, or the "
        "motor's resistance is not what motors.csv says",
        done="nothing",
    )
