"""A motor from the runs that share it: constants, what they cannot tell, throttle map, supply."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.book import Motor
from isothrust.records.motor import CONSTANTS, MotorModel
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import Rig
from isothrust.reduction.motor_duty import duty_map, supply_line
from isothrust.reduction.motor_electrical import motor_without_torque
from isothrust.reduction.motor_left_out import left_out, rms_errors
from isothrust.reduction.motor_readings import REFERENCE, MotorReadings, rig_doubt, run_readings
from isothrust.reduction.motor_stated import U_KV
from isothrust.reduction.motor_words import unidentified_words
from isothrust.science.drive_fit import DriveFit, StatedValue, fit_drive
from isothrust.science.drive_model import CONSTANT_NAMES, NAMES, RigDoubt, drive_misfits, winding_warmth
from isothrust.science.operating import COPPER

__all__ = ["MotorRuns", "find_motor"]

_LESS_THAN_FULL = 0.01
"""Duty that a run may lack at full throttle, by what the others show, before it counts as not full [1]."""
_STRAY = 5.0
_TOLD = 0.5
"""A heat capacity less well known than this in proportion is not given [1]."""


@dataclass(frozen=True, slots=True)
class MotorRuns:
    """What a motor is found from."""

    name: str
    runs: Sequence[ReducedRun]
    """Those that count, of one campaign; any kind."""
    rigs: Mapping[str, Rig]
    stated: Motor | None
    """Its row in motors.csv."""


def find_motor(given: MotorRuns, *, leave_one_out: bool = True) -> MotorModel:
    """Return motor and controller as the runs show them.

    Parameters
    ----------
    given
        Runs that share the motor, the rigs they were on, and what motors.csv says of it: a stated KV stands in where no
        run shows full duty, and is marked.
    leave_one_out
        Whether each design is foretold from the others' runs.

    Returns
    -------
    MotorModel
        Constants that the runs cannot tell are None, and `unidentified` says why.
    """
    together = run_readings(given.runs)
    doubt, silent = rig_doubt(given.runs, given.rigs)
    if together is None:
        return motor_without_torque(given.name, given.runs, doubt, _flags(silent))
    stated_kv = _stated_kv(given.stated)
    try:
        together, fit = _fit(together, doubt, stated_kv)
    except ValueError as error:
        reason = f"{error}: more speeds and more than one propeller are wanted"
        return _nothing(given, reason)
    impossible = _impossible(fit)
    if impossible:
        return _nothing(given, impossible)
    model = _model(given, together, fit, stated=stated_kv is not None, silent=silent)
    if leave_one_out and model.kv is not None:
        tried = left_out(together, fit, doubt, stated_kv)
        model = replace(model, left_out=tried, prediction_errors=rms_errors(tried))
    return model


def _impossible(fit: DriveFit) -> str:
    """Say what no motor can be like: a winding that takes no heat, or bearings that drive."""
    copper, friction = float(fit.parameters[1]), float(fit.parameters[3])
    hint = "the scale or zero of torque, speed, voltage or current is off"
    if copper <= 0.0:
        return f"shaft power leaves no loss for the winding as load grows: {hint}"
    if "friction" not in fit.held and friction < -_STRAY * float(np.sqrt(fit.covariance[3, 3])):
        return f"more power comes out at low load than goes in: {hint}"
    return ""


def _flags(silent: Sequence[str]) -> tuple[str, ...]:
    return ("calibration-not-stated",) if silent else ()


def _stated_kv(motor: Motor | None) -> StatedValue | None:
    if motor is None or motor.kv is None:
        return None
    return StatedValue(motor.kv, U_KV * motor.kv)


def _fit(together: MotorReadings, doubt: RigDoubt, stated_kv: StatedValue | None) -> tuple[MotorReadings, DriveFit]:
    """Fit, and again without the points at full throttle whose duty was less than the others show."""
    fit = fit_drive(together.readings, doubt, stated_kv=stated_kv)
    readings = together.readings
    at = np.flatnonzero(readings.full)
    if at.size < 4:
        return together, fit
    _, voltage = drive_misfits(fit.parameters, readings)
    lacking = voltage / readings.voltage[at]
    lacking -= float(np.median(lacking))
    stray = lacking > max(_LESS_THAN_FULL, _STRAY * 1.48 * float(np.median(np.abs(lacking))))
    if not stray.any():
        return together, fit
    full = readings.full.copy()
    full[at[stray]] = False
    names = sorted({together.runs[number].run for number in readings.run[at[stray]].tolist()})
    note = (
        f"full throttle of {', '.join(names)} does not count: speed and current there need "
        f"{100.0 * float(np.max(lacking)):.1f} % less voltage than was there, so duty was not full"
    )
    fewer = replace(together, readings=readings._replace(full=full), notes=(*together.notes, note))
    return fewer, fit_drive(fewer.readings, doubt, stated_kv=stated_kv)


def _nothing(given: MotorRuns, reason: str) -> MotorModel:
    unknown = np.full((len(CONSTANTS), len(CONSTANTS)), np.nan)
    return MotorModel(
        given.name,
        "found",
        kv=None,
        resistance=None,
        loss_resistance=None,
        friction=None,
        viscous=None,
        idle_power=None,
        covariance=unknown,
        unidentified=dict.fromkeys(CONSTANTS, reason),
        supply=supply_line(given.runs),
        runs=tuple(run.run for run in given.runs),
        designs=tuple(sorted({run.design for run in given.runs})),
    )


def _model(
    given: MotorRuns, together: MotorReadings, fit: DriveFit, *, stated: bool, silent: Sequence[str]
) -> MotorModel:
    kv_known = "kv" not in fit.held or stated
    values, covariance = _constants(fit, kv_known=kv_known)
    copper = float(fit.parameters[1])
    u_copper = float(np.sqrt(fit.covariance[1, 1]))
    warmth, u_warmth = _warmth(together, fit)
    warming, u_warming = float(fit.parameters[6]), float(np.sqrt(fit.covariance[6, 6]))
    told = warming > 0.0 and u_warming < _TOLD * warming
    motor = given.stated
    flags = list(_flags(silent))
    if "kv" in fit.held and stated:
        flags.append("kv-stated")
    rows = together.readings
    return MotorModel(
        given.name,
        "found",
        kv=values[0],
        resistance=values[1],
        loss_resistance=values[2],
        friction=values[3],
        viscous=values[4],
        idle_power=values[5],
        covariance=covariance,
        temperature=REFERENCE,
        warmth=warmth,
        u_warmth=u_warmth,
        heat_capacity=1.0 / warming if told else None,
        rotor_inertia=motor.rotor_inertia if motor is not None else None,
        max_current=motor.max_current if motor is not None else None,
        degrees_of_freedom=fit.degrees_of_freedom,
        duty=duty_map(together.throttle, *_duty(together, fit)) if kv_known else None,
        supply=supply_line(given.runs),
        runs=tuple(run.run for run in together.runs),
        designs=tuple(sorted({run.design for run in together.runs})),
        unidentified=unidentified_words(fit, together, stated=stated, full=bool(rows.full.any())),
        copper=copper,
        u_copper=u_copper,
        flags=tuple(flags),
        notes=together.notes,
    )


def _constants(fit: DriveFit, *, kv_known: bool) -> tuple[list[float | None], Floats]:
    """Return kv, R, Rc, friction, viscous and idle power with their covariance (6, 6)."""
    kv, copper, controller, friction, viscous, idle = (float(value) for value in fit.parameters[:6])
    covariance = np.where(np.isfinite(fit.covariance[:6, :6]), fit.covariance[:6, :6], 0.0)
    turn = np.eye(6)
    turn[1, :2] = -2.0 * copper / kv**3, 1.0 / kv**2
    turn[2, 0], turn[2, 2] = -2.0 * controller / kv**3, 1.0 / kv**2
    values: list[float | None] = [kv, copper / kv**2, controller / kv**2, friction, viscous, idle]
    out = turn @ covariance @ turn.T
    unknown = [name in fit.held for name in CONSTANT_NAMES[:6]]
    unknown[0] = not kv_known
    if not kv_known:
        unknown[1] = unknown[2] = True
    for place, missing in enumerate(unknown):
        if missing:
            values[place] = None
            out[place, :] = out[:, place] = np.nan
    return values, out


def _warmth(together: MotorReadings, fit: DriveFit) -> tuple[float, float]:
    """Return the winding's warmth over the reference at the end of each run, on the mean, and how far runs differ."""
    warm = winding_warmth(fit.parameters, together.readings)
    run = together.readings.run
    ends = np.array([warm[run == number].max() for number in np.unique(run)])
    warming = float(np.sqrt(fit.covariance[6, 6])) / max(abs(float(fit.parameters[6])), 1e-12)
    spread = float(ends.std(ddof=1)) if ends.size > 1 else 0.0
    return float(ends.mean()), float(np.hypot(spread, warming * float(ends.mean())))


def _duty(together: MotorReadings, fit: DriveFit) -> tuple[Floats, Floats]:
    """Return the duty of every reading, and its uncertainty by the constants (n,)."""
    known = np.flatnonzero(np.isfinite(np.diag(fit.covariance))[: len(CONSTANT_NAMES)])
    covariance = fit.covariance[np.ix_(known, known)]
    base = _duty_of(fit.parameters, together)
    slopes = []
    for at in known:
        step = np.zeros(len(NAMES))
        step[at] = 1e-3 * float(np.sqrt(fit.covariance[at, at]))
        slopes.append((_duty_of(fit.parameters + step, together) - base) / step[at])
    by = np.stack(slopes, axis=1)
    return base, np.sqrt(np.maximum(np.einsum("np,pq,nq->n", by, covariance, by), 0.0))


def _duty_of(parameters: Floats, together: MotorReadings) -> Floats:
    kv, copper, _, friction, viscous = parameters[:5]
    r = together.readings
    torque = r.torque + friction + viscous * r.speed
    winding = copper * (1.0 + COPPER * winding_warmth(parameters, r))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(r.voltage > 0.0, (r.speed + winding * torque) / (kv * r.voltage), np.nan))
