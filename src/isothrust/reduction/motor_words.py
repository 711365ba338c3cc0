"""Why runs cannot tell a constant of the motor, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from isothrust.records.motor import CONSTANTS
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.motor_readings import MotorReadings
from isothrust.science.drive_fit import DriveFit

__all__ = ["missing_channels", "unidentified_words", "without_balance"]

_NO_TORQUE: Final[Mapping[str, str]] = {
    "friction": "without torque sensing the current says what the whole torque is, not what of it is lost to friction",
    "viscous": "without torque sensing the current says what the whole torque is, not what of it is lost to friction",
    "loss_resistance": "without torque sensing the controller's loss cannot be told from the propeller's power",
    "idle_power": "without torque sensing the controller's loss cannot be told from the propeller's power",
}


def without_balance(runs: Sequence[ReducedRun]) -> dict[str, str]:
    """Return why runs that show no power balance tell neither friction nor the controller's losses."""
    if not any(run.drive is not None and run.drive.torque is not None for run in runs):
        return dict(_NO_TORQUE)
    return dict.fromkeys(_NO_TORQUE, f"{missing_channels(runs)}: no run shows what is lost between supply and shaft")


def missing_channels(runs: Sequence[ReducedRun]) -> str:
    """Return in words which of the channels of a power balance no run has."""
    points = [run.drive for run in runs if run.drive is not None]
    if not points:
        return "no run has speed and torque or current"
    names = ("torque", "voltage", "current")
    missing = [name for name in names if all(getattr(each, name) is None for each in points)]
    if not missing:
        return "no run has torque, voltage and current together"
    return f"no run has a {' and no run a '.join(missing)} channel"


def unidentified_words(fit: DriveFit, together: MotorReadings, *, stated: bool, full: bool) -> dict[str, str]:
    """Return, constant by constant, why the runs do not tell it."""
    out: dict[str, str] = {}
    held = set(fit.held)
    designs = {run.design for run in together.runs}
    if "kv" in held:
        why = _no_full(together) if not full else "its readings at full throttle do not vary enough"
        out["kv"] = f"{why}; duty is known nowhere" + (": the value stated in motors.csv stands in" if stated else "")
        if not stated:
            known = f"only resistance times KV squared is known: {fit.parameters[1]:.4g} W/(N m)^2"
            out["resistance"] = out["loss_resistance"] = f"without KV {known}"
            out["resistance"] += ", the controller's share included"
    if "controller" in held and "loss_resistance" not in out:
        if full:
            few = "one propeller" if len(designs) == 1 else "propellers of like load"
            out["loss_resistance"] = (
                f"full throttle with {few} does not tell the controller's resistance from the winding's; KV and "
                "resistance allow for 15 % of the winding's, give or take as much"
            )
        else:
            out["loss_resistance"] = "without known duty it cannot be told from the winding's, and is counted with it"
    if "viscous" in held:
        out["viscous"] = "the runs do not cover enough speeds: it is counted with the constant part of friction"
    if "idle_power" in held:
        out["idle_power"] = "the runs do not cover enough speeds: it is counted with friction"
    if "friction" in held:
        out["friction"] = "the loss that is left beside the copper's is too small or too scattered"
    return {name: out[name] for name in CONSTANTS if name in out}


def _no_full(together: MotorReadings) -> str:
    if all(run.drive is None or run.drive.throttle is None for run in together.runs):
        return "no run has a throttle channel"
    if together.notes:
        return together.notes[0]
    return "no run stays at 100 % throttle for a fifth of a second"
