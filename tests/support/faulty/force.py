"""Faults of the load cells, their converters and filters, and of what leans on the stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.virtual import RunPlan, Sensor, VirtualRun
from isothrust.virtual.plans import Push
from support.faulty.case import FaultCase

__all__ = ["CASES"]

Random = np.random.Generator
Floats = np.ndarray
Plan = Callable[[RunPlan, Random], RunPlan]
Spoil = Callable[[VirtualRun, Random], VirtualRun]

_GF: Final = 0.00980665


def _cell(channel: str, **changed: float | str) -> Plan:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
        sensors = run.stand.sensors
        cell: Sensor = replace(getattr(sensors, channel), **changed)
        return replace(run, stand=replace(run.stand, sensors=replace(sensors, **{channel: cell})))

    return plan


def _zero(channel: str, **more: float) -> Plan:
    def plan(run: RunPlan, _random: Random) -> RunPlan:
        zero = run.zero(channel)
        moved = replace(zero, **{name: getattr(zero, name) + value for name, value in more.items()})
        return replace(run, **{f"{channel}_zero": moved})

    return plan


def _push(size: float, length: float) -> Plan:
    """Lean on the bench before the run, from a random moment on, one way or the other."""

    def plan(run: RunPlan, random: Random) -> RunPlan:
        push = Push(float(random.uniform(0.1, 0.7)), length, size * float(random.choice([-1.0, 1.0])))
        return replace(run, thrust_zero=replace(run.thrust_zero, pushes=(push,)))

    return plan


def _leak(per_newton: float) -> Plan:
    def plan(run: RunPlan, random: Random) -> RunPlan:
        return replace(run, stand=replace(run.stand, crosstalk=per_newton * float(random.choice([-1.0, 1.0]))))

    return plan


def _column(channel: str, change: Callable[[Floats, Random], Floats]) -> Spoil:
    def spoil(run: VirtualRun, random: Random) -> VirtualRun:
        return replace(run, columns={**run.columns, channel: change(run.columns[channel], random)})

    return spoil


def _rows(start: float, end: float) -> Spoil:
    """Keep the rows from start to end [s] alone: the logger was started late, or stopped early."""

    def spoil(run: VirtualRun, _random: Random) -> VirtualRun:
        time = run.columns["time"]
        kept = (time >= start) & (time < end)
        return replace(run, columns={name: values[kept] for name, values in run.columns.items()})

    return spoil


def _ceiling(share: float) -> Callable[[Floats, Random], Floats]:
    def change(values: Floats, _random: Random) -> Floats:
        return np.minimum(values, share * np.quantile(values, 0.98))

    return change


def _floor(offset: float) -> Callable[[Floats, Random], Floats]:
    """Let an amplifier without a sign read nothing where the zero lies `offset` under its range."""

    def change(values: Floats, _random: Random) -> Floats:
        return np.maximum(values - np.median(values[:1000]) - offset, 0.0)

    return change


def _frozen(samples: int) -> Callable[[Floats, Random], Floats]:
    """Freeze the reading for a spell somewhere about the middle of the load."""

    def change(values: Floats, random: Random) -> Floats:
        middle = np.flatnonzero(values > 0.5 * np.quantile(values, 0.98))[0]
        first = int(middle + random.integers(-500, 500))
        out = values.copy()
        out[first : first + samples] = out[first]
        return out

    return change


def _constant(values: Floats, _random: Random) -> Floats:
    return np.full(values.size, values[0])


def _turned(values: Floats, _random: Random) -> Floats:
    return -values


def _somewhere(values: Floats, random: Random, count: int) -> Floats:
    loaded = np.flatnonzero(values > 100.0 * _GF)
    return random.choice(loaded, size=count, replace=False)


def _glued(values: Floats, random: Random) -> Floats:
    """Write two readings as one number: 612 and 613 as 612613."""
    out = values.copy()
    for row in _somewhere(values, random, 1):
        out[row] = float(f"{values[row] / _GF:.0f}{values[row - 1] / _GF:.0f}") * _GF
    return out


def _chopped(values: Floats, random: Random) -> Floats:
    """Lose the first digit of a few readings in gf: 612 becomes 12."""
    out = values.copy()
    for row in _somewhere(values, random, 5):
        out[row] = float(f"{values[row] / _GF:.0f}"[1:] or 0) * _GF
    return out


def _with_stated_zero(recording: Recording, job: RunJob) -> tuple[Recording, RunJob]:
    channels = {name: replace(plan, zero=0.0) for name, plan in job.rig.channels.items()}
    return recording, replace(job, rig=replace(job.rig, channels=channels))


_LINE = "1 % of the thrust at 6 N at mid-run, were the line between the rests not taken out"

CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "zero-drift", "the zero of thrust drifts by 12 gf during the run", _LINE, plan=_zero("thrust", drift=0.12)
    ),
    FaultCase(
        "zero-drift",
        "the zero of torque drifts by 0.0014 N m during the run",
        "1 % of the torque at 6 N at mid-run, were the line between the rests not taken out",
        plan=_zero("torque", drift=1.4e-3),
    ),
    FaultCase(
        "zero-creep",
        "the thrust cell gains 3 % under load with a time constant of 4 s, and loses it again",
        "thrust coefficient 1.1 %",
        plan=_cell("thrust", creep=0.03),
    ),
    FaultCase(
        "zero-drift",
        "the zero of thrust goes 15 gf off with a time constant of 4 s from the start of the run on",
        "shaft efficiency at 6 N 1 %: a straight line does not take it out",
        plan=_zero("thrust", creep=0.15),
    ),
    FaultCase(
        "saturated",
        "the thrust converter ends 1 % below the greatest thrust",
        "peak thrust 1 %",
        spoil=_column("thrust", _ceiling(0.99)),
    ),
    FaultCase(
        "saturated",
        "the thrust converter ends at half of the greatest thrust",
        "peak thrust 50 %",
        spoil=_column("thrust", _ceiling(0.5)),
    ),
    FaultCase(
        "saturated",
        "the zero of thrust lies 7 gf under the amplifier's range",
        "shaft efficiency at 6 N 1.6 %",
        spoil=_column("thrust", _floor(0.07)),
    ),
    FaultCase(
        "channel-stuck",
        "thrust stands still for 0.4 s in mid-ramp",
        "thrust coefficient about 1 % there, were it left in",
        spoil=_column("thrust", _frozen(400)),
    ),
    FaultCase(
        "channel-stuck",
        "torque stands still for 0.4 s in mid-ramp",
        "power coefficient about 1 % there, were it left in",
        spoil=_column("torque", _frozen(400)),
    ),
    FaultCase(
        "channel-dead",
        "torque reads one and the same all along",
        "no figure of torque",
        spoil=_column("torque", _constant),
    ),
    FaultCase("thrust-negative", "thrust has the wrong sign", "no figure", spoil=_column("thrust", _turned)),
    FaultCase("torque-turned", "torque has the wrong sign", "none: it is turned", spoil=_column("torque", _turned)),
    FaultCase(
        "touched",
        "something leans on the bench with 10 gf for 1.1 s of the rest before the run",
        "thrust coefficient 1.2 %",
        plan=_push(0.1, 1.1),
    ),
    FaultCase(
        "torque-crosstalk",
        "the torque cell reads 1.3 mN m for each newton of thrust, seen in the coast",
        "power coefficient 11 %; 1 % is beyond what one coast can show against its noise",
        plan=_leak(1.3e-3),
    ),
    FaultCase(
        "torque-crosstalk",
        "a torque of 3.6 mN m stays as long as the rotor turns, whatever the speed",
        "shaft efficiency at 6 N 5 %; less cannot be told from the blades' course with Reynolds number",
        plan=_zero("torque", running=3.6e-3),
    ),
    FaultCase(
        "filter-slow",
        "thrust follows 130 ms late",
        "shaft efficiency at 6 N 4 %: half of such runs cannot tell the delay and leave it in",
        plan=_cell("thrust", filter_time=0.13),
    ),
    FaultCase(
        "filter-slow",
        "torque follows 100 ms late",
        "power coefficient 7 %, by way of the rotor's inertia",
        plan=_cell("torque", filter_time=0.1),
    ),
    FaultCase(
        "channel-held",
        "the converter of thrust gives 40 readings a second in a log of 1000 rows",
        "electrical efficiency at 6 N 0.4 %",
        plan=_cell("thrust", rate=40.0, between="hold"),
    ),
    FaultCase(
        "spikes",
        "one reading is glued to the next",
        "none once it is out; peak and range, were it left in",
        spoil=_column("thrust", _glued),
    ),
    FaultCase(
        "spikes",
        "five readings have lost their first digit",
        "none once they are out; peak and range, were they left in",
        spoil=_column("thrust", _chopped),
    ),
    FaultCase(
        "zero-missing",
        "the log has no rest at either end",
        "1 % at 6 N for 6 gf of zero",
        spoil=_rows(3.0, 12.2),
    ),
    FaultCase(
        "zero-stated",
        "the log has no rest at either end, and the rig file states a zero",
        "1 % at 6 N for 6 gf that the zero moved since",
        spoil=_rows(3.0, 12.2),
        given=_with_stated_zero,
    ),
    FaultCase(
        "zero-one-sided",
        "the log ends before the rotor stands",
        "1 % at 6 N for 12 gf of drift",
        spoil=_rows(0.0, 12.6),
    ),
)
