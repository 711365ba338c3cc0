"""Each design foretold from the motor that the others show and its own coefficients, against what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.motor import LeftOut
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.motor_duty import supply_line
from isothrust.reduction.motor_readings import MotorReadings
from isothrust.science.drive_fit import DriveFit, StatedValue, fit_drive
from isothrust.science.drive_model import RigDoubt, warmth_by_heat, winding_heat, winding_warmth
from isothrust.science.operating import COPPER, DriveConstants, LoadCurve, SupplyLine, solve_operating_point
from isothrust.science.splines import basis_matrix

__all__ = ["left_out", "rms_errors"]

_GRID = 120
_MIDDLE = (0.35, 0.65)
"""Throttle of a mid-throttle point [1]."""
_ROUNDS = 3
_FEWEST = 2
"""Other designs without which leaving one out says nothing."""


@dataclass(frozen=True, slots=True)
class _Others:
    """What the runs of the other designs show."""

    together: MotorReadings
    fit: DriveFit
    supply: SupplyLine
    duty: tuple[Floats, Floats] | None
    """Throttle and duty of the others' readings, rising."""

    @property
    def constants(self) -> DriveConstants:
        """Return the constants at the reference temperature."""
        kv, copper, controller, friction, viscous, idle = (float(v) for v in self.fit.parameters[:6])
        return DriveConstants(kv, copper / kv**2, controller / kv**2, friction, viscous, idle)

    def heat_share(self, throttle: float) -> float:
        """Return heat over torque squared at a throttle [s], as the others' schedules left it."""
        r = self.together.readings
        near = r.full if throttle >= 1.0 else np.abs(self.together.throttle - throttle) < 0.1
        if not near.any():
            return 0.0
        heat = winding_heat(self.fit.parameters, r)
        return float(np.median(heat[near] / r.torque[near] ** 2))


def left_out(
    together: MotorReadings, fit: DriveFit, doubt: RigDoubt, stated_kv: StatedValue | None
) -> tuple[LeftOut, ...]:
    """Return, design by design, how far it was foretold amiss; nothing where fewer than three designs were run."""
    designs = sorted({run.design for run in together.runs})
    if len(designs) <= _FEWEST:
        return ()
    out: list[LeftOut] = []
    for design in designs:
        others = _others(together, design, fit, doubt, stated_kv)
        if others is None:
            continue
        own = [run for run in together.runs if run.design == design]
        errors = [found for run in own if (found := _errors(run, others))]
        names = dict.fromkeys(name for each in errors for name in each)
        means = {name: float(np.mean([each[name] for each in errors if name in each])) for name in names}
        out.append(LeftOut(design, tuple(run.run for run in own), means))
    return tuple(out)


def rms_errors(tried: Sequence[LeftOut]) -> dict[str, float]:
    """Return the root of the mean square over the designs, quantity by quantity."""
    names = dict.fromkeys(name for each in tried for name in each.errors)
    return {name: float(np.sqrt(np.mean([e.errors[name] ** 2 for e in tried if name in e.errors]))) for name in names}


def _others(
    together: MotorReadings, design: str, fit: DriveFit, doubt: RigDoubt, stated_kv: StatedValue | None
) -> _Others | None:
    numbers = [number for number, run in enumerate(together.runs) if run.design != design]
    kept = np.isin(together.readings.run, numbers)
    readings = together.readings.only(kept)
    rest = MotorReadings(readings, together.throttle[kept], together.runs, ())
    line = supply_line([together.runs[number] for number in numbers])
    try:
        found = fit_drive(readings, doubt, stated_kv=stated_kv, spreads=fit.spreads)
    except ValueError:
        return None
    if line is None or ("kv" in found.held and stated_kv is None):
        return None
    return _Others(rest, found, SupplyLine(line.voltage, line.resistance), _map(rest, found))


def _map(rest: MotorReadings, found: DriveFit) -> tuple[Floats, Floats] | None:
    known = np.isfinite(rest.throttle)
    if not known.any():
        return None
    kv, copper, _, friction, viscous = found.parameters[:5]
    r = rest.readings
    total = r.torque + friction + viscous * r.speed
    duty = (r.speed + copper * (1.0 + COPPER * winding_warmth(found.parameters, r)) * total) / (kv * r.voltage)
    edges = np.linspace(0.0, 1.0, 41)
    cell = np.clip(np.searchsorted(edges, rest.throttle, side="right") - 1, 0, 39)
    filled = np.unique(cell[known]).tolist()
    x = np.array([rest.throttle[known & (cell == number)].mean() for number in filled])
    y = np.array([duty[known & (cell == number)].mean() for number in filled])
    return x, y


def _errors(run: ReducedRun, others: _Others) -> dict[str, float]:
    """Return relative errors of speed, thrust and current at full throttle, and of the same in the middle."""
    points, curve = run.drive, run.curves.get("torque")
    if points is None or curve is None or points.current is None or run.density is None or points.throttle is None:
        return {}
    speed = np.linspace(curve.low, curve.high, _GRID)
    load = LoadCurve(speed, run.density * speed**2 * _at(curve, speed))
    out: dict[str, float] = {}
    if points.full is not None and np.any(points.full > 0.5):
        at = int(np.flatnonzero(points.full > 0.5)[0])
        out |= _one(run, others, load, at, full=True)
    rising = points.acceleration is None or points.acceleration > -1.0
    middle = (points.throttle > _MIDDLE[0]) & (points.throttle < _MIDDLE[1]) & rising
    if middle.any() and others.duty is not None:
        at = int(np.argmin(np.where(middle, np.abs(points.throttle - 0.5), np.inf)))
        out |= _one(run, others, load, at, full=False)
    return out


def _one(run: ReducedRun, others: _Others, load: LoadCurve, at: int, *, full: bool) -> dict[str, float]:
    points = run.drive
    assert points is not None and points.current is not None and points.throttle is not None
    throttle = 1.0 if full else float(points.throttle[at])
    duty = 1.0
    if not full and others.duty is not None:
        duty = float(np.interp(throttle, *others.duty))
    inertia = run.inertia.value if run.inertia is not None else 0.0
    rate = float(points.acceleration[at]) if points.acceleration is not None else 0.0
    taken = load._replace(added=inertia * rate)
    start = 0.0 if points.temperature is None else points.temperature - 293.15
    share, warmth = others.heat_share(throttle), start
    state = solve_operating_point(others.constants, taken, duty, others.supply, warmth=warmth)
    for _ in range(_ROUNDS):
        warmth = float(warmth_by_heat(others.fit.parameters, share * float(state.torque[0]) ** 2, start))
        state = solve_operating_point(others.constants, taken, duty, others.supply, warmth=warmth)
    end = "" if full else "-mid"
    foretold, measured = float(state.speed[0]), float(points.speed[at])
    if not np.isfinite(foretold):
        return {}
    out = {
        f"speed{end}": foretold / measured - 1.0,
        f"current{end}": float(state.current[0]) / points.current[at] - 1.0,
    }
    if "thrust" in run.curves:
        ratio = _at(run.curves["thrust"], np.array([foretold, measured]))
        out[f"thrust{end}"] = float(ratio[0] * foretold**2 / (ratio[1] * measured**2)) - 1.0
    return out


def _at(curve: SmoothCurve, speed: Floats) -> Floats:
    """Return the curve's ordinate at speeds (n,), level beyond its ends."""
    return np.asarray(basis_matrix(np.clip(speed, curve.low, curve.high), curve.knots) @ curve.coefficients)
