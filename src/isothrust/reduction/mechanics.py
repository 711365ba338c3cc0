"""Thrust and torque of one run over speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.airstate import AirState
from isothrust.reduction.checks.physics.energy import check_merit
from isothrust.reduction.checks.physics.legs import check_legs
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.thrusting import ThrustFit, fit_thrust
from isothrust.reduction.torquing import TorqueFit, TorqueInput, fit_torque
from isothrust.reduction.transients import Transients

__all__ = ["Mechanics", "fit_mechanics"]


@dataclass(frozen=True, slots=True)
class Mechanics:
    """What the loads gave; None where a channel is missing."""

    thrust: ThrustFit | None
    torque: TorqueFit | None
    acceleration: Floats
    """d omega/dt at the steady bins (n,) [rad/s2]."""
    findings: tuple[Finding, ...]


def fit_mechanics(prepared: Prepared, air: AirState) -> Mechanics:
    """Return thrust and torque curves; a log without air is reduced at the standard density, and says so elsewhere."""
    acceleration = prepared.spells.slope[prepared.spells.steady]
    if prepared.abscissa != "speed":
        return Mechanics(None, None, acceleration, ())
    acceleration = prepared.rate("speed")
    density = air.density if air.density is not None else prepared.job.standard_density
    thrust = _thrust(prepared, density)
    torque = _torque(prepared, density, acceleration)
    falling = prepared.spells.falling[prepared.spells.steady]
    findings: list[Finding] = []
    for name, fit in (("thrust", thrust), ("torque", torque)):
        if fit is not None:
            findings.extend(fit.findings)
            findings.extend(check_legs(name, prepared.site.x, fit.curve, fit.size, falling))
    if thrust is not None and torque is not None:
        findings.extend(_merit(prepared, thrust, torque, density))
    return Mechanics(thrust, torque, acceleration, tuple(findings))


def _thrust(prepared: Prepared, density: float) -> ThrustFit | None:
    thrust = prepared.steady("thrust")
    if thrust is None:
        return None
    fit = fit_thrust(prepared.site, thrust, prepared.rate("thrust"), density, _with(prepared, "thrust"))
    return fit if float(np.median(fit.curve.fit.coefficients)) > 0.0 else None


def _torque(prepared: Prepared, density: float, acceleration: Floats) -> TorqueFit | None:
    torque = prepared.steady("torque")
    if torque is None:
        return None
    given = TorqueInput(torque, prepared.rate("torque"), acceleration, density)
    fit = fit_torque(prepared.site, given, _with(prepared, "torque"), prepared.job.inertia)
    if float(np.median(fit.curve.fit.coefficients)) > 0.0:
        return fit
    return None


def _merit(prepared: Prepared, thrust: ThrustFit, torque: TorqueFit, density: float) -> list[Finding]:
    top = int(np.argmax(prepared.site.x))
    at_top = prepared.site.basis[top]
    force = float(at_top @ thrust.curve.fit.coefficients) * float(thrust.size[top])
    moment = float(at_top @ torque.curve.fit.coefficients) * float(torque.size[top])
    return check_merit(force, moment * float(prepared.site.x[top]), density, prepared.job.design.diameter)


def _with(prepared: Prepared, channel: str) -> Transients | None:
    transients = prepared.transients
    return transients if transients is not None and channel in transients.values else None
