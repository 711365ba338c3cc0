"""Faults of the air, the room and the mounting."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.virtual import Room, RunPlan, holds, on_backwards
from support.faulty.case import FaultCase

__all__ = ["CASES"]

Random = np.random.Generator
Given = tuple[Recording, RunJob]


def _small_room(run: RunPlan, _random: Random) -> RunPlan:
    """A jet that comes back shows in holds longer than it takes to come round."""
    return replace(run, schedule=holds((0.35, 0.5, 0.65, 0.8), stay=10.0), room=Room(0.065, 6.0))


def _backwards(run: RunPlan, _random: Random) -> RunPlan:
    return replace(run, sample_factors=run.sample_factors.times(on_backwards(run.propeller)))


def _supplied(voltage: float) -> Callable[[RunPlan, Random], RunPlan]:
    return lambda run, _random: replace(run, drive=replace(run.drive, supply_voltage=voltage))


def _day(**changed: float) -> Callable[[RunPlan, Random], RunPlan]:
    """Change the air itself; the tester reads it as well as ever."""
    return lambda run, _random: replace(run, air=replace(run.air, **changed))


def _read(**changed: float) -> Callable[[Recording, RunJob], Given]:
    """Change what was read of the air: values in SI."""

    def given(recording: Recording, job: RunJob) -> Given:
        air = job.run.air
        assert air is not None
        readings = {name: replace(getattr(air, name), value=value) for name, value in changed.items()}
        return recording, replace(job, run=replace(job.run, air=replace(air, **readings)))

    return given


def _at(altitude: float) -> Callable[[Recording, RunJob], Given]:
    return lambda recording, job: (recording, replace(job, rig=replace(job.rig, altitude=altitude)))


def _near_wall(recording: Recording, job: RunJob) -> Given:
    return recording, replace(job, rig=replace(job.rig, clearance=0.25))


def _limited(recording: Recording, job: RunJob) -> Given:
    top = float(np.max(recording.channels["speed"].values))
    return recording, replace(job, design=replace(job.design, max_speed=0.97 * top))


CASES = (
    FaultCase(
        "recirculation",
        "inflow of 6.5 % of the induced velocity builds up in 6 s, four holds of 10 s",
        "thrust at a speed by 1.0 to 1.2 % at 6 N",
        kind="holds",
        plan=_small_room,
    ),
    FaultCase("propeller-reversed", "propeller on back to front", "CT falls by half or more", plan=_backwards),
    FaultCase(
        "air-implausible",
        "pressure reduced to sea level at a place 700 m up",
        "density and with it CT by 8.6 %",
        given=_at(700.0),
    ),
    FaultCase("air-implausible", "72 degF written down as 72 degC", "density by 17 %", given=_read(temperature=345.15)),
    FaultCase(
        "air-implausible",
        "humidity of 0.45 written down as 0.45 %",
        "density by 0.4 %",
        given=_read(humidity=0.0045),
    ),
    FaultCase(
        "clearance-low", "rig states a wall at 25 cm", "0.4 % of thrust at equal power at most", given=_near_wall
    ),
    FaultCase("speed-above-limit", "top speed 3 % above the maker's limit", "safety", given=_limited),
    FaultCase(
        "tip-mach-high",
        "a supply of 30 V turns blades made for 24 V: their tips pass Mach 0.7 to 0.8",
        "the simulated coefficients do not follow the Mach number: those of thick blades move by per cents",
        plan=_supplied(30.0),
    ),
    FaultCase(
        "air-outside-range",
        "a shed of 34 degC",
        "density by less than 0.01 %",
        plan=_day(temperature=307.15),
    ),
    FaultCase(
        "reynolds-referral",
        "a bench 2000 m up",
        "coefficients at 14 000 rpm by up to 1 %",
        plan=_day(pressure=79_500.0),
        given=_at(2000.0),
    ),
)
