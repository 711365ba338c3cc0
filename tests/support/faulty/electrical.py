"""Faults of supply, voltage and current."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording
from isothrust.virtual import Drive, RunPlan, Schedule, VirtualRun, ramp_up_down
from support.faulty.case import FaultCase

__all__ = ["CASES"]

Random = np.random.Generator


def _drive(**changed: float | bool) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
        drive: Drive = replace(run.drive, **changed)  # type: ignore[arg-type]
        return replace(run, drive=drive)

    return plan


def _on_schedule(schedule: Schedule, **changed: float | bool) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, random: Random) -> RunPlan:
        return replace(_drive(**changed)(run, random), schedule=schedule)

    return plan


def _stated(**stated: float | bool) -> Callable[[Recording, RunJob], tuple[Recording, RunJob]]:
    def given(recording: Recording, job: RunJob) -> tuple[Recording, RunJob]:
        return recording, replace(job, rig=replace(job.rig, **stated))  # type: ignore[arg-type]

    return given


def _supply_limit(share: float) -> Callable[[RunPlan, Random], RunPlan]:
    """Limit the supply to a share of what a cold drive takes at full throttle; a ramp warms it to some 95 % of that."""

    def plan(run: RunPlan, _random: Random) -> RunPlan:
        return replace(run, drive=replace(run.drive, supply_limit=share * _full_current(run)))

    return plan


def _full_current(run: RunPlan) -> float:
    """Return the current [A] that the plan's drive takes at full throttle, steady and cold."""
    speeds = np.linspace(500.0, 3500.0, 3001)
    n = speeds / (2.0 * np.pi)
    power = run.factors.power * run.propeller.power_coefficient(n, run.air) * run.air.density * n**3
    torque = power * run.propeller.diameter**5 / speeds
    state = run.drive.steady_state(speeds, torque)
    return float(np.interp(1.0, state.duty, state.current))


def _offset(amount: float) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
        return replace(run, current_zero=replace(run.current_zero, start=run.current_zero.start + amount))

    return plan


def _clipped(run: VirtualRun, random: Random) -> VirtualRun:
    """Let the amplifier ahead of the converter reach its rail at 93 % of what flows: what is read there is noise."""
    current = np.array(run.columns["current"])
    rail = 0.93 * float(np.quantile(current, 0.995))
    noisy = rail + 0.03 * random.standard_normal(current.size)
    return replace(run, columns={**run.columns, "current": np.where(current > rail, noisy, current)})


def _clipped_digitally(run: VirtualRun, _random: Random) -> VirtualRun:
    current = np.array(run.columns["current"])
    return replace(
        run, columns={**run.columns, "current": np.minimum(current, 0.99 * float(np.quantile(current, 0.995)))}
    )


def _turned(recording: Recording, job: RunJob) -> tuple[Recording, RunJob]:
    return _scaled("current", -1.0)(recording, job)


def _scaled(name: str, factor: float) -> Callable[[Recording, RunJob], tuple[Recording, RunJob]]:
    def given(recording: Recording, job: RunJob) -> tuple[Recording, RunJob]:
        old = recording.channels[name]
        new = Channel(name, old.time, factor * old.values, old.resolution)
        return replace(recording, channels={**recording.channels, name: new}), job

    return given


CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "supply-sag",
        "supply of 24 V, stated, on 0.1 ohm of source and leads",
        "throttle and current at 6 N move by 2 %, peak thrust falls short by 10 to 15 %",
        plan=_drive(source_resistance=0.1),
        given=_stated(supply_voltage=24.0),
    ),
    FaultCase(
        "supply-sag",
        "battery with 0.1 ohm inside, nothing stated",
        "throttle and current at 6 N move by 2 %, peak thrust falls short by 10 to 15 %",
        kind="holds",
        plan=_drive(source_resistance=0.1),
    ),
    FaultCase(
        "supply-regeneration",
        "steps down with a braking controller on a supply that takes no current back",
        "no settled figure moves: the safety of supply and controller",
        kind="steps",
        plan=_drive(sinks_current=False),
    ),
    FaultCase(
        "supply-regeneration",
        "leg down in one second with a braking controller, supply takes nothing back",
        "bins of the leg down belong to a braking motor",
        kind="up-down",
        plan=_on_schedule(ramp_up_down(fall=1.0), sinks_current=False),
    ),
    FaultCase(
        "supply-limit",
        "supply limits its current at 90 % of what a cold drive takes at full throttle",
        "peak thrust falls short by 4 to 10 %",
        plan=_supply_limit(0.9),
    ),
    FaultCase(
        "supply-limit",
        "supply limits its current at 78 % of what a cold drive takes at full throttle: two holds stand at it",
        "peak thrust falls short by 8 to 22 %, throttle at 6 N moves by up to 2 %",
        kind="holds",
        plan=_supply_limit(0.78),
    ),
    FaultCase(
        "current-at-rest",
        "current zero 0.08 A too low",
        "electrical efficiency at 6 N moves by 1.1 to 1.7 %",
        plan=_offset(-0.08),
    ),
    FaultCase(
        "current-at-rest",
        "current zero 0.12 A too high",
        "electrical efficiency at 6 N moves by 1.6 to 2.5 %",
        plan=_offset(0.12),
    ),
    FaultCase("current-turned", "current sensor the wrong way round", "every electrical figure", given=_turned),
    FaultCase(
        "current-clipped",
        "the current amplifier reaches its rail at 93 % of the greatest current",
        "peak current reads 7 % too low",
        spoil=_clipped,
    ),
    FaultCase(
        "saturated",
        "current converter runs out of counts at 99 % of the greatest current",
        "peak current reads 0.5 % too low",
        spoil=_clipped_digitally,
    ),
    FaultCase(
        "voltage-ahead-of-lead",
        "0.1 ohm of lead between voltage sensor and controller",
        "electrical efficiency at 6 N moves by 2.3 to 3.2 %",
        plan=_drive(lead_resistance=0.1),
    ),
    FaultCase(
        "power-balance",
        "current reads 12 % too low",
        "electrical efficiency moves by 14 %",
        given=_scaled("current", 0.88),
    ),
)
