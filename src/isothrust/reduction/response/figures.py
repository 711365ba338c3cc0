"""Figures of the steps of a run, each with its budget, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import Contribution, Figure
from isothrust.records.response import Direction
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.response.equal_thrust import thrust_step_time
from isothrust.reduction.response.find import StepsFound
from isothrust.reduction.response.kinds import KindFound
from isothrust.reduction.response.timing import FAST
from isothrust.science.splines import basis_matrix

__all__ = ["ONE_STEP", "STEP_FIGURES", "response_figures", "without_steps"]

STEP_FIGURES: Final = (
    "spin-up-rate",
    "spin-down-rate",
    "rise-time",
    "fall-time",
    "response-time",
    "response-time-down",
    "dead-time",
    "dead-time-down",
    "overshoot",
    "overshoot-down",
    "settling-time",
    "settling-time-down",
    "thrust-rise-rate",
    "thrust-step-time",
)
ONE_STEP: Final = "one-step-only"
"""Flag of a figure that no repeat supports."""
SENSOR_LATE: Final = "sensor-delay-inside"
"""Flag of a time from the command: what the sensor is late by is in it."""
CELL_INSIDE: Final = "cell-filter-inside"
"""Flag of a thrust rise read from the load cell itself."""
_SHAPE: Final = 0.0015
"""What the time from 10 to 90 % of real courses differs by from that of the fitted shape, standard, in proportion."""
_SETTLES: Final = 0.15
"""Of a sampling interval: what a settling time read between two samples may be off by, standard."""
_LATE: Final = 0.1
"""Of a window that nobody states: how late the readings are beyond what was taken off, standard."""
_BETWEEN: Final = 0.004
"""What bends of the thrust coefficient between two levels do to a rate, standard, in proportion."""


def without_steps(reason: str) -> list[Figure]:
    """Return every figure of steps as absent."""
    return [Figure(name, None, absent=reason) for name in STEP_FIGURES]


def response_figures(prepared: Prepared, steps: StepsFound, mechanics: Mechanics) -> list[Figure]:
    """Return the figures of the steps of a run, as recorded in the air of the day."""
    if steps.absent:
        return without_steps(steps.absent)
    made = _Maker(prepared, steps)
    if steps.followed == "thrust":
        why = prepared_reason(prepared)
        figures = [Figure(name, None, absent=why) for name in STEP_FIGURES if name != "thrust-rise-rate"]
        return [*figures, made.thrust_rise(None)]
    curve = mechanics.thrust
    shares = None if curve is None else _Thrusts(prepared, mechanics)
    return [
        made.rate("spin-up-rate", "up"),
        made.rate("spin-down-rate", "down"),
        made.across("rise-time", "up"),
        made.across("fall-time", "down"),
        made.from_command("response-time", "up", 3),
        made.from_command("response-time-down", "down", 3),
        made.from_command("dead-time", "up", 0),
        made.from_command("dead-time-down", "down", 0),
        made.overshoot("overshoot", "up"),
        made.overshoot("overshoot-down", "down"),
        made.settling("settling-time", "up"),
        made.settling("settling-time-down", "down"),
        made.thrust_rise(shares),
        thrust_step_time(prepared, steps, mechanics),
    ]


def prepared_reason(prepared: Prepared) -> str:
    """Return why there is no speed to follow."""
    run = prepared.job.run.name
    if "speed" in prepared.job.rig.channels:
        return f"the log of run {run} has no usable speed"
    return f"rig {prepared.job.rig.name} has no speed channel"


class _Thrusts:
    """Thrust over speed, as the run's own curve has it."""

    def __init__(self, prepared: Prepared, mechanics: Mechanics) -> None:
        assert mechanics.thrust is not None
        self._knots = prepared.site.knots
        self._low, self._high = float(prepared.site.x.min()), float(prepared.site.x.max())
        self._coefficients = mechanics.thrust.curve.fit.coefficients
        self._density = float(mechanics.thrust.size[0] / prepared.site.x[0] ** 2)

    def _coefficient(self, speed: float) -> float:
        at = np.clip(np.array([speed]), self._low, self._high)
        return float((basis_matrix(at, self._knots) @ self._coefficients)[0])

    def shares(self, kind: KindFound, marks: Sequence[float], *, level: bool = False) -> tuple[Floats, float]:
        """Return at which shares of the way in speed thrust passes shares of its own way, and how far that is [N].

        A run of two levels knows its coefficient there alone: between them it is taken as straight in the logarithm of
        speed, or, with `level`, as that of the faster one.
        """
        slow, fast = sorted((kind.kind.from_level, kind.kind.to_level))
        at_slow, at_fast = self._coefficient(slow), self._coefficient(fast)
        low, high = kind.kind.from_level, kind.kind.to_level
        rise = self._density * (self._coefficient(high) * high**2 - self._coefficient(low) * low**2)
        way = np.linspace(0.0, 1.0, 401)
        speed = low + (high - low) * way
        part = 0.0 if level else np.log(fast / speed) / np.log(fast / slow)
        thrust = (at_fast + (at_slow - at_fast) * part) * speed**2
        return np.interp(marks, (thrust - thrust[0]) / (thrust[-1] - thrust[0]), way), abs(rise)


class _Maker:
    def __init__(self, prepared: Prepared, steps: StepsFound) -> None:
        run = prepared.job.run
        self.steps = steps
        self.run = f"{run.campaign}/{run.name}"
        self.rig = prepared.job.rig.name
        self.of = f"{run.campaign} {run.design}"
        stated = prepared.job.rig.channels.get("speed")
        uncertainty = None if stated is None else stated.uncertainty
        self.scale = None if uncertainty is None else uncertainty.relative
        thrust = prepared.job.rig.channels.get("thrust")
        self.thrust_scale = None if thrust is None or thrust.uncertainty is None else thrust.uncertainty.relative

    def _figure(self, name: str, way: Direction, make: Callable[[KindFound], Figure]) -> Figure:
        found = self.steps.main(way)
        if found is None:
            return Figure(name, None, absent=f"the run has no step {way} between two levels under power")
        if found.kind.absent:
            return Figure(name, None, absent=found.kind.absent)
        return make(found)

    def _own(self, source: str, u: float, freedom: float) -> Contribution:
        return Contribution(source, f"run {self.run} {source}", "run", u, freedom)

    def _between(self, found: KindFound, span: float, other: tuple[float, float], value: float) -> Contribution:
        """Return what it does that the thrust coefficient is known at the levels alone."""
        assert found.timing is not None
        marks = found.timing.marks(other)
        moved = 0.5 * abs(float(np.mean(marks[:, 1] - marks[:, 0])) / span - 1.0)
        key = f"{self.of} thrust between levels"
        return Contribution("thrust between levels", key, "campaign", float(np.hypot(moved, _BETWEEN)) * value, np.inf)

    def _flags(self, found: KindFound, *more: str) -> tuple[str, ...]:
        return (*((ONE_STEP,) if found.kind.used == 1 else ()), *more)

    def _span(self, found: KindFound, pair: tuple[float, float]) -> tuple[float, list[Contribution]]:
        """Return the mean time between two marks and its budget."""
        assert found.timing is not None
        marks = found.timing.marks(pair)
        value = float(np.mean(marks[:, 1] - marks[:, 0]))
        model = found.timing.method == "model"
        freedom = 10.0 if model else float(max(marks.shape[0] - (2 if marks.shape[0] > 3 else 1), 1))
        name = "fit of the step" if model else "repeats of the step"
        lines = [
            self._own(name, found.timing.u_across(marks, pair), freedom),
            Contribution("shape of the step", f"{self.of} shape of the step", "campaign", _SHAPE * value, np.inf),
        ]
        if not self.steps.window_known and self.steps.followed == "speed":
            u = found.timing.u_window(pair)
            lines.append(Contribution("speed window", f"rig {self.rig} speed window", "rig", u, np.inf))
        return value, lines

    def rate(self, name: str, way: Direction) -> Figure:
        def make(found: KindFound) -> Figure:
            span, lines = self._span(found, (0.1, 0.9))
            value = 0.8 * abs(found.kind.to_level - found.kind.from_level) / span
            lines = _times(lines, value / span)
            if self.scale is not None:
                lines.append(
                    Contribution("speed scale", f"rig {self.rig} speed scale", "rig", self.scale * value, np.inf)
                )
            return Figure(name, value, _kept(lines), self._flags(found))

        return self._figure(name, way, make)

    def across(self, name: str, way: Direction) -> Figure:
        def make(found: KindFound) -> Figure:
            span, lines = self._span(found, (0.1, 0.9))
            return Figure(name, span, _kept(lines), self._flags(found))

        return self._figure(name, way, make)

    def from_command(self, name: str, way: Direction, mark: int) -> Figure:
        def make(found: KindFound) -> Figure:
            value = found.kind.response if mark == 3 else found.kind.dead
            if value is None or found.timing is None:
                return Figure(name, None, absent="the log has no throttle: nothing says when the command came")
            share = (0.05, 0.5, 0.5, 1.0 - np.exp(-1.0))[mark]
            waits = found.timing.marks((share,))[:, 0] - found.commands
            n = waits.size
            scatter = float(np.std(waits, ddof=1) / np.sqrt(n)) if n > 1 else found.u_command
            u_span = 0.0 if self.steps.window_known else _LATE * self.steps.window
            lines = [
                self._own("repeats of the step", scatter, float(max(n - 1, 1))),
                Contribution("command sampling", f"{self.of} command sampling", "campaign", found.u_command, np.inf),
                Contribution("speed window", f"rig {self.rig} speed window", "rig", u_span, np.inf),
                self._own("sampling", 0.2 * self.steps.interval if self.steps.interval > FAST else 0.0, np.inf),
            ]
            return Figure(name, value, _kept(lines), self._flags(found, SENSOR_LATE))

        return self._figure(name, way, make)

    def overshoot(self, name: str, way: Direction) -> Figure:
        def make(found: KindFound) -> Figure:
            value = found.kind.overshoot
            assert value is not None
            u = max(2.0 * found.noise / np.sqrt(found.kind.used), 5e-4)
            return Figure(name, value, (self._own("noise of the levels", u, 10.0),), self._flags(found))

        return self._figure(name, way, make)

    def settling(self, name: str, way: Direction) -> Figure:
        def make(found: KindFound) -> Figure:
            if found.kind.from_throttle is None:
                return Figure(name, None, absent="the log has no throttle: nothing says when the command came")
            if found.kind.settling is None:
                return Figure(
                    name, None, absent="speed is too restless at its levels to see when it stays within 2 % of a step"
                )
            # what changes slowly is read half a window late
            value = found.kind.settling - 0.5 * self.steps.window
            u_window = 0.0 if self.steps.window_known else _LATE * self.steps.window
            times, n = found.settling, found.settling.size
            scatter = float(np.std(times, ddof=1) / np.sqrt(n)) if n > 1 else self.steps.interval
            lines = [
                self._own("repeats of the step", scatter, float(max(n - 1, 1))),
                self._own("sampling", _SETTLES * self.steps.interval, np.inf),
                Contribution("command sampling", f"{self.of} command sampling", "campaign", found.u_command, np.inf),
                Contribution("speed window", f"rig {self.rig} speed window", "rig", u_window, np.inf),
            ]
            return Figure(name, value, _kept(lines), self._flags(found, SENSOR_LATE))

        return self._figure(name, way, make)

    def thrust_rise(self, thrusts: _Thrusts | None) -> Figure:
        name = "thrust-rise-rate"

        def make(found: KindFound) -> Figure:
            pair: tuple[float, float]
            flags: tuple[str, ...] = ()
            if self.steps.followed == "thrust":
                pair, rise, flags = (0.1, 0.9), found.kind.to_level - found.kind.from_level, (CELL_INSIDE,)
            elif thrusts is None:
                return Figure(name, None, absent="the run has no thrust curve to turn speed into thrust")
            else:
                shares, rise = thrusts.shares(found, (0.1, 0.9))
                pair = (float(shares[0]), float(shares[1]))
                other, _ = thrusts.shares(found, (0.1, 0.9), level=True)
            span, lines = self._span(found, pair)
            value = 0.8 * rise / span
            lines = _times(lines, value / span)
            if self.steps.followed == "speed":
                lines.append(self._between(found, span, (float(other[0]), float(other[1])), value))
            if self.thrust_scale is not None:
                key = f"rig {self.rig} thrust scale"
                lines.append(Contribution("thrust scale", key, "rig", self.thrust_scale * value, np.inf))
            return Figure(name, value, _kept(lines), self._flags(found, *flags))

        return self._figure(name, "up", make)


def _times(lines: Sequence[Contribution], factor: float) -> list[Contribution]:
    """Return the lines of a time as those of a rate that falls as it grows."""
    return [
        Contribution(one.source, one.key, one.scope, -factor * one.contribution, one.degrees_of_freedom)
        for one in lines
    ]


def _kept(lines: Sequence[Contribution]) -> tuple[Contribution, ...]:
    return tuple(one for one in lines if one.contribution != 0.0)
