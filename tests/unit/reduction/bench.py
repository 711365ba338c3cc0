"""One seven-inch propeller on the simulated stand, run through every schedule; simulated once a process."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache

import numpy as np

from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.science.splines import basis_matrix
from isothrust.virtual import (
    Drive,
    Propeller,
    RunPlan,
    Schedule,
    Stand,
    TrueAir,
    VirtualRun,
    Zero,
    coast,
    holds,
    low_noise_sensors,
    make_propeller,
    ramp,
    ramp_up_down,
    simulate,
    steps,
    zero,
)
from support.simulated import job_of, recording_of

__all__ = ["KINDS", "changed", "curve", "only_while", "recorded", "reduced", "simulated", "without"]

AIR = TrueAir(temperature=299.0, pressure=98_500.0, humidity=0.45)
DRIVE = Drive(kv=1400.0, heat_capacity=60.0)  # a winding that hardly warms: one truth for up, down and holds
KINDS: Mapping[str, Schedule] = {
    "ramp": ramp(),
    "up-down": ramp_up_down(),
    "holds": holds(),
    "steps": steps(),
    "coast": coast(),
    "zero": zero(duration=4.0),
    "quiet": ramp(),
}
"""`quiet` is a ramp with next to no noise: what an error of one source does is not hidden by the fit's own choices."""


def seven_inch() -> Propeller:
    return make_propeller("seven", diameter=0.1778, pitch=0.1, blades=2, ct=0.11, cp=0.045, inertia=1.4e-5)


@cache
def _runs() -> dict[str, VirtualRun]:
    zeros = {"thrust_zero": Zero(0.05, 0.004), "torque_zero": Zero(-1e-3, 1e-4), "current_zero": Zero(0.01)}
    quiet = Stand(sensors=low_noise_sensors())
    plans = [
        RunPlan(name, seven_inch(), DRIVE, quiet if name == "quiet" else Stand(), schedule=schedule, air=AIR, **zeros)
        for name, schedule in KINDS.items()
    ]
    return dict(zip(KINDS, simulate(plans, 11), strict=True))


def simulated(kind: str) -> VirtualRun:
    """The recording with its truth."""
    return _runs()[kind]


def recorded(kind: str) -> tuple[Recording, RunJob]:
    """What `reduce_run` takes."""
    run = simulated(kind)
    return recording_of(run), job_of(run.plan)


@cache
def reduced(kind: str) -> ReducedRun:
    return reduce_run(*recorded(kind))


def changed(recording: Recording, name: str, change: Callable[[np.ndarray, np.ndarray], np.ndarray]) -> Recording:
    """The recording with one channel's values changed: `change(time, values)`."""
    channel = recording.channels[name]
    values = np.asarray(change(channel.time, channel.values), dtype=np.float64)
    return replace(recording, channels={**recording.channels, name: replace(channel, values=values)})


def without(recording: Recording, *names: str) -> Recording:
    return replace(recording, channels={n: c for n, c in recording.channels.items() if n not in names})


def only_while(recording: Recording, start: float, end: float) -> Recording:
    """The part of the recording from start to end [s]."""

    def cut(channel: Channel) -> Channel:
        inside = (channel.time >= start) & (channel.time < end)
        return replace(channel, time=channel.time[inside], values=channel.values[inside])

    return replace(recording, channels={n: cut(c) for n, c in recording.channels.items()})


def curve(run: ReducedRun, name: str, x: np.ndarray) -> np.ndarray:
    """A reduced curve's values at abscissae x (n,)."""
    found = run.curves[name]
    return np.asarray(basis_matrix(x, found.knots) @ found.coefficients)
