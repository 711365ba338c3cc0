"""Faults of clocks and delays: stamps repeated, backward, uneven, in bursts, missing; late channels; folded orders."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.virtual import Order, RunPlan, VirtualRun
from support.faulty.case import FaultCase
from support.faulty.speed import with_sensor

__all__ = ["CASES"]

Random = np.random.Generator
Spoil = Callable[[VirtualRun, Random], VirtualRun]


def _clocked(change: Callable[[np.ndarray, Random], np.ndarray]) -> Spoil:
    """The same rows with other stamps."""

    def spoil(run: VirtualRun, random: Random) -> VirtualRun:
        return replace(run, columns={**run.columns, "time": change(run.columns["time"].copy(), random)})

    return spoil


def _without(rows: Callable[[int, Random], np.ndarray]) -> Spoil:
    """The log without some rows."""

    def spoil(run: VirtualRun, random: Random) -> VirtualRun:
        keep = np.ones(run.columns["time"].size, dtype=bool)
        keep[rows(keep.size, random)] = False
        return replace(run, columns={name: values[keep] for name, values in run.columns.items()})

    return spoil


def _repeated(time: np.ndarray, random: Random) -> np.ndarray:
    at = 3 * random.choice(time.size // 3 - 1, size=time.size // 40, replace=False) + 3
    time[at] = time[at - 1]
    return time


def _backward(time: np.ndarray, random: Random) -> np.ndarray:
    at = int(random.integers(time.size // 5, 4 * time.size // 5))
    time[at:] -= float(random.uniform(0.02, 1.2))
    return time


def _uneven(time: np.ndarray, random: Random) -> np.ndarray:
    step = np.diff(time) * random.uniform(0.5, 1.5, size=time.size - 1)
    return np.concatenate([time[:1], time[0] + np.cumsum(step)])


def _in_bursts(time: np.ndarray, random: Random) -> np.ndarray:
    """Rows wait in a buffer of 32 and are stamped as it is written out, 20 us apart."""
    size = int(random.integers(24, 48))
    last = np.minimum((np.arange(time.size) // size + 1) * size - 1, time.size - 1)
    return np.asarray(time[last] + 2e-5 * (np.arange(time.size) % size))


def _holes(size: int, random: Random) -> np.ndarray:
    """A card that is busy now and then: five stretches of 30 to 200 rows, and one long one."""
    starts = random.choice(size - 800, size=5, replace=False)
    rows = [np.arange(start, start + int(random.integers(30, 200))) for start in starts]
    start = int(random.integers(size // 4, size // 2))
    rows.append(np.arange(start, start + int(random.integers(400, 700))))
    return np.concatenate(rows)


def _late_electrics(plan: RunPlan, random: Random) -> RunPlan:
    late = with_sensor("current", delay=0.13)(plan, random)
    return with_sensor("voltage", delay=0.13)(late, random)


def _folding(plan: RunPlan, random: Random) -> RunPlan:
    """Cells with hardly a filter on a stand that shakes with the blades; a supply that takes all rotors there."""
    orders = (Order(3.0, 0.9),)
    for name in ("thrust", "torque"):
        plan = with_sensor(name, filter_time=0.001, orders=orders)(plan, random)
    return replace(plan, drive=replace(plan.drive, supply_voltage=25.2))


CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "clock-repeated",
        "one stamp in 40 repeats the one before",
        "no figure moves by 1 % while so few rows are left out",
        spoil=_clocked(_repeated),
    ),
    FaultCase(
        "clock-backward",
        "the clock is set back by 20 ms to 1.2 s once in the run",
        "torque coefficient 1.9 % (rms), electrical power 0.8 %, rotor inertia 3 %",
        spoil=_clocked(_backward),
    ),
    FaultCase(
        "clock-jitter",
        "steps of the clock scatter by half of themselves",
        "rotor inertia 2 % (rms), no figure at a speed by more than 0.4 %",
        spoil=_clocked(_uneven),
    ),
    FaultCase(
        "clock-bursts",
        "rows stamped in bursts of 24 to 48",
        "none, once the rows are spread evenly; left as stamped the run cannot be reduced",
        spoil=_clocked(_in_bursts),
    ),
    FaultCase(
        "samples-dropped",
        "five gaps of 30 to 200 ms and one of 0.4 to 0.7 s",
        "electrical power up to 4 %, thrust coefficient 0.2 %",
        spoil=_without(_holes),
    ),
    FaultCase(
        "samples-dropped",
        "1 row in 500 missing",
        "no figure by more than 0.6 %",
        kind="steps",
        spoil=_without(lambda size, random: random.choice(size - 2, size=size // 500, replace=False) + 1),
    ),
    FaultCase(
        "lag-beyond-band",
        "thrust 120 ms later than the rotor",
        "thrust coefficient at 14 000 rpm 5 % too low",
        plan=with_sensor("thrust", delay=0.1),
    ),
    FaultCase(
        "lag-beyond-band",
        "torque 110 ms later than the rotor",
        "rotor inertia 5 % off, electrical power 0.4 %",
        kind="up-down",
        plan=with_sensor("torque", delay=0.1),
    ),
    FaultCase(
        "lag-beyond-band",
        "current and voltage 130 ms late",
        "electrical power at 14 000 rpm 8 % off, throttle 3 %",
        plan=_late_electrics,
    ),
    FaultCase(
        "lag-unknown",
        "the log ends at full throttle, before the drop that tells the delays",
        "none where the rig's delays are short; 1 to 2 % of the thrust at middle speed for 20 ms on a ramp of 10 s",
        spoil=_without(lambda size, _random: np.arange(12_200, size)),
    ),
    FaultCase(
        "order-aliased",
        "three times a revolution shakes the cells by 6 % behind their filter; it meets the log's rate at 20 000 rpm",
        "a false dent of 0.2 to 0.4 % in thrust coefficient at that speed (1 % takes a beat of 18 %)",
        plan=_folding,
    ),
)
