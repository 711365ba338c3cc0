"""Faults of an accelerometer and of what it stands on: range, rate, mains, resonance, a mark that is none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from isothrust.virtual import Accelerometer, Mode, RunPlan, Unbalance, VirtualRun
from support.faulty.case import FaultCase

__all__ = ["CASES", "on_good_mount"]

Random = np.random.Generator


def on_good_mount(plan: RunPlan, random: Random, **change: object) -> RunPlan:
    """Return the plan on a stand with an accelerometer, with an unbalance drawn for it; `change` is the meter's."""
    meter = Accelerometer(rate=float(random.choice([3200.0, 6400.0])), modes=(Mode(38.0), Mode(44.0), Mode(730.0)))
    size = 1e-6 * float(np.exp(0.4 * random.standard_normal()))
    unbalance = Unbalance(
        blade=size * np.exp(1j * random.uniform(0.0, 6.28)), hub=0.4 * size * np.exp(1j * random.uniform(0.0, 6.28))
    )
    changed = replace(meter, **change)  # type: ignore[arg-type]
    return replace(plan, stand=replace(plan.stand, accelerometer=changed), unbalance=unbalance)


def _good(plan: RunPlan, random: Random) -> RunPlan:
    return on_good_mount(plan, random)


def _meter(change: Callable[[Random], dict[str, object]]) -> Callable[[RunPlan, Random], RunPlan]:
    def plan(run: RunPlan, random: Random) -> RunPlan:
        return on_good_mount(run, random, **change(random))

    return plan


def _clipped(run: VirtualRun, random: Random) -> VirtualRun:
    assert run.shaken is not None
    limit = float(random.uniform(0.6, 0.85)) * float(np.abs(run.shaken.values).max())
    return replace(run, shaken=replace(run.shaken, values=np.clip(run.shaken.values, -limit, limit)))


def _unseen(run: VirtualRun, _random: Random) -> VirtualRun:
    assert run.shaken is not None
    assert run.shaken.mark is not None
    return replace(run, shaken=replace(run.shaken, mark=np.zeros_like(run.shaken.mark)))


def _twice(run: VirtualRun, _random: Random) -> VirtualRun:
    """A second mark half a revolution after each."""
    assert run.shaken is not None
    assert run.shaken.mark is not None
    mark = run.shaken.mark.copy()
    rises = np.flatnonzero(np.diff(mark) > 0.0) + 1
    mark[(rises[1:] + rises[:-1]) // 2] = 1.0
    return replace(run, shaken=replace(run.shaken, mark=mark))


def _crossed(random: Random) -> dict[str, object]:
    frequency = float(random.uniform(170.0, 240.0))
    damping = float(random.uniform(0.02, 0.05))
    return {"modes": (Mode(frequency, damping), Mode(44.0), Mode(730.0))}


CASES: tuple[FaultCase, ...] = (
    FaultCase(
        "vibration-clipped",
        "an axis of the accelerometer stands at the end of its range",
        "what is above 60 to 85 % of the greatest reading is cut off",
        plan=_good,
        spoil=_clipped,
    ),
    FaultCase(
        "vibration-aliased",
        "the accelerometer is sampled 640 times a second",
        "blade passing of 700 to 1500 Hz folds down",
        plan=_meter(lambda _random: {"rate": 640.0, "filtered": False}),
    ),
    FaultCase(
        "vibration-without-rate",
        "the accelerometer is sampled 10 times a second",
        "nothing that turns is in it",
        plan=_meter(lambda _random: {"rate": 10.0, "filtered": False}),
    ),
    FaultCase(
        "mount-resonance",
        "once per revolution meets a resonance of the stand",
        "its amplitude there is 10 to 25 times what it would be",
        plan=_meter(_crossed),
    ),
    FaultCase(
        "vibration-mains-hum",
        "the mains are in the accelerometer: 0.6 m/s2 at 50 or 60 Hz, less at three and seven times",
        "vibration at the least thrust reads 5 % too high or more",
        plan=_meter(lambda random: {"hum": 0.6, "hum_frequency": float(random.choice([50.0, 60.0]))}),
    ),
    FaultCase(
        "mark-not-once",
        "the once-per-revolution mark is never seen",
        "the unbalance has no angle",
        plan=_meter(lambda _random: {"mark": True, "rate": 6400.0}),
        spoil=_unseen,
    ),
    FaultCase(
        "mark-not-once",
        "the mark comes twice a revolution",
        "every angle would be wrong",
        plan=_meter(lambda _random: {"mark": True, "rate": 6400.0}),
        spoil=_twice,
    ),
)
