"""Electrical side of a run, brought to the steady state and to standard air through the drive's loss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.book import Motor
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.lagging import lag_from_transients
from isothrust.reduction.transients import Transients
from isothrust.science.alignment import fit_delay

__all__ = ["CopperLoss", "DriveState", "copper_loss", "electrical_lag", "steady_state", "throttle_lag"]


@dataclass(frozen=True, slots=True)
class CopperLoss:
    """Heat in winding and controller per torque squared, with what is known of it."""

    per_torque_squared: float
    """R / Kt^2 [W/(N m)^2]."""
    uncertainty: float
    friction: float
    """Torque that never reaches the propeller [N m]."""
    origin: str


@dataclass(frozen=True, slots=True)
class DriveState:
    """Bins (n,) with the mechanical state they were recorded in and the one they are wanted for."""

    power: Floats
    """Electrical power wanted [W]."""
    extra_torque: Floats
    """Wanted less recorded torque [N m]."""
    marginal: Floats
    """dP/dQ between the two [W/(N m)]: speed plus the copper's share."""


def copper_loss(motor: Motor | None, power: Floats, torque: Floats, speed: Floats) -> CopperLoss:
    """Return the part of the loss that grows with torque squared.

    From the motor's resistance and KV where the book states them (a fifth in doubt: winding warmth, controller, leads);
    else from the loss at the top of the run, of which copper is somewhere between a quarter and nearly all.
    """
    if motor is not None and motor.resistance is not None and motor.kv is not None:
        value = motor.resistance * motor.kv**2
        friction = (motor.no_load_current or 0.0) / motor.kv
        return CopperLoss(value, 0.2 * value, friction, f"resistance and KV of {motor.name} in motors.csv")
    at_top = speed >= 0.9 * float(np.max(speed))
    loss = float(np.median(power[at_top] - torque[at_top] * speed[at_top]))
    greatest = max(0.0, loss / float(np.median(torque[at_top])) ** 2)
    return CopperLoss(0.6 * greatest, 0.2 * greatest, 0.0, "loss at the top of the run")


def steady_state(
    power: Floats, speed: Floats, recorded_torque: Floats, wanted_torque: Floats, copper: CopperLoss
) -> DriveState:
    """Return electrical power at the same speed with `wanted_torque` on the shaft instead of `recorded_torque` (n,)."""
    extra = wanted_torque - recorded_torque
    middle = 0.5 * (wanted_torque + recorded_torque) + copper.friction
    marginal = speed + 2.0 * copper.per_torque_squared * middle  # exact for a loss quadratic in torque
    return DriveState(power + extra * marginal, extra, marginal)


def electrical_lag(transients: Transients | None, torque_lag: Estimate | None) -> Estimate:
    """Return the lag of current and voltage against the speed channel, by way of the torque channel."""
    unknown = Estimate(0.0, 0.005, np.inf, "not known; such sensors are fast")
    if transients is None or torque_lag is None:
        return unknown
    have = transients.values
    if not {"torque", "speed", "voltage", "current"} <= set(have):
        return unknown
    cut = _cuts(transients)
    if cut is None:
        return unknown
    have = cut.values
    # once no current flows the cell reads friction: torque beyond that is all current's. Torque is the later of the
    # two, and the moments of a response only run forward
    fit = fit_delay(
        cut.time,
        have["torque"] + _friction(cut),
        have["voltage"] * have["current"] / np.maximum(have["speed"], 1.0),
        cut.segment,
        half_width=cut.half_width,
    )
    found = lag_from_transients(fit, transients.interval, origin="own transients, against torque")
    if found is None:
        return unknown
    both = float(np.hypot(found.uncertainty, torque_lag.uncertainty))
    return Estimate(torque_lag.value - found.value, both, found.degrees_of_freedom, found.origin)


def _cuts(transients: Transients) -> Transients | None:
    """Return the transients that begin under power and end with none; None where there is no such one."""
    power = transients.values["voltage"] * transients.values["current"]
    keep = np.zeros(power.size, dtype=bool)
    for number in np.unique(transients.segment):
        of = transients.segment == number
        keep |= of & bool(abs(float(power[of][-1])) < 0.03 * float(power[of][0]))
    return transients.only(keep) if keep.any() else None


def _friction(cut: Transients) -> Floats:
    """Return what the cell reads at the end of each cut, turned round (n,) [N m]."""
    out = np.zeros_like(cut.time)
    for number in np.unique(cut.segment):
        of = cut.segment == number
        out[of] = -float(np.median(cut.values["torque"][of][-(of.sum() // 4 + 1) :]))
    return out


def throttle_lag(transients: Transients | None, electrical: Estimate) -> Estimate:
    """Return the lag of the throttle column against the speed channel; negative where the command comes first."""
    unknown = Estimate(0.0, 0.01, np.inf, "not known")
    if transients is None or "throttle" not in transients.values or "current" not in transients.values:
        return unknown
    have = transients.values
    power = have["voltage"] * have["current"] if "voltage" in have else have["current"]
    delays: list[float] = []
    for number in np.unique(transients.segment):
        of = transients.segment == number
        command = have["throttle"][of]
        if command[0] < 0.2 or command[-1] > 0.01:
            continue  # only a cut makes both fall to nothing
        share, felt = command / command[0], power[of] / max(float(power[of][0]), 1e-9)
        delays.append(float(np.trapezoid(felt - share, transients.time[of])))
    if not delays:
        return unknown
    spread = float(np.std(delays)) if len(delays) > 2 else 0.003
    late = float(np.mean(delays))
    if not -0.05 < late < 0.3:
        return unknown
    return Estimate(
        electrical.value - late, float(np.hypot(spread, electrical.uncertainty)), 10.0, "cuts of the throttle"
    )
