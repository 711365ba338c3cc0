"""The speed that a thrust needs at standard density, found on the run's own thrust curve and never beyond it."""

from __future__ import annotations

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures_sensitive import Sensitive, curve_at, evaluate_curve
from isothrust.reduction.figures_words import said, said_range

__all__ = ["speed_for_thrust"]

GRID = 257
"""Speeds at which the thrust curve is looked at before solving: finer than any knot spacing the fit uses."""
STEPS = 60
"""Bisection steps at most; Newton's take over long before, this bounds the loop."""
SOLVED = 1e-13
"""Relative step at which the speed is called solved."""
END_TOLERANCE = 1e-9
"""Relative; a thrust typed as the measured limit itself counts as measured."""


def _thrust(curve: SmoothCurve, density: float, speed: Floats) -> Floats:
    return density * evaluate_curve(curve, speed) * speed**2


def _grid(curve: SmoothCurve) -> Floats:
    return np.linspace(curve.low, curve.high, GRID)


def speed_for_thrust(run: ReducedRun, thrust: Floats) -> tuple[Sensitive, tuple[str | None, ...]]:
    """Return the speed [rad/s] at which the run's propeller pulls each thrust, and why where there is none.

    The derivative follows from T(omega, c) = const: d omega/dc = -(dT/dc)/(dT/d omega).
    """
    curve, density = run.curves["thrust"], run.standard_density
    grid = _grid(curve)
    at_grid = _thrust(curve, density, grid)
    targets = _snapped(np.asarray(thrust, dtype=np.float64), at_grid)
    low, high, reasons = _brackets(grid, at_grid, targets)
    speed = _solve(curve, density, targets, low, high)
    free = Sensitive.constant(speed)
    ordinate = curve_at(curve, free)
    basis = ordinate.gradient[curve.name]
    by_speed = density * (_slope(curve, speed) * speed**2 + 2.0 * ordinate.value * speed)
    gradient = -(density * speed**2 / by_speed)[:, None] * basis
    return Sensitive(speed, {curve.name: gradient}), reasons


def _slope(curve: SmoothCurve, speed: Floats) -> Floats:
    return evaluate_curve(curve, speed, derivative=1)


def _snapped(targets: Floats, at_grid: Floats) -> Floats:
    slack = END_TOLERANCE * float(np.max(np.abs(at_grid)))
    low, high = float(at_grid.min()), float(at_grid.max())
    near = (targets >= low - slack) & (targets <= high + slack)
    return np.where(near, np.clip(targets, low, high), targets)


def _brackets(grid: Floats, at_grid: Floats, targets: Floats) -> tuple[Floats, Floats, tuple[str | None, ...]]:
    """Return the grid interval that holds each target, NaN with a reason where there is none or more than one."""
    above = at_grid[None, :] >= targets[:, None]
    changes = above[:, 1:] != above[:, :-1]
    crossings = changes.sum(axis=1)
    first = np.argmax(changes, axis=1)
    # A target equal to the least thrust lies on the first grid point and crosses nothing.
    at_start = (crossings == 0) & (targets == at_grid[0])
    found = (crossings == 1) | at_start
    low = np.where(found, grid[first], np.nan)
    high = np.where(found, grid[first + 1], np.nan)
    limits = (float(at_grid.min()), float(at_grid.max()))
    reasons = tuple(
        None if ok else _reason(float(target), int(count), limits)
        for target, count, ok in zip(targets, crossings, found, strict=True)
    )
    return low, high, reasons


def _reason(target: float, crossings: int, limits: tuple[float, float]) -> str:
    if not np.isfinite(target):
        return "the thrust asked for is not a number"
    if crossings > 1:
        return f"the thrust curve passes {said('thrust', target)} at {crossings} speeds, so none is the one"
    return (
        f"{said('thrust', target)} was not reached within the measured speeds: "
        f"{said_range('thrust', *limits)} at standard density"
    )


def _solve(curve: SmoothCurve, density: float, targets: Floats, low: Floats, high: Floats) -> Floats:
    """Newton's method, held inside a bracket that bisection shrinks."""
    speed = 0.5 * (low + high)
    rising = _thrust(curve, density, high) >= _thrust(curve, density, low)
    for _ in range(STEPS):
        excess = _thrust(curve, density, speed) - targets
        beyond = (excess >= 0.0) == rising
        high, low = np.where(beyond, speed, high), np.where(beyond, low, speed)
        slope = density * _slope(curve, speed) * speed**2 + 2.0 * (excess + targets) / speed
        with np.errstate(divide="ignore", invalid="ignore"):
            step = speed - excess / slope
        inside = (step >= low) & (step <= high)
        following = np.where(inside, step, 0.5 * (low + high))
        moved = np.abs(following - speed)
        speed = following
        if not np.any(moved > SOLVED * np.abs(speed)):
            break
    return speed
