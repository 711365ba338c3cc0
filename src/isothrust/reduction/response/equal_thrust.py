"""How long a step between two thrusts takes, worked out: the same job for a heavy propeller and for a light one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution, Figure
from isothrust.reduction.fitting import CurveFit
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.response.find import StepsFound
from isothrust.science.response import time_between_speeds
from isothrust.science.splines import basis_matrix

__all__ = ["thrust_step_time"]

_NAME: Final = "thrust-step-time"
_FROM, _TO = 0.25, 0.75
"""Shares of the thrust asked for between which the step goes."""
_MARKS: Final = (0.1, 0.9)
_POINTS: Final = 201
_STRAIGHT: Final = 0.05
"""What the drive's loss of torque with speed is off a constant between throttles, standard, in proportion."""
_LATE: Final = 0.87
"""Middle of the share of the way that the time constant is read over."""


@dataclass(frozen=True, slots=True)
class _Rotor:
    """Everything that the time is worked out from, in standard air."""

    slow: float
    fast: float
    """Levels of the step that was recorded: coefficients are known there [rad/s]."""
    thrust: tuple[float, float]
    torque: tuple[float, float]
    """T/omega^2 and Q/omega^2 at both [N s2], [N m s2]."""
    day: float
    """Density of the day over the standard one [1]."""
    inertia: float
    lag: float
    """Time constant near the upper level of the recorded step [s]."""
    straight: float = 1.0

    def over(self, coefficients: tuple[float, float], speed: Floats) -> Floats:
        """Return thrust or torque at speeds, its coefficient straight in the logarithm of speed between the levels."""
        part = np.log(self.fast / speed) / np.log(self.fast / self.slow)
        return np.asarray((coefficients[1] + (coefficients[0] - coefficients[1]) * part) * speed**2)

    def damping(self) -> float:
        """Return what torque the drive loses with speed [N m s], from the time constant in the air of the day."""
        ends = np.array([self.fast - (1.0 - _LATE) * (self.fast - self.slow), self.fast])
        air = self.over(self.torque, ends) * self.day
        return self.straight * (self.inertia / self.lag - float((air[1] - air[0]) / (ends[1] - ends[0])))

    def time(self, thrust: float) -> float | None:
        """Return the time [s]; None where the step leaves the speeds between the levels."""
        speed = np.linspace(self.slow, self.fast, _POINTS)
        lift = self.over(self.thrust, speed)
        first, last = _FROM * thrust, _TO * thrust
        if first < lift[0] or last > lift[-1]:
            return None
        goal = float(np.interp(last, lift, speed))
        begin, end = (float(np.interp(first + mark * (last - first), lift, speed)) for mark in _MARKS)
        way = np.linspace(begin, end, _POINTS)
        there = float(self.over(self.torque, np.array([goal]))[0])
        spare = there - self.over(self.torque, way) + self.damping() * (goal - way)
        return time_between_speeds(way, spare, inertia=self.inertia)


def thrust_step_time(prepared: Prepared, steps: StepsFound, mechanics: Mechanics) -> Figure:
    """Return the time from 10 to 90 % of a step in thrust, from a quarter to three quarters of the one asked for.

    The throttle jumps from what holds the one to what holds the other: at a throttle that stands the drive loses torque
    in proportion to speed, and what it has left over the air's accelerates the rotor. Limits of the controller are left
    out: this is what propeller and motor do.
    """
    thrust = prepared.job.response_thrust
    if thrust is None:
        return Figure(_NAME, None, absent="the book names no thrust to compare at")
    rotor = _rotor(prepared, steps, mechanics)
    if isinstance(rotor, str):
        return Figure(_NAME, None, absent=rotor)
    value = rotor.time(thrust)
    if value is None:
        low, high = (float(rotor.over(rotor.thrust, np.array([w]))[0]) / 0.00980665 for w in (rotor.slow, rotor.fast))
        asked = f"{_FROM * thrust / 0.00980665:.0f} to {_TO * thrust / 0.00980665:.0f} gf"
        return Figure(_NAME, None, absent=f"the run's steps go from {low:.0f} to {high:.0f} gf, not from {asked}")
    if not np.isfinite(value):
        return Figure(_NAME, None, absent="inertia, torque and time constant leave no torque to accelerate with")
    return Figure(_NAME, value, _budget(prepared, steps, mechanics, rotor, thrust, value))


def _rotor(prepared: Prepared, steps: StepsFound, mechanics: Mechanics) -> _Rotor | str:
    up = steps.main("up")
    if up is None or up.kind.absent or up.kind.lag is None:
        return up.kind.absent if up is not None and up.kind.absent else "the run has no step up that could be timed"
    if mechanics.thrust is None or mechanics.torque is None:
        return "it needs thrust and torque against speed"
    if mechanics.torque.inertia is None:
        return "the rotor's inertia is not known"
    slow, fast = up.kind.from_level, up.kind.to_level
    density = mechanics.torque.given.density
    standard = prepared.job.standard_density
    return _Rotor(
        slow,
        fast,
        _ends(prepared, mechanics.thrust.curve, slow, fast, standard),
        _ends(prepared, mechanics.torque.curve, slow, fast, standard),
        density / standard,
        mechanics.torque.inertia.value,
        up.kind.lag,
    )


def _ends(prepared: Prepared, curve: CurveFit, slow: float, fast: float, density: float) -> tuple[float, float]:
    x = np.clip(np.array([slow, fast]), prepared.site.x.min(), prepared.site.x.max())
    low, high = (density * (basis_matrix(x, prepared.site.knots) @ curve.fit.coefficients)).tolist()
    return low, high


def _budget(
    prepared: Prepared, steps: StepsFound, mechanics: Mechanics, rotor: _Rotor, thrust: float, value: float
) -> tuple[Contribution, ...]:
    """Return what one standard uncertainty of each source does; the torque's scale moves inertia and torque alike."""
    up = steps.main("up")
    assert up is not None
    assert up.kind.lag is not None
    assert up.kind.u_lag is not None
    assert mechanics.torque is not None
    assert mechanics.torque.inertia is not None
    run, rig = prepared.job.run, prepared.job.rig
    here = f"run {run.campaign}/{run.name}"
    of = f"{run.campaign} {run.design}"
    u_inertia, u_lag = mechanics.torque.inertia.uncertainty, up.kind.u_lag

    def moved(other: _Rotor, asked: float = thrust) -> float:
        found = other.time(asked)
        return 0.0 if found is None or not np.isfinite(found) else found - value

    heavier = replace(rotor, inertia=rotor.inertia + u_inertia)
    slower = replace(rotor, lag=rotor.lag + u_lag)
    bent = replace(rotor, straight=1.0 + _STRAIGHT)
    lines = [
        Contribution("rotor inertia", f"{here} momentum balance", "run", moved(heavier), 10.0),
        Contribution("time constant", f"{here} time constant", "run", moved(slower), 10.0),
        Contribution("straight drive", f"{of} straight drive", "campaign", moved(bent), np.inf),
    ]
    plan = rig.channels.get("thrust")
    if plan is not None and plan.uncertainty is not None:
        shift = moved(rotor, thrust * (1.0 - plan.uncertainty.relative))
        lines.append(Contribution("thrust scale", f"rig {rig.name} thrust scale", "rig", shift, np.inf))
    return tuple(line for line in lines if line.contribution != 0.0)
