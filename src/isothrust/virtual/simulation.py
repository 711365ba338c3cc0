"""Simulate runs: motion of all lanes together, then every lane's sensors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.virtual.dialects import Dialect
from isothrust.virtual.dynamics import GRID_RATE, Motion, integrate
from isothrust.virtual.faults import Planted, plant
from isothrust.virtual.logtext import log_bytes
from isothrust.virtual.monotone import Floats
from isothrust.virtual.plans import RunPlan
from isothrust.virtual.room import thrust_share
from isothrust.virtual.sensing import read_sensor
from isothrust.virtual.shakentext import vibration_bytes
from isothrust.virtual.shaking import Shaken, shake
from isothrust.virtual.sounding import Heard, hear
from isothrust.virtual.truth import Truth, make_truth

__all__ = ["VirtualRun", "simulate", "simulate_each"]

_LANES = 240
"""Runs integrated together: the motion of so many fits in about a third of a gigabyte."""


@dataclass(frozen=True, slots=True, eq=False)
class VirtualRun:
    """One recording with its truth."""

    plan: RunPlan
    columns: Mapping[str, Floats]
    """Channel -> what the log holds, SI, one value a row; not a number where a cell is blank. `time` starts at 0."""
    truth: Truth
    planted: tuple[Planted, ...] = ()
    shaken: Shaken | None = None
    """What the accelerometer recorded; None for a stand without one."""
    heard: Heard | None = None
    """What the microphone recorded; None for a stand without one."""

    def log_bytes(self, dialect: Dialect) -> bytes:
        """Return the recording as a log file in a dialect."""
        cut = any(planted.fault.kind == "truncated-line" for planted in self.planted)
        return log_bytes(self.columns, dialect, date=self.plan.date, cut=cut)

    def vibration_bytes(self) -> bytes:
        """Return what the accelerometer recorded as a file of its own; the stand must have one."""
        assert self.shaken is not None
        return vibration_bytes(self.shaken)

    def thinned(self, every: int) -> VirtualRun:
        """Return the same run logged at an `every`-th of the rate; planted faults keep their rows of the full log."""
        columns = {name: values[::every] for name, values in self.columns.items()}
        return replace(self, columns=columns)


def simulate(plans: Sequence[RunPlan], seed: int, *, first: int = 0, step: float = 5e-4) -> list[VirtualRun]:
    """Simulate the runs; the same plans and seed give the same bytes.

    A run depends on its plan, the seed and its place, not on its neighbours. `first` is the place of the first plan: a
    part of a longer list can so be simulated apart. `step` [s] is the integration's.
    """
    return list(simulate_each(plans, seed, first=first, step=step))


def simulate_each(
    plans: Sequence[RunPlan],
    seed: int | Sequence[int],
    *,
    first: int = 0,
    places: Sequence[int] | None = None,
    step: float = 5e-4,
) -> Iterator[VirtualRun]:
    """As `simulate`, run by run: only the lanes that are integrated together are held at once.

    `places` gives each plan a place of its own, in place of those counted from `first`: plans of the same seed and
    place share their noise, whatever else is in the list. `seed` may be one a plan, so that lists with seeds of their
    own are integrated together.
    """
    drawn = range(first, first + len(plans)) if places is None else places
    seeds = [seed] * len(plans) if isinstance(seed, int) else seed
    for start in range(0, len(plans), _LANES):
        lanes = plans[start : start + _LANES]
        own = [[seeds[k], drawn[k]] for k in range(start, start + len(lanes))]
        flutter = [np.random.default_rng([*each, 1]) for each in own]
        motion = integrate(lanes, flutter, step=step)
        for k, (plan, each) in enumerate(zip(lanes, own, strict=True)):
            run = _record(plan, motion, k, np.random.default_rng([*each, 2]))
            run = _shaken(run, motion, k, [*each, 3])
            yield _heard(run, motion, k, [*each, 4])


def _record(plan: RunPlan, motion: Motion, lane: int, random: np.random.Generator) -> VirtualRun:
    rows = round(plan.schedule.duration * GRID_RATE) + 1
    time, omega = motion.time[:rows], np.ascontiguousarray(motion.omega[:rows, lane])
    true = _true_channels(plan, motion, lane, rows)
    every = round(GRID_RATE / plan.stand.rate)
    zeros, columns = {}, {"time": time[::every].copy()}
    for name, sensor in plan.stand.sensors.fitted().items():
        zero = plan.zero(name).over(time, omega)
        reading = read_sensor(sensor, true[name], omega, random, scale_error=plan.errors.scale(name), zero=zero)
        columns[name] = _sample(reading, sensor.rate, sensor.between)[::every].copy()
        if zero.any():
            zeros[name] = zero[::every]
    planted = plant(columns, plan.faults, random)
    truth = make_truth(plan, omega, np.ascontiguousarray(motion.winding_temperature[:rows, lane]), zeros)
    return VirtualRun(plan, columns, truth, planted)


def _shaken(run: VirtualRun, motion: Motion, lane: int, seed: list[int]) -> VirtualRun:
    """Return the run with what its accelerometer recorded: noise of its own, so that the log does not depend on it."""
    truth = run.truth.shaking
    if truth is None:
        return run
    rows = round(run.plan.schedule.duration * GRID_RATE) + 1
    wander = None if motion.wander is None else motion.wander[:rows, lane]
    omega = np.ascontiguousarray(motion.omega[:rows, lane])
    return replace(run, shaken=shake(truth, motion.time[:rows], omega, wander, np.random.default_rng(seed)))


def _heard(run: VirtualRun, motion: Motion, lane: int, seed: list[int]) -> VirtualRun:
    """Return the run with what its microphone recorded: noise of its own, so that the log does not depend on it."""
    truth = run.truth.sound
    if truth is None:
        return run
    rows = round(run.plan.schedule.duration * GRID_RATE) + 1
    omega = np.ascontiguousarray(motion.omega[:rows, lane])
    return replace(run, heard=hear(truth, motion.time[:rows], omega, np.random.default_rng(seed)))


def _true_channels(plan: RunPlan, motion: Motion, lane: int, rows: int) -> dict[str, Floats]:
    omega = np.ascontiguousarray(motion.omega[:rows, lane])
    n = omega / (2 * np.pi)
    thrust = _thrust(plan, n, motion, lane) * plan.stand.slipstream_factor(plan.propeller.diameter)
    return {
        "throttle": plan.schedule.throttle(motion.time[:rows]),
        "speed": omega,
        "thrust": thrust,
        "torque": motion.shaft_torque[:rows, lane] + plan.stand.crosstalk * thrust,
        "voltage": motion.voltage[:rows, lane] + plan.drive.lead_resistance * motion.current[:rows, lane],
        "current": np.ascontiguousarray(motion.current[:rows, lane]),
    }


def _thrust(plan: RunPlan, n: Floats, motion: Motion, lane: int) -> Floats:
    """Thrust [N], with flutter's wander where the blades flutter, and what comes back from the room."""
    propeller = plan.propeller
    ct = plan.factors.thrust * propeller.thrust_coefficient(n, plan.air)
    flutter, wander = propeller.flutter, motion.wander
    if flutter is not None and wander is not None and flutter.thrust_loss > 0:
        loss = flutter.thrust_loss * flutter.growth(n)
        ct = ct * (1 - loss * wander[: n.size, lane] / (1 - loss))
    if motion.inflow is not None:
        ct = ct * thrust_share(propeller, motion.inflow[: n.size, lane], n)
    return np.asarray(ct * plan.air.density * n**2 * propeller.diameter**4, dtype=np.float64)


def _sample(reading: Floats, rate: float | None, between: str) -> Floats:
    """Keep a slow channel's own samples; hold or blank the rows between."""
    if rate is None or rate >= GRID_RATE:
        return reading
    every = round(GRID_RATE / rate)
    if between == "hold":
        return np.repeat(reading[::every], every)[: reading.size]
    kept = np.full_like(reading, np.nan)
    kept[::every] = reading[::every]
    return kept
