"""Faults of tachometers: marks lost or counted twice, wrong factors, coarse, averaged and rippling readings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from isothrust.virtual import Order, RunPlan, VirtualRun
from support.faulty.case import FaultCase

__all__ = ["CASES", "with_sensor"]

Random = np.random.Generator
Plan = Callable[[RunPlan, Random], RunPlan]
Spoil = Callable[[VirtualRun, Random], VirtualRun]

_RPM = 2.0 * np.pi / 60.0


def with_sensor(name: str, **changed: Any) -> Plan:
    """One channel's sensor, changed: the fault is then in what the sensor does to the true quantity."""

    def change(plan: RunPlan, _random: Random) -> RunPlan:
        sensors = plan.stand.sensors
        sensor = replace(getattr(sensors, name), **changed)
        return replace(plan, stand=replace(plan.stand, sensors=replace(sensors, **{name: sensor})))

    return change


def _scaled(factor: float) -> Plan:
    """All that the tachometer counts, wrong by one factor."""

    def change(plan: RunPlan, _random: Random) -> RunPlan:
        return replace(plan, errors=replace(plan.errors, speed=factor * (1.0 + plan.errors.speed) - 1.0))

    return change


def _six_as_five(plan: RunPlan, random: Random) -> RunPlan:
    return _scaled(6.0 / 5.0)(replace(plan, drive=replace(plan.drive, pole_pairs=6)), random)


def _spells(factor: float, length: tuple[float, float], count: int) -> Spoil:
    """`count` spells of a length [s] under power, at random, in which the reading is multiplied."""

    def spoil(run: VirtualRun, random: Random) -> VirtualRun:
        time, speed = run.columns["time"], run.columns["speed"].copy()
        under = np.flatnonzero(speed > 0.35 * speed.max())
        first, last = float(time[under[0]]), float(time[under[-1]])
        room = (last - first) / count
        for place in range(count):
            lasts = float(random.uniform(*length))
            start = first + place * room + float(random.uniform(0.1, 0.9)) * max(room - lasts - 0.2, 0.0)
            speed[(time >= start) & (time < start + lasts)] *= factor
        return replace(run, columns={**run.columns, "speed": speed})

    return spoil


def _jumps(run: VirtualRun, random: Random) -> VirtualRun:
    """Single wild readings, as an electrical disturbance makes them."""
    speed = run.columns["speed"].copy()
    under = np.flatnonzero(speed > 0.35 * speed.max())
    at = random.choice(under[:-1], size=12, replace=False)
    speed[at] *= random.uniform(4.0, 9.0, size=at.size)
    return replace(run, columns={**run.columns, "speed": speed})


def _lost(run: VirtualRun, random: Random) -> VirtualRun:
    """The mark comes off at some speed and the tachometer sees nothing from there on."""
    time, speed = run.columns["time"], run.columns["speed"].copy()
    under = np.flatnonzero(speed > 0.1 * speed.max())
    cut = int(under[int(float(random.uniform(0.2, 0.6)) * under.size)])
    speed[time >= time[cut]] = 0.0
    return replace(run, columns={**run.columns, "speed": speed})


def _stuck(run: VirtualRun, random: Random) -> VirtualRun:
    """The counter keeps its last reading from some speed on."""
    time, speed = run.columns["time"], run.columns["speed"].copy()
    under = np.flatnonzero(speed > 0.1 * speed.max())
    cut = int(under[int(float(random.uniform(0.3, 0.6)) * under.size)])
    speed[time >= time[cut]] = speed[cut]
    return replace(run, columns={**run.columns, "speed": speed})


def _counted(step: float) -> Spoil:
    """A counter that only rounds down to whole counts of its gate."""

    def spoil(run: VirtualRun, _random: Random) -> VirtualRun:
        return replace(run, columns={**run.columns, "speed": np.floor(run.columns["speed"] / step) * step})

    return spoil


CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "tachometer-dropout",
        "marks lost in 8 spells of 2 to 60 ms",
        "left in, thrust coefficient near those speeds off by more than 1 %; left out, nothing moves",
        spoil=_spells(0.0, (0.002, 0.06), 8),
    ),
    FaultCase(
        "tachometer-double-count",
        "each mark counted twice in 6 spells of 2 to 60 ms",
        "left in, thrust coefficient near those speeds off by more than 1 %; left out, nothing moves",
        spoil=_spells(2.0, (0.002, 0.06), 6),
    ),
    FaultCase(
        "tachometer-half-count",
        "one mark in two counted in 6 spells of 2 to 60 ms",
        "left in, thrust coefficient near those speeds off by more than 1 %; left out, nothing moves",
        kind="holds",
        spoil=_spells(0.5, (0.002, 0.06), 6),
    ),
    FaultCase(
        "tachometer-double-count",
        "each mark counted twice for 0.5 to 3 s of a ramp",
        "left in, thrust coefficient at those speeds 75 % too low; left out, at 14 000 rpm 0.1 %",
        spoil=_spells(2.0, (0.5, 3.0), 1),
    ),
    FaultCase(
        "tachometer-half-count",
        "one mark in two counted for 0.5 to 3 s of a ramp up and down",
        "left in, thrust coefficient at those speeds 300 % too high; left out, 0.04 % and electrical power 0.6 %",
        kind="up-down",
        spoil=_spells(0.5, (0.5, 3.0), 1),
    ),
    FaultCase(
        "tachometer-jump",
        "12 single readings 4 to 9 times too high",
        "left in, thrust coefficient near those speeds off by more than 1 %; left out, nothing moves",
        spoil=_jumps,
    ),
    FaultCase(
        "tachometer-lost",
        "the mark comes off at some point of the run",
        "no figure at a speed can be had",
        spoil=_lost,
    ),
    FaultCase(
        "tachometer-stuck",
        "the counter keeps one reading from some point of the run on",
        "no figure at a speed can be had",
        spoil=_stuck,
    ),
    FaultCase(
        "speed-factor",
        "two marks counted as one, all run long",
        "thrust coefficient 75 % too low, shaft power twice the truth",
        plan=_scaled(2.0),
    ),
    FaultCase(
        "speed-factor",
        "one mark in two lost, all run long",
        "thrust coefficient 300 % too high, shaft power half the truth",
        kind="holds",
        plan=_scaled(0.5),
    ),
    FaultCase(
        "speed-factor",
        "electrical speed taken for the shaft's, 7 pole pairs",
        "thrust coefficient 98 % too low, shaft power 7 times the truth",
        kind="steps",
        plan=_scaled(7.0),
    ),
    FaultCase(
        "speed-factor",
        "6 pole pairs counted as 5",
        "thrust coefficient 31 % too low, shaft power 20 % too high; 7 counted as 6 is within what KV may be off",
        plan=_six_as_five,
    ),
    FaultCase(
        "speed-factor",
        "two marks counted as one, and no motor data",
        "thrust coefficient 75 % too low, shaft power twice the truth",
        kind="up-down",
        plan=_scaled(2.0),
        given=lambda recording, job: (recording, replace(job, motor=None)),
    ),
    FaultCase(
        "speed-coarse",
        "a counter rounds down to steps of 150 rpm",
        "thrust coefficient at 14 000 rpm 1.0 % too high",
        spoil=_counted(150.0 * _RPM),
    ),
    FaultCase(
        "speed-averaged",
        "the tachometer gives a mean over 150 ms",
        "rotor inertia 5 % off, thrust coefficient at 14 000 rpm 0.7 %",
        plan=with_sensor("speed", window=0.15),
    ),
    FaultCase(
        "speed-ripple",
        "marks unevenly apart: 1 % once a revolution",
        "2 % of the thrust coefficient where the ripple stands still, less than 0.1 % elsewhere",
        plan=with_sensor("speed", window=0.0, orders=(Order(1.0, 0.01),)),
    ),
)
