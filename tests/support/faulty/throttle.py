"""Faults of command and controller."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.virtual import RunPlan, Schedule, VirtualRun, holds, ramp, steps
from support.faulty.case import FaultCase

__all__ = ["CASES"]

Random = np.random.Generator
Plan = Callable[[RunPlan, Random], RunPlan]


def _drive(schedule: Schedule | None = None, **changed: float) -> Plan:
    """Change the drive, and the schedule where one is given."""

    def plan(run: RunPlan, _random: Random) -> RunPlan:
        drive = replace(run.drive, **changed)  # type: ignore[arg-type]
        return replace(run, drive=drive, schedule=schedule or run.schedule)

    return plan


def _heavy(run: RunPlan, _random: Random) -> RunPlan:
    """A rotor of eight times the inertia, and no longer steps than before."""
    return replace(run, added_inertia=7.0 * run.inertia, schedule=steps(stay=0.7))


def _slipping(duration: float) -> Plan:
    """Let the controller lose the rotor once, somewhere between a third and all of the way up."""

    def plan(run: RunPlan, random: Random) -> RunPlan:
        start = float(random.uniform(5.5, 11.5))
        return replace(run, drive=replace(run.drive, slips=((start, duration),)))

    return plan


def _taking_back(run: RunPlan, _random: Random) -> RunPlan:
    """A controller on a small heat sink that takes duty back from 1.5 K on, in holds of eight seconds."""
    drive = replace(run.drive, controller_capacity=6.0, controller_cooling=0.2, derating_from=1.5, derating=0.02)
    return replace(run, drive=drive, schedule=holds((0.3, 0.5, 0.7, 0.9), stay=8.0))


def _warming(run: RunPlan, _random: Random) -> RunPlan:
    """Let a winding of little mass and less air warm in holds of twelve seconds."""
    drive = replace(run.drive, heat_capacity=3.0, cooling=0.15)
    return replace(run, drive=drive, schedule=holds((0.4, 0.7, 1.0), stay=12.0))


def _glitches(run: VirtualRun, random: Random) -> VirtualRun:
    """Let three rows of the command read ten times their value, as with a digit too many."""
    throttle = np.array(run.columns["throttle"])
    under_power = np.flatnonzero(throttle > 0.2)
    throttle[random.choice(under_power, 3, replace=False)] *= 10.0
    return replace(run, columns={**run.columns, "throttle": throttle})


CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "throttle-range-short",
        "the controller is at full duty from 98 % of the command on",
        "throttle at 6 N moves by 2 %",
        plan=_drive(full_from=0.98),
    ),
    FaultCase(
        "throttle-range-short",
        "the same, up and down",
        "throttle at 6 N moves by 2 %",
        kind="up-down",
        plan=_drive(full_from=0.98),
    ),
    FaultCase(
        "throttle-range-short",
        "the controller is at full duty from 94 % of the command on: two holds are one",
        "throttle at 6 N moves by 6 %",
        kind="holds",
        plan=_drive(full_from=0.94),
    ),
    FaultCase(
        "throttle-range-short",
        "the rotor stands still up to 16 % of the command",
        "throttle at 6 N moves by 7 to 18 %",
        plan=_drive(dead_zone=0.16),
    ),
    FaultCase(
        "throttle-not-full",
        "the ramp ends at 98 % of the command",
        "peak thrust is 2.5 to 3.5 % below that of full throttle",
        plan=_drive(ramp(top=0.98)),
    ),
    FaultCase(
        "steps-unsettled",
        "a rotor of eight times the inertia on steps of 0.7 s",
        "the levels of the steps are off by some per cent",
        kind="steps",
        plan=_heavy,
    ),
    FaultCase(
        "steps-flattened",
        "the controller lets duty rise by no more than 2.5 a second",
        "rise time doubles",
        kind="steps",
        plan=_drive(duty_slope=2.5),
    ),
    FaultCase(
        "desynchronised",
        "the controller loses the rotor for 40 ms once on the way up",
        "thrust is down by a fifth and more for a moment; curves move by less than 1 %",
        plan=_slipping(0.04),
    ),
    FaultCase(
        "thermal-derating",
        "the controller takes back 2 % of its duty a kelvin, in holds of 8 s",
        "throttle at a thrust near the top moves by 2 to 6 % over a hold",
        kind="holds",
        plan=_taking_back,
    ),
    FaultCase(
        "thermal-derating",
        "the winding warms over holds of 12 s",
        "thrust at full throttle falls by 5 to 15 % over the hold",
        kind="holds",
        plan=_warming,
    ),
    FaultCase(
        "throttle-out-of-range",
        "three rows of the command have a digit too many",
        "none once they are bridged; throttle at 6 N would move",
        spoil=_glitches,
    ),
)
