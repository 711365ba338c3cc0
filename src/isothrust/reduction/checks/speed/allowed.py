"""By what factor a speed reading may stand above or below the truth, as each witness of the run allows it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from isothrust.records.book import Motor
from isothrust.records.recording import Floats
from isothrust.reduction.checks.physics.classes import class_figures
from isothrust.reduction.checks.physics.coefficients import coefficients_at_speed
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.prepare import Prepared

__all__ = ["Allowed", "allowed_factors"]

_KV: Final = 1.10
"""Motors turn by up to this much faster than KV and voltage say: KV is stated to a tenth [1]."""
_LOADED: Final = 0.62
"""Least share of KV (V - R I) that a rotor reaches at full command [1]: a hot winding, the controller, a weak KV."""
_LOADED_BLIND: Final = 0.50
"""The same where R is not known: a propeller takes up to half of the no-load speed away."""
_BALANCED: Final = (0.62, 1.12)
"""Share that a rotor reaches of the speed at which its motor's power is in balance [1]."""
_EFFICIENT: Final = 0.25
"""Drives under load waste less than three quarters of their power [1]."""
_FULL: Final = 0.985
_UPPER: Final = 0.9
_FEWEST: Final = 3
# What the class allows, wider than the findings of the class themselves: a factor of speed shows as its square.
_THRUST: Final = (0.45, 2.5)
_POWER: Final = (0.4, 3.5)
_PITCH_UNKNOWN: Final = 1.6
_MERIT: Final = (0.25, 0.80)


RestsOn = Literal["voltage", "balance", "torque", "class"]
"""Motor constants and voltage; motor constants, power and torque; power and torque alone; the class's coefficients."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """What one witness says of reading over truth [1]."""

    witness: str
    """As the message says it: 'what 1900 rpm/V at 24.1 V allow'."""
    ratio: float
    """Reading over what the witness expects [1]."""
    low: float
    high: float
    rests_on: RestsOn

    @property
    def by_motor(self) -> bool:
        """Whether the motor's constants speak: outside of what they allow the figures are surely wrong."""
        return self.rests_on in {"voltage", "balance"}

    @property
    def excludes(self) -> bool:
        """Whether the reading cannot be the truth."""
        return not self.low <= 1.0 <= self.high


def allowed_factors(evidence: Evidence) -> list[Allowed]:
    """Return what each witness of a run allows, those that rest on the motor first."""
    prepared = evidence.prepared
    if prepared.abscissa != "speed":
        return []
    return [*_by_voltage(prepared), *_by_balance(evidence), *_by_class(evidence)]


def _by_voltage(prepared: Prepared) -> list[Allowed]:
    """Back-EMF: no motor turns faster than KV times the voltage that is left behind its resistance."""
    motor = prepared.job.motor
    if motor is None or motor.kv is None or not motor.kv > 0.0:
        return []
    x = prepared.site.x
    voltage = prepared.steady("voltage")
    if voltage is None:
        stated = prepared.job.rig.supply_voltage
        if stated is None:
            return []
        voltage = np.full(x.size, stated)
    current = prepared.steady("current")
    drop = np.zeros(x.size)
    if motor.resistance is not None and current is not None:
        drop = motor.resistance * np.maximum(current, 0.0)  # the controller's input carries no more than the motor
    bound = motor.kv * (voltage - drop)
    throttle = prepared.steady("throttle")
    full = np.zeros(x.size, dtype=bool) if throttle is None else throttle >= _FULL
    at = full if np.count_nonzero(full) >= _FEWEST else x >= _UPPER * float(x.max())
    if not np.all(bound[at] > 0.0):
        return []
    ratio = float(np.median(x[at] / bound[at]))
    least = np.inf
    if at is full:
        least = ratio / (_LOADED if motor.resistance is not None else _LOADED_BLIND)
    volts = float(np.median(voltage[at]))
    return [Allowed(f"what {_said(motor)} at {volts:.3g} V allow", ratio, ratio / _KV, least, rests_on="voltage")]


def _said(motor: Motor) -> str:
    assert motor.kv is not None
    return f"{motor.kv * 30.0 / math.pi:.0f} rpm/V"


def _by_balance(evidence: Evidence) -> list[Allowed]:
    """Power: what goes into the controller less what the winding heats away turns the shaft against its torque."""
    prepared, torque = evidence.prepared, evidence.mechanics.torque
    voltage, current = prepared.steady("voltage"), prepared.steady("current")
    if torque is None or voltage is None or current is None:
        return []
    x = prepared.site.x
    at = x >= _UPPER * float(x.max())
    power, moment = voltage[at] * current[at], torque.given.torque[at]
    if not (np.all(power > 0.0) and np.all(moment > 0.0)):
        return []
    motor = prepared.job.motor
    if motor is None or motor.kv is None or motor.resistance is None:
        efficiency = float(np.median(moment * x[at] / power))
        least = efficiency / _EFFICIENT
        return [Allowed("what the electrical power turns", efficiency, efficiency, least, rests_on="torque")]
    drawn = moment * motor.kv + (motor.no_load_current or 0.0)
    expected: Floats = motor.kv * (power / drawn - motor.resistance * drawn)
    if not np.all(expected > 0.0):
        return []
    ratio = float(np.median(x[at] / expected))
    said = f"the power balance at {_said(motor)} gives"
    return [Allowed(said, ratio, ratio / _BALANCED[1], ratio / _BALANCED[0], rests_on="balance")]


def _by_class(evidence: Evidence) -> list[Allowed]:
    """Coefficients: CT and CP read as the truth over the factor squared, the figure of merit over the factor."""
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    if found is None:
        return []
    design = evidence.job.design
    usual = class_figures(design.blades, design.pitch, found.diameter)
    wider = _PITCH_UNKNOWN if usual.ratio is None else 1.0
    out: list[Allowed] = []
    for name, value, middle, (low, high) in (
        ("CT", found.thrust, usual.thrust_coefficient, _THRUST),
        ("CP", found.power, usual.power_coefficient, _POWER),
    ):
        if value is not None and value > 0.0:
            ratio = math.sqrt(middle / value)
            near, far = math.sqrt(low / wider), math.sqrt(high * wider)
            out.append(Allowed(f"{name} of {usual.said} asks for", ratio, near * ratio, far * ratio, rests_on="class"))
    if found.merit is not None:
        ratio = usual.merit / found.merit
        low, high = (bound / found.merit for bound in _MERIT)
        out.append(Allowed("the figure of merit asks for", ratio, low, high, rests_on="class"))
    return out
