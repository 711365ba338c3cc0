"""Puts a reduced run together: curves, influences, figures, flags and reasons."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, get_args

import numpy as np

from isothrust.records.curve import CurveName, SmoothCurve
from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.records.rig import StatedUncertainty
from isothrust.reduction.airstate import AirState
from isothrust.reduction.checks.air.reynolds import check_reynolds
from isothrust.reduction.drivepoints import drive_points
from isothrust.reduction.electrics import Electrics, everywhere
from isothrust.reduction.fitting import CurveFit
from isothrust.reduction.holding import hold_points
from isothrust.reduction.inertias import inertia_figures
from isothrust.reduction.influences import Fitted
from isothrust.reduction.loads import load_channels
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.method import METHOD_VERSION
from isothrust.reduction.peaks import peak_figures
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.referral import Referral, refer_coefficients
from isothrust.reduction.response.reduced import respond
from isothrust.reduction.sources import all_influences

__all__ = ["assemble", "only_zero"]

_OF_LOG: Final[tuple[CurveName, ...]] = ("thrust", "torque", "electrical-power", "current", "voltage", "throttle")
"""Curves that a log gives; why others are missing is told where they are made."""


def assemble(
    recording: Recording, prepared: Prepared, air: AirState, mechanics: Mechanics, electrics: Electrics
) -> ReducedRun:
    """Return the run's record."""
    job = prepared.job
    stated = stated_uncertainties(job)
    fits = _fits(mechanics, electrics)
    fitted = {n: Fitted(f.fit.coefficients, f.fit.gain, size, power) for n, (f, size, power) in fits.items()}
    referrals = refer_coefficients(prepared.site, air, fitted)
    influences = all_influences(prepared, air, mechanics, electrics, fitted, stated, referrals)
    torque = mechanics.torque
    inertia = torque.inertia if torque is not None else None
    lags = {"electrical": electrics.lag, "throttle": electrics.throttle_lag}
    if mechanics.thrust is not None:
        lags["thrust"] = mechanics.thrust.lag
    if torque is not None:
        lags["torque"] = torque.lag
    figures = peak_figures(prepared, stated, everywhere(prepared, mechanics, electrics), electrics.throttle_lag.value)
    own = torque.inertia if torque is not None and torque.own_inertia else None
    figures += inertia_figures(job, own, stated)
    response, of_steps, about = respond(prepared, mechanics)
    figures += of_steps
    findings = [
        *recording.findings,
        *air.findings,
        *prepared.loads.findings,
        *mechanics.findings,
        *electrics.findings,
        *about,
    ]
    for name, referral in referrals.items():
        findings += check_reynolds(name, referral.relative, air.reynolds_ratio)
    return ReducedRun(
        **_identity(job),
        abscissa=prepared.abscissa,
        density=air.density,
        standard_density=job.standard_density,
        curves={n: _curve(n, f, prepared, referrals.get(n)) for n, (f, _, _) in fits.items()},
        influences=tuple(influences),
        figures=tuple(figures),
        lags=lags,
        inertia=inertia,
        zeros=dict(prepared.loads.zeros),
        holds=hold_points(prepared),
        findings=tuple(findings),
        flags=_flags(prepared, air, electrics, stated, recording),
        absent=_absent(job, recording, prepared, fits),
        response=response,
        added_inertia=job.run.added_inertia,
        inertia_wanted=torque is not None and torque.inertia is None,
        method_version=METHOD_VERSION,
        drive=drive_points(prepared, mechanics, electrics),
    )


def only_zero(recording: Recording, job: RunJob, air: AirState) -> ReducedRun:
    """Return the record of a run with the motor off: its zeros and nothing else."""
    loads = load_channels(recording, job)
    reason = "the run is a zero: the motor is off"
    return ReducedRun(
        **_identity(job),
        abscissa="speed",
        density=air.density,
        standard_density=job.standard_density,
        curves={},
        influences=(),
        figures=tuple(
            Figure(n, None, absent=reason)
            for n in ("peak-thrust", "peak-electrical-power", "peak-current", "rotor-inertia", "propeller-inertia")
        ),
        lags={},
        inertia=None,
        zeros=dict(loads.zeros),
        holds=(),
        findings=(*recording.findings, *(f for f in loads.findings if not _only_of_motion(f))),
        flags=air.flags,
        absent={name: reason for name in get_args(CurveName) if not name.startswith("vibration")},
        method_version=METHOD_VERSION,
    )


def _only_of_motion(finding: Finding) -> bool:
    """Whether a finding means something only where the motor runs: at rest, speed and current read nothing."""
    still = finding.code == "channel-dead" and finding.channel in {"speed", "current"}
    return still or finding.code == "zero-one-sided"


def stated_uncertainties(job: RunJob) -> dict[str, StatedUncertainty]:
    """Return what the rig states, channel by channel; a channel that states nothing is not in it."""
    return {n: plan.uncertainty for n, plan in job.rig.channels.items() if plan.uncertainty is not None}


def _identity(job: RunJob) -> dict[str, Any]:
    run = job.run
    return {
        "run": run.name,
        "campaign": run.campaign,
        "design": run.design,
        "sample": run.sample,
        "mounting": run.mounting,
        "kind": run.kind,
        "rig": job.rig.name,
        "date": run.date,
    }


def _fits(mechanics: Mechanics, electrics: Electrics) -> dict[str, tuple[CurveFit, np.ndarray, int]]:
    out: dict[str, tuple[CurveFit, np.ndarray, int]] = {}
    if mechanics.thrust is not None:
        out["thrust"] = (mechanics.thrust.curve, mechanics.thrust.size, 2)
    if mechanics.torque is not None:
        out["torque"] = (mechanics.torque.curve, mechanics.torque.size, 2)
    out.update({name: (fit.curve, fit.size, fit.power) for name, fit in electrics.curves.items()})
    return out


def _curve(name: str, fit: CurveFit, prepared: Prepared, referral: Referral | None) -> SmoothCurve:
    assert name in get_args(CurveName)
    return SmoothCurve(
        name=name,  # type: ignore[arg-type]
        knots=prepared.site.knots,
        coefficients=fit.fit.coefficients + (referral.shift if referral is not None else 0.0),
        covariance=fit.fit.covariance,
        low=float(prepared.site.x.min()),
        high=float(prepared.site.x.max()),
        degrees_of_freedom=fit.degrees_of_freedom,
        residual_sd=fit.residual_sd,
        correlation=fit.correlation,
    )


def _flags(
    prepared: Prepared,
    air: AirState,
    electrics: Electrics,
    stated: Mapping[str, StatedUncertainty],
    recording: Recording,
) -> tuple[str, ...]:
    flags = [*air.flags, *electrics.flags]
    needed = {"speed", "thrust", "torque", "voltage", "current"} & set(recording.channels)
    if needed - set(stated):
        flags.append("calibration-not-stated")
    if prepared.abscissa != "speed":
        flags.append("no-speed-channel")
    if prepared.job.rig.obstruction is None:
        flags.append("obstruction-not-stated")
    return tuple(dict.fromkeys(flags))


def _absent(job: RunJob, recording: Recording, prepared: Prepared, have: Mapping[str, object]) -> dict[str, str]:
    out: dict[str, str] = {}
    channels = {"electrical-power": ("voltage", "current")}
    for name in _OF_LOG:
        if name in have:
            continue
        missing = [c for c in channels.get(name, (name,)) if c not in recording.channels]
        if prepared.abscissa != "speed" and name in {"thrust", "torque"}:
            why = "was left out: see its findings" if "speed" in recording.channels else "is not in its log"
            out[name] = f"the speed channel of run {job.run.name} {why}"
        elif missing and set(missing) <= set(job.rig.channels):
            out[name] = f"the log of run {job.run.name} has no column for {' and none for '.join(missing)}"
        elif missing:
            out[name] = f"rig {job.rig.name} has no {' and no '.join(missing)} channel"
        elif dead := [c for c in channels.get(name, (name,)) if c not in prepared.loads.channels]:
            out[name] = f"the {' and '.join(dead)} channel of run {job.run.name} was left out: see its findings"
        else:
            out[name] = f"the {name} channel of run {job.run.name} has gaps or no meaning under power"
    return out
