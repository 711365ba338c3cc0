"""Electrical power, current, voltage and throttle of one run over speed (or root of thrust)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.airstate import AirState
from isothrust.reduction.checks.physics.energy import check_power
from isothrust.reduction.driving import CopperLoss, DriveState, copper_loss, electrical_lag, steady_state, throttle_lag
from isothrust.reduction.fitting import CurveFit, fit_curve
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.science.splines import basis_matrix

__all__ = ["ElectricFit", "Electrics", "everywhere", "fit_electrics"]


@dataclass(frozen=True, slots=True)
class ElectricFit:
    """One electrical curve."""

    curve: CurveFit
    size: Floats
    power: int
    """Power of the abscissa in `size`."""


@dataclass(frozen=True, slots=True)
class Electrics:
    """Electrical curves by name, and how they were brought to the steady state."""

    curves: dict[str, ElectricFit]
    lag: Estimate
    throttle_lag: Estimate
    copper: CopperLoss | None
    state: DriveState | None
    rise: Floats | None
    """dP/dt at the steady bins [W/s]."""
    flags: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    throttle_per_torque: Floats | None = None
    """Throttle for a torque more on the shaft at the steady bins (n,) [1/(N m)]; None where it was left as recorded."""


def fit_electrics(prepared: Prepared, air: AirState, mechanics: Mechanics) -> Electrics:
    """Return what the electrical channels give; as recorded where there is no torque to re-evaluate the drive with."""
    torque = mechanics.torque
    lag = electrical_lag(prepared.transients, torque.lag if torque is not None else None)
    command_lag = throttle_lag(prepared.transients, lag)
    power, rise = _power(prepared)
    flags: list[str] = []
    findings: list[Finding] = []
    copper = state = None
    known = torque is not None and (torque.inertia is not None) and air.density is not None
    if power is not None and rise is not None:
        power = power + lag.value * rise
        findings = _balance(prepared, mechanics, power)
        if known and not findings:
            copper, state = _steady(prepared, mechanics, power)
    curves: dict[str, ElectricFit] = {}
    x, density0 = prepared.site.x, prepared.job.standard_density
    wanted = state.power if state is not None else power
    if power is not None and wanted is not None:
        scale = density0 if prepared.abscissa == "speed" else 1.0
        curves["electrical-power"] = _fit(prepared, wanted, scale * x**3, 3)
    current = prepared.steady("current")
    if current is not None:
        steady = current + lag.value * prepared.rate("current")
        if state is not None and power is not None:  # at the same voltage; a motor that brakes gives no ratio
            drawing = power > 0.0
            steady[drawing] *= np.clip(state.power[drawing] / power[drawing], 0.2, 5.0)
        curves["current"] = _fit(prepared, steady, x**2, 2)
    voltage = prepared.steady("voltage")
    if voltage is not None:
        curves["voltage"] = _fit(prepared, voltage, np.ones_like(x), 0)
    if state is None and {"electrical-power", "current"} & set(curves):
        flags.append("electrical-as-recorded")
    per_torque = None
    throttle = prepared.steady("throttle")
    if throttle is not None:
        shifted = throttle + command_lag.value * prepared.rate("throttle")
        per_torque = _throttle_per_torque(prepared, shifted, state)
        if state is not None and per_torque is not None:
            shifted = shifted + per_torque * state.extra_torque
        else:
            flags.append("throttle-as-recorded")
        curves["throttle"] = _fit(prepared, shifted, np.ones_like(x), 0)
    return Electrics(curves, lag, command_lag, copper, state, rise, tuple(flags), tuple(findings), per_torque)


def _fit(prepared: Prepared, reading: Floats, size: Floats, power: int) -> ElectricFit:
    return ElectricFit(fit_curve(prepared.site, reading, size, passes=1), size, power)


def _power(prepared: Prepared) -> tuple[Floats | None, Floats | None]:
    direct = prepared.steady("electrical-power")
    if direct is not None:
        return direct, prepared.rate("electrical-power")
    voltage, current = prepared.steady("voltage"), prepared.steady("current")
    if voltage is None or current is None:
        return None, None
    rise = voltage * prepared.rate("current") + current * prepared.rate("voltage")
    return voltage * current, rise


def _balance(prepared: Prepared, mechanics: Mechanics, power: Floats) -> list[Finding]:
    """Return a finding where the cell's torque times speed is more than the electrical power at the top of the run."""
    torque = mechanics.torque
    if torque is None or prepared.abscissa != "speed":
        return []
    at_top = prepared.site.x >= 0.9 * float(prepared.site.x.max())
    shaft = float(np.median((torque.given.torque * prepared.site.x)[at_top]))
    return check_power(shaft, float(np.median(power[at_top])))


def _steady(prepared: Prepared, mechanics: Mechanics, power: Floats) -> tuple[CopperLoss, DriveState]:
    torque = mechanics.torque
    assert torque is not None and torque.inertia is not None
    x = prepared.site.x
    factor = prepared.site.basis @ torque.curve.fit.coefficients
    recorded = factor * torque.size + torque.inertia.value * mechanics.acceleration
    wanted = factor * prepared.job.standard_density * x**2
    copper = copper_loss(prepared.job.motor, power, recorded, x)
    return copper, steady_state(power, x, recorded, wanted, copper)


def _throttle_per_torque(prepared: Prepared, throttle: Floats, state: DriveState | None) -> Floats | None:
    """Return what a torque more asks of the throttle: duty moves by R dI, throttle by its own slope on duty."""
    motor = prepared.job.motor
    voltage = prepared.steady("voltage")
    if state is None or motor is None or motor.kv is None or motor.resistance is None or voltage is None:
        return None
    if not np.all(voltage > 0.0):
        return None
    x = prepared.site.x
    torque = state.marginal - x  # 2 A (Q + friction), so half of it over A is the torque that the current stands for
    per = motor.resistance * motor.kv**2
    drop = motor.resistance * motor.kv * (torque / (2.0 * per)) if per > 0.0 else np.zeros_like(x)
    duty = (x / motor.kv + drop) / voltage
    slope = _slope_of_cubic(duty, throttle) if duty.size > 8 else np.ones_like(duty)
    return np.asarray(np.clip(slope, 0.2, 5.0) * motor.resistance * motor.kv / voltage)


def _slope_of_cubic(x: Floats, y: Floats) -> Floats:
    """Return dy/dx at x (n,) of the cubic through the data."""
    middle, half = 0.5 * (float(x.max()) + float(x.min())), 0.5 * float(np.ptp(x)) or 1.0
    u = (x - middle) / half
    _, linear, square, cube = np.linalg.lstsq(np.vander(u, 4, increasing=True), y, rcond=1e-10)[0]
    return np.asarray((linear + 2.0 * square * u + 3.0 * cube * u * u) / half)


def everywhere(prepared: Prepared, mechanics: Mechanics, electrics: Electrics) -> dict[str, Floats]:
    """Return, over all bins, what takes the inertial part out of electrical power and current, for the peaks."""
    torque = mechanics.torque
    if torque is None or torque.inertia is None or electrics.copper is None:
        return {}
    w = prepared.spells.drive
    inside = np.clip(w, prepared.site.knots[0], prepared.site.knots[-1])
    air_torque = basis_matrix(inside, prepared.site.knots) @ torque.curve.fit.coefficients * torque.given.density * w**2
    inertial = torque.inertia.value * prepared.spells.slope
    zero = np.zeros_like(w)
    state = steady_state(zero, w, air_torque + inertial, air_torque, electrics.copper)
    out = {"electrical-power": state.power}
    voltage = prepared.bins.get("voltage")
    if voltage is not None:
        out["current"] = state.power / np.where(voltage > 0.0, voltage, np.nan)
    return out
