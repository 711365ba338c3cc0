"""From readings to loads: cleaned channels, zeros taken out, slipstream on the stand allowed for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from isothrust.errors import ReductionError, Where
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording
from isothrust.records.reduced import ZeroFit
from isothrust.reduction.checks.channels.dead import check_stuck
from isothrust.reduction.checks.channels.frozen import check_frozen
from isothrust.reduction.checks.electrical.falling import refuse_falling_current
from isothrust.reduction.checks.electrical.turned import turn_current
from isothrust.reduction.checks.force.floor import check_floor
from isothrust.reduction.checks.force.touched import check_touched
from isothrust.reduction.checks.speed.spell import check_spells
from isothrust.reduction.cleaning import clean_channels
from isothrust.reduction.ranges import rough_quantiles
from isothrust.reduction.rest import rest_spells
from isothrust.reduction.zero import take_out_zero
from isothrust.science.momentum import slipstream_thrust_ratio

__all__ = ["Loads", "load_channels"]

_IDLE_CURRENT = 0.3
"""What a controller and its electronics draw with the motor off, at most [A]."""
_TURNING = 30.0
"""A rotor under power turns faster than this [rad/s]."""


@dataclass(frozen=True, slots=True)
class Loads:
    """Channels that mean what their names say."""

    channels: Mapping[str, Channel]
    zeros: Mapping[str, ZeroFit]
    rests: tuple[tuple[float, float], ...]
    """Spells with the motor off and the rotor still [s]."""
    slipstream: float | None
    """Factor by which thrust was raised for the stand in the slipstream; None where the rig does not say."""
    findings: tuple[Finding, ...]


def load_channels(recording: Recording, job: RunJob) -> Loads:
    """Return cleaned channels with zeros out and signs settled."""
    _check_running(recording.channels, job)
    refuse_falling_current(recording.channels, job)
    cleaned, findings = clean_channels(recording)
    channels = {name: channel for name, channel in cleaned.items() if channel.time.size > 1}
    rests = rest_spells(channels)
    zeros: dict[str, ZeroFit] = {}
    for name in [name for name in ("thrust", "torque") if name in channels]:
        if stuck := check_stuck(channels[name], rests):
            findings.extend(stuck)
            del channels[name]
            continue
        channels[name], about = _unfrozen(channels[name], channels.get("speed"), rests)
        findings.extend(about)
        channels[name], zeros[name], about = take_out_zero(channels[name], rests, job.rig.channels.get(name))
        findings.extend(about)
    speed, about = check_spells(channels)
    findings.extend(about)
    if speed is not None:
        channels["speed"] = speed
    if "thrust" in channels and {"speed", "throttle", "current"} & set(channels):  # else a guess from thrust
        findings.extend(check_touched(channels["thrust"], rests))
    if "current" in channels:
        channels["current"], about = turn_current(channels["current"])
        findings.extend(about)
    findings.extend(_settle_signs(channels, job))
    factor = _slipstream_factor(job)
    if factor is not None and "thrust" in channels:
        thrust = channels["thrust"]
        channels["thrust"] = replace(thrust, values=thrust.values * factor)
    return Loads(channels, zeros, tuple(rests), factor, tuple(findings))


def _unfrozen(load: Channel, speed: Channel | None, rests: list[tuple[float, float]]) -> tuple[Channel, list[Finding]]:
    """Return the load without what stood still while the rotor did not, and what its least reading tells."""
    findings = check_floor(load, speed, rests)
    if speed is None:
        return load, findings
    moving, about = check_frozen(load, speed)
    return moving, [*findings, *about]


def _slipstream_factor(job: RunJob) -> float | None:
    area, diameter = job.rig.obstruction, job.design.diameter
    if area is None or diameter is None:
        return None
    return float(slipstream_thrust_ratio(area, diameter, drag_coefficient=job.rig.obstruction_drag))


def _check_running(channels: Mapping[str, Channel], job: RunJob) -> None:
    """Refuse a log in which the motor never drew current and no tachometer says that it turned all the same."""
    current, speed = channels.get("current"), channels.get("speed")
    if current is None or not np.any(current.values) or job.run.kind == "zero":
        return  # a column of zeros is no sensor at all: it has a finding of its own
    if speed is not None and speed.values.size and rough_quantiles(speed.values, 0.99)[0] > _TURNING:
        return
    (greatest,) = rough_quantiles(np.abs(current.values), 0.99)
    if greatest < _IDLE_CURRENT:
        voltage = channels.get("voltage")
        supply = f" at {float(np.median(voltage.values)):.2f} V" if voltage is not None and voltage.values.size else ""
        raise ReductionError(
            f"the current of run {job.run.name} never passes {greatest:.2f} A{supply}: the motor did not run",
            code="no-propulsion",
            where=Where(job.run.files.get("log", "")),
            expected=f"more than {_IDLE_CURRENT:g} A under power",
            fix="check the battery and the controller and record the run again, or give it kind = zero in runs.csv",
        )


def _settle_signs(channels: dict[str, Channel], job: RunJob) -> list[Finding]:
    thrust = channels.get("thrust")
    if thrust is not None:
        low, high = rough_quantiles(thrust.values, 0.05, 0.95)
        if -low > 3.0 * max(high, 0.0) and job.run.kind in {"ramp", "holds"}:
            raise ReductionError(
                f"the thrust of run {job.run.name} is negative throughout (down to {low / 0.00980665:.0f} gf)",
                code="thrust-negative",
                expected="thrust that grows with speed",
                fix=f"set sign = -1 under [channels.thrust] in rigs/{job.rig.name}.toml, or mount the propeller "
                "the right way round",
            )
    torque = channels.get("torque")
    if torque is None:
        return []
    low, high = rough_quantiles(torque.values, 0.02, 0.98)
    if -low <= 2.0 * max(high, 0.0):
        return []
    channels["torque"] = replace(torque, values=-torque.values)
    return [
        Finding(
            code="torque-turned",
            severity="note",
            message="torque reads negative under power, as with a rotor that turns the other way",
            channel="torque",
            effect="none",
            done="its sign was turned",
        )
    ]
