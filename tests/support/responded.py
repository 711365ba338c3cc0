"""What is true of the response of a simulated run: read off the motion itself, which no sensor and no log have seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from isothrust.virtual import RunPlan
from isothrust.virtual.dynamics import integrate

__all__ = ["true_responses"]

_SWITCH = 0.01
_BAND = 0.02


def true_responses(plans: Sequence[RunPlan], seed: int) -> list[Mapping[str, float]]:
    """Return, for each plan, the mean over its repeats of every figure of its steps [SI]."""
    motion = integrate(plans, [np.random.default_rng([seed, place, 1]) for place in range(len(plans))])
    return [_of_run(plan, motion.time, motion.omega[:, lane]) for lane, plan in enumerate(plans)]


def _of_run(plan: RunPlan, time: np.ndarray, omega: np.ndarray) -> Mapping[str, float]:
    times, levels = plan.schedule.times, plan.schedule.levels
    commands = [
        (times[k], levels[k], levels[k + 1])
        for k in range(len(times) - 1)
        if times[k + 1] - times[k] < _SWITCH and levels[k] != levels[k + 1]
    ]
    found: dict[str, list[float]] = {}
    for number, (at, low, high) in enumerate(commands):
        if min(low, high) <= 0.0:
            continue
        until = commands[number + 1][0] if number + 1 < len(commands) else times[-1]
        for name, value in _of_step(plan, time, omega, at, until).items():
            found.setdefault(name if high > low else f"{name}-down", []).append(value)
    return {name: float(np.mean(values)) for name, values in found.items()}


def _of_step(plan: RunPlan, time: np.ndarray, omega: np.ndarray, at: float, until: float) -> Mapping[str, float]:
    """Levels are those of the last 0.2 s before the command and before the next one."""
    before = float(omega[(time > at - 0.2) & (time <= at)].mean())
    after = float(omega[(time > until - 0.2) & (time <= until)].mean())
    inside = (time >= at) & (time < until)
    since, share = time[inside] - at, (omega[inside] - before) / (after - before)
    t5, t10, t63, t90 = (_passed(since, share, mark) for mark in (0.05, 0.1, 1.0 - np.exp(-1.0), 0.9))
    outside = np.flatnonzero(np.abs(share - 1.0) > _BAND)
    thrust = np.asarray([_thrust(plan, w) for w in omega[inside]])
    low, high = _thrust(plan, before), _thrust(plan, after)
    lift = (thrust - low) / (high - low)
    return {
        "rate": 0.8 * abs(after - before) / (t90 - t10),
        "across": t90 - t10,
        "dead": t5,
        "response": t63,
        "settling": float(since[outside[-1]]),
        "overshoot": max(0.0, float(share.max()) - 1.0),
        "thrust-rate": 0.8 * abs(high - low) / (_passed(since, lift, 0.9) - _passed(since, lift, 0.1)),
    }


def _thrust(plan: RunPlan, omega: float) -> float:
    n = omega / (2.0 * np.pi)
    ct = plan.factors.thrust * float(plan.propeller.thrust_coefficient(n, plan.air))
    return ct * plan.air.density * n**2 * plan.propeller.diameter**4


def _passed(time: np.ndarray, share: np.ndarray, mark: float) -> float:
    first = int(np.flatnonzero(share >= mark)[0])
    part = (mark - share[first - 1]) / (share[first] - share[first - 1])
    return float(time[first - 1] + part * (time[first] - time[first - 1]))
