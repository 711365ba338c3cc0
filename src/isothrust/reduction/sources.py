"""All sources of error of one run, one small function each."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from isothrust.records.curve import Influence, Scope
from isothrust.records.recording import Floats
from isothrust.records.rig import StatedUncertainty
from isothrust.reduction.airstate import AirState
from isothrust.reduction.electrics import Electrics
from isothrust.reduction.influences import Fitted, ShiftList, scale_influences, speed_influence
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.referral import Referral
from isothrust.science.momentum import slipstream_thrust_ratio

__all__ = ["all_influences"]

_USUAL_OBSTRUCTION = 20e-4
"""What a small stand puts into the slipstream where nobody measured it [m2]."""


def all_influences(
    prepared: Prepared,
    air: AirState,
    mechanics: Mechanics,
    electrics: Electrics,
    fitted: Mapping[str, Fitted],
    stated: Mapping[str, StatedUncertainty],
    referrals: Mapping[str, Referral],
) -> list[Influence]:
    """Return one influence a source."""
    found = ShiftList(prepared.job)
    for source, shifts in scale_influences(stated, fitted):
        if electrics.state is not None:
            shifts.update(_steady_scale(prepared, source, stated, electrics, fitted))
        found.of_rig(source, shifts)
    _speed(found, prepared, fitted, stated)
    _zeros(found, prepared, fitted, stated)
    _lags(found, prepared, mechanics, electrics, fitted)
    _inertia(found, prepared, mechanics, electrics, fitted)
    _drive(found, prepared, electrics, fitted)
    _air(found, prepared, air, mechanics, electrics, fitted, referrals)
    _slipstream(found, prepared, fitted)
    return found.items


def _steady_scale(
    prepared: Prepared,
    source: str,
    stated: Mapping[str, StatedUncertainty],
    electrics: Electrics,
    fitted: Mapping[str, Fitted],
) -> dict[str, Floats]:
    """Shifts of electrical curves for an error of scale: what takes the inertial part out scales with torque alone."""
    state = electrics.state
    assert state is not None
    channel = source.removesuffix(" scale")
    if channel == "torque":
        error = stated[channel].relative * state.extra_torque
        shifts = _electrical(prepared, fitted, error * (2.0 * state.marginal - prepared.site.x), electrics)
        return {**shifts, **_throttle(fitted, error, electrics)}
    if channel not in {"voltage", "current"}:
        return {}
    relative = stated[channel].relative
    shifts = _electrical(prepared, fitted, relative * (state.power - state.extra_torque * state.marginal), electrics)
    if channel == "voltage" and "current" in shifts:
        shifts["current"] = shifts["current"] - relative * fitted["current"].coefficients
    return shifts


def _throttle(fitted: Mapping[str, Fitted], torque_error: Floats, electrics: Electrics) -> dict[str, Floats]:
    """Shift of the throttle for an error of the torque (n,) [N m] that it was moved by."""
    if electrics.throttle_per_torque is None or "throttle" not in fitted:
        return {}
    return {"throttle": fitted["throttle"].shift(torque_error * electrics.throttle_per_torque)}


def _speed(
    found: ShiftList, prepared: Prepared, fitted: Mapping[str, Fitted], stated: Mapping[str, StatedUncertainty]
) -> None:
    u = stated.get("speed")
    if u is None or prepared.abscissa != "speed":
        return
    if u.relative > 0.0:
        found.of_rig("speed scale", speed_influence(u.relative, fitted, prepared.site.stretch))
    if u.absolute > 0.0:
        share = u.absolute / float(np.median(prepared.site.x))
        found.of_run("speed offset", speed_influence(share, fitted, prepared.site.stretch))


def _zeros(
    found: ShiftList, prepared: Prepared, fitted: Mapping[str, Fitted], stated: Mapping[str, StatedUncertainty]
) -> None:
    n = prepared.site.x.size
    for name in ("thrust", "torque"):
        zero = prepared.loads.zeros.get(name)
        if zero is not None and name in fitted:
            factor = (prepared.loads.slipstream or 1.0) if name == "thrust" else 1.0
            found.of_run(f"{name} zero", {name: fitted[name].shift(np.full(n, zero.uncertainty * factor))})
    power = fitted.get("electrical-power")
    for name, other in (("voltage", "current"), ("current", "voltage")):
        u = stated.get(name)
        if u is None or u.absolute <= 0.0:
            continue
        shifts: dict[str, Floats] = {}
        if name in fitted:
            shifts[name] = fitted[name].shift(np.full(n, u.absolute))
        beside = prepared.steady(other)
        if power is not None and beside is not None:
            shifts["electrical-power"] = power.shift(u.absolute * beside)
        found.of_run(f"{name} offset", shifts)


def _lags(
    found: ShiftList, prepared: Prepared, mechanics: Mechanics, electrics: Electrics, fitted: Mapping[str, Fitted]
) -> None:
    thrust, torque = mechanics.thrust, mechanics.torque
    if thrust is not None:
        shift = fitted["thrust"].shift(thrust.lag.uncertainty * thrust.slope)
        found.of_run("thrust lag", {"thrust": shift}, degrees_of_freedom=thrust.lag.degrees_of_freedom)
    if torque is not None:
        shift = fitted["torque"].shift(torque.lag.uncertainty * torque.given.slope)
        found.of_run("torque lag", {"torque": shift}, degrees_of_freedom=torque.lag.degrees_of_freedom)
    lag = electrics.lag
    shifts: dict[str, Floats] = {}
    if electrics.rise is not None and "electrical-power" in fitted:
        shifts["electrical-power"] = fitted["electrical-power"].shift(lag.uncertainty * electrics.rise)
    if "current" in fitted and prepared.bins.get("current") is not None:
        shifts["current"] = fitted["current"].shift(lag.uncertainty * prepared.rate("current"))
    found.of_run("electrical lag", shifts, degrees_of_freedom=lag.degrees_of_freedom)
    if "throttle" in fitted:
        late = electrics.throttle_lag
        shift = fitted["throttle"].shift(late.uncertainty * prepared.rate("throttle"))
        found.of_run("throttle lag", {"throttle": shift}, degrees_of_freedom=late.degrees_of_freedom)


def _inertia(
    found: ShiftList, prepared: Prepared, mechanics: Mechanics, electrics: Electrics, fitted: Mapping[str, Fitted]
) -> None:
    torque = mechanics.torque
    if torque is None or torque.inertia is None:
        return
    inertial = torque.inertia.uncertainty * mechanics.acceleration
    shifts = {"torque": fitted["torque"].shift(-inertial)}
    if electrics.state is not None:
        shifts.update(_electrical(prepared, fitted, -inertial * electrics.state.marginal, electrics))
        shifts.update(_throttle(fitted, -inertial, electrics))
    own = torque.own_inertia
    key = torque.inertia.origin if not own else ""
    if own:
        found.of_run("rotor inertia", shifts, degrees_of_freedom=torque.inertia.degrees_of_freedom)
    else:
        run = found.job.run
        found.add("rotor inertia", f"inertia of {run.design}/{run.sample}: {key}", "sample", shifts)


def _electrical(
    prepared: Prepared, fitted: Mapping[str, Fitted], error: Floats, electrics: Electrics
) -> dict[str, Floats]:
    """Shifts of electrical power and current for an error of the power wanted (n,) [W]."""
    assert electrics.state is not None
    out: dict[str, Floats] = {}
    if "electrical-power" in fitted:
        out["electrical-power"] = fitted["electrical-power"].shift(error)
    if "current" in fitted:
        current = fitted["current"]
        reading = current.size * (prepared.site.basis @ current.coefficients)
        out["current"] = current.shift(error / electrics.state.power * reading)
    return out


def _drive(found: ShiftList, prepared: Prepared, electrics: Electrics, fitted: Mapping[str, Fitted]) -> None:
    copper, state = electrics.copper, electrics.state
    if copper is None or state is None or copper.per_torque_squared <= 0.0:
        return
    spread = copper.uncertainty / copper.per_torque_squared
    copper_part = state.extra_torque * (state.marginal - prepared.site.x)
    shifts = _electrical(prepared, fitted, spread * copper_part, electrics)
    shifts.update(_throttle(fitted, spread * state.extra_torque, electrics))
    motor = found.job.motor.name if found.job.motor is not None else "unknown"
    found.add("drive loss", f"campaign {found.job.run.campaign} motor {motor} drive loss", "campaign", shifts)


def _air(
    found: ShiftList,
    prepared: Prepared,
    air: AirState,
    mechanics: Mechanics,
    electrics: Electrics,
    fitted: Mapping[str, Fitted],
    referrals: Mapping[str, Referral],
) -> None:
    loads = {name: fitted[name] for name in ("thrust", "torque") if name in fitted}
    for source in air.sources:
        shifts = {name: -source.relative * curve.coefficients for name, curve in loads.items()}
        shifts.update(_referred(prepared, mechanics, electrics, fitted, -source.relative))
        scope: Scope = "campaign" if source.key.startswith("campaign") else "rig"
        found.add(source.source, source.key, scope, shifts)
    campaign = f"campaign {prepared.job.run.campaign}"
    effect = "Reynolds effect of the referral"
    for part, pick in (("", "doubt"), (" at some speeds", "local")):
        shifts = {name: getattr(one, pick) for name, one in referrals.items()}
        found.add(effect + part, f"{campaign} {effect}{part}", "campaign", shifts)


def _referred(
    prepared: Prepared, mechanics: Mechanics, electrics: Electrics, fitted: Mapping[str, Fitted], relative: float
) -> dict[str, Floats]:
    """Shifts of the electrical curves when the torque wanted in standard air changes by a share of itself."""
    torque = mechanics.torque
    if electrics.state is None or torque is None:
        return {}
    wanted = prepared.site.basis @ torque.curve.fit.coefficients * prepared.job.standard_density * prepared.site.x**2
    shifts = _electrical(prepared, fitted, relative * wanted * electrics.state.marginal, electrics)
    return {**shifts, **_throttle(fitted, relative * wanted, electrics)}


def _slipstream(found: ShiftList, prepared: Prepared, fitted: Mapping[str, Fitted]) -> None:
    diameter, rig = prepared.job.design.diameter, prepared.job.rig
    if diameter is None or "thrust" not in fitted or rig.obstruction is not None:
        return
    # nothing was corrected: a stand takes between nothing and the usual share, never adds
    usual = float(slipstream_thrust_ratio(_USUAL_OBSTRUCTION, diameter)) - 1.0
    found.of_rig("slipstream on the stand", {"thrust": usual / np.sqrt(3.0) * fitted["thrust"].coefficients})
