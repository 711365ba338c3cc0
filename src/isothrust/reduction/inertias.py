"""Inertia of all that turns, and of the propeller alone, as figures of a run."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from isothrust.quantities import parse_unit
from isothrust.records.job import RunJob
from isothrust.records.reduced import Contribution, Estimate, Figure
from isothrust.records.rig import StatedUncertainty

__all__ = ["AS_STATED", "inertia_figures", "ring_reason"]

AS_STATED: Final = "motor-inertia-as-stated"
"""Flag of a propeller's inertia: what was taken off for the motor's rotor is a figure without an uncertainty."""
_SHOWN: Final = "g cm2"


def ring_reason(job: RunJob) -> str | None:
    """Return why a run with a ring on its hub gives no figure of the propeller's own motion; None without one."""
    if job.run.added_inertia is None:
        return None
    shown = job.run.added_inertia / parse_unit(_SHOWN).factor
    return f"a ring of {shown:.4g} {_SHOWN} turned with the propeller in run {job.run.name}"


def inertia_figures(job: RunJob, own: Estimate | None, stated: Mapping[str, StatedUncertainty]) -> list[Figure]:
    """Return rotor-inertia and propeller-inertia of a run; `own` is what its transients fixed, if they did."""
    reason = ring_reason(job)
    if reason is None and own is None:
        reason = "the run has no steps and no coast that fix it, or no torque or speed channel"
    if reason is not None or own is None:
        return [Figure(name, None, absent=reason) for name in ("rotor-inertia", "propeller-inertia")]
    run = f"{job.run.campaign}/{job.run.name}"
    budget = [
        Contribution("momentum balance", f"run {run} momentum balance", "run", own.uncertainty, own.degrees_of_freedom)
    ]
    scale = stated.get("torque")
    if scale is not None:
        budget.append(
            Contribution("torque scale", f"rig {job.rig.name} torque scale", "rig", scale.relative * own.value, np.inf)
        )
    return [Figure("rotor-inertia", own.value, tuple(budget)), _propeller(job, own, tuple(budget))]


def _propeller(job: RunJob, own: Estimate, budget: tuple[Contribution, ...]) -> Figure:
    name, motor = "propeller-inertia", job.motor
    if motor is None:
        return Figure(name, None, absent=f"nobody says which motor drove run {job.run.name}, so its rotor is not known")
    if motor.rotor_inertia is None:
        return Figure(name, None, absent=f"motors.csv states no rotor inertia for {motor.name}")
    value = own.value - motor.rotor_inertia
    if value <= 0.0:
        stated = motor.rotor_inertia / parse_unit(_SHOWN).factor
        return Figure(
            name,
            None,
            absent=f"motors.csv states {stated:.4g} {_SHOWN} for the rotor of {motor.name}: all that turns has less",
        )
    return Figure(name, value, budget, (AS_STATED,))
