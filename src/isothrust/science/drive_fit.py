"""Constants of a motor and its controller, from steady readings of several runs, with what those cannot tell."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.drive_model import (
    CONSTANT_NAMES,
    NAMES,
    NUISANCE_NAMES,
    DriveReadings,
    RigDoubt,
    drive_misfits,
    misfit_slopes,
    run_effects,
)
from isothrust.science.drive_whitening import MisfitSet, Spreads, estimate_spreads, whitened

__all__ = ["DriveFit", "StatedValue", "fit_drive"]

_ITERATIONS: Final = 8
_HALVINGS: Final = 6
_WARMTH: Final = (40.0, 60.0)
"""Warmth that the hottest run is expected to end with, and its doubt [K]: broad, for it is only there to hold what no
run can tell; a winding that was not touched ended between 10 and 150 K warmer."""
_COOLING: Final = (0.03, 0.03)
"""Rate at which a winding gives its heat away, and its doubt [1/s]: time constants of 15 s to minutes."""
_CONTROLLER_SHARE: Final = (0.15, 0.15)
"""Copper loss of the controller as a share of the winding's, and its doubt: only where the readings cannot tell them
apart; transistors of a few milliohms beside windings of tens."""
_FLOOR: Final = 0.25
"""Torque noise does not go below this share of what it is at the greatest torque."""


@dataclass(frozen=True, slots=True)
class StatedValue:
    """A value from elsewhere [SI]."""

    value: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class DriveFit:
    """Constants in the order of `CONSTANT_NAMES` and, behind them, `NUISANCE_NAMES` (14,)."""

    parameters: Floats
    covariance: Floats
    """(14, 14); not a number where a constant was held."""
    held: tuple[str, ...]
    """Constants that the readings cannot tell, in the order in which they were given up."""
    spreads: Spreads
    degrees_of_freedom: float
    power_misfit: Floats
    """Relative to electrical power (n,) [1]."""
    voltage_misfit: Floats
    """At full duty, in standard uncertainties of one such reading (f,) [1]."""


@dataclass(slots=True)
class _Problem:
    """The readings, where the parameters stand and which are free."""

    readings: DriveReadings
    doubt: RigDoubt
    parameters: Floats
    scale: Floats
    useful: Floats
    """Uncertainty beyond which a constant is not told at all (14,)."""
    free: Bools
    prior: Floats
    """Inverse standard uncertainty in units of `scale`, 0 for none (14,)."""
    expected: Floats
    """What the prior expects (14,)."""
    spreads: Spreads

    def misfits(self) -> MisfitSet:
        """Return the misfits where the parameters stand, slopes per scale of each parameter."""
        power, voltage = drive_misfits(self.parameters, self.readings)
        by_power, by_voltage = misfit_slopes(self.parameters, self.readings, self.scale)
        of_power, of_voltage = run_effects(self.parameters, self.readings, self.doubt)
        readings, at = self.readings, self.readings.full
        none = np.zeros(voltage.size)
        noise = readings.speed * (readings.torque + _FLOOR * float(readings.torque.max())) / np.sqrt(readings.rows)
        return MisfitSet(
            np.concatenate([power, voltage]),
            np.concatenate([by_power, by_voltage]) * self.scale,
            np.concatenate([of_power, of_voltage]),
            np.concatenate([0.01 * noise, none]),
            np.concatenate([np.abs(readings.voltage * readings.current), none]),
            np.concatenate([np.zeros(power.size), readings.voltage[at]]),
            _places(np.concatenate([readings.run, readings.run[at]])),
        )

    def chi_square(self) -> float:
        """Return the weighted sum of squares, priors included."""
        values, _, _ = whitened(self.misfits(), self.spreads)
        return float(values @ values + np.sum(self._off() ** 2))

    def _off(self) -> Floats:
        return floats(self.prior * (self.parameters - self.expected) / self.scale)

    def system(self) -> tuple[Floats, Floats]:
        """Return the design of the free parameters with the priors below (rows, free), and what it has to meet."""
        values, slopes, _ = whitened(self.misfits(), self.spreads)
        held = np.flatnonzero((self.prior > 0.0) & self.free)
        below = np.zeros((held.size, self.free.size))
        below[np.arange(held.size), held] = self.prior[held]
        design = np.concatenate([slopes, below])[:, self.free]
        return design, np.concatenate([values, self._off()[held]])


def fit_drive(
    readings: DriveReadings,
    doubt: RigDoubt,
    *,
    stated_kv: StatedValue | None = None,
    spreads: Spreads | None = None,
) -> DriveFit:
    """Return the constants of motor and controller by weighted least squares over all readings at once.

    Parameters
    ----------
    readings
        Of all runs that share the motor.
    doubt
        What the rig states of its channels. Scale errors are parameters too, so that they enter the covariance as far
        as the readings do not rule them out.
    stated_kv
        Speed constant from elsewhere, used only where the readings cannot tell it [rad/s/V].
    spreads
        How large noise and misfit are; None: found from the misfits.

    Returns
    -------
    DriveFit
        Constants, covariance, and what was held because no reading tells it.

    Raises
    ------
    ValueError
        If there are fewer than four readings, or they do not even tell the copper loss.

    Source
    ------
    Gauss-Newton on `drive_misfits`; identifiability by the singular values of the whitened design, each column scaled
    by the uncertainty from which on its constant is of no use [BelsleyKuhWelsch1980].
    """
    if readings.speed.size < 4:
        message = f"{readings.speed.size} readings are too few to find a motor from"
        raise ValueError(message)
    problem = _begin(readings, doubt)
    problem.spreads = spreads or Spreads()
    held = _give_up_what_is_not_told(problem, stated_kv)
    _descend(problem)
    if spreads is None:
        for _ in range(2):
            _estimate(problem)
            _descend(problem)
    return _result(problem, held)


def _begin(readings: DriveReadings, doubt: RigDoubt) -> _Problem:
    """Start from the linear power balance, and KV from full duty."""
    w, q = readings.speed, readings.torque
    power = readings.voltage * readings.current
    weight = 1.0 / (w * (q + _FLOOR * float(q.max())) / np.sqrt(readings.rows))
    columns = np.stack([q**2, w, w**2, np.ones_like(w)], axis=1) * weight[:, None]
    size = np.linalg.norm(columns, axis=0)
    copper, friction, viscous, idle = np.linalg.lstsq(columns / size, (power - w * q) * weight, rcond=1e-6)[0] / size
    top = float(power.max())
    copper = max(float(copper), 0.02 * top / float(q.max()) ** 2)
    at = readings.full
    usable = readings.voltage > 0.0
    ratio = ((w + copper * q) / np.where(usable, readings.voltage, np.nan))[at if at.any() else usable]
    kv = float(np.median(ratio[np.isfinite(ratio)])) if np.any(np.isfinite(ratio)) else float(w.max())
    lost, hottest = 0.02 * float(q.max()), max(copper * float(readings.heat.max()), 1e-9)
    scale = np.array([kv, copper, copper, lost, lost / float(w.max()), 0.003 * top, _WARMTH[0] / hottest, _COOLING[0]])
    scale = np.concatenate([scale, _nuisance()])
    useful = scale * np.array([0.2, 0.5, 0.3, 5.0, 5.0, 5.0, 1e3, 1e3, *np.ones(6)])
    start = np.array([kv, 0.9 * copper, 0.1 * copper, friction, viscous, idle, _WARMTH[0] / hottest, _COOLING[0]])
    start = np.concatenate([start, np.zeros(6)])
    sure = np.array(doubt[: len(NUISANCE_NAMES)])
    free = np.concatenate([np.ones(len(CONSTANT_NAMES), dtype=bool), sure > 0.0])
    prior = np.zeros(len(NAMES))
    prior[NAMES.index("warming")] = _WARMTH[0] / _WARMTH[1]
    prior[NAMES.index("cooling")] = _COOLING[0] / _COOLING[1]
    prior[len(CONSTANT_NAMES) :] = np.where(sure > 0.0, np.array(_nuisance()) / np.where(sure > 0.0, sure, 1.0), 0.0)
    expected = np.where(prior > 0.0, start, 0.0)
    return _Problem(readings, doubt, start, scale, useful, free, prior, expected, Spreads())


def _nuisance() -> tuple[float, ...]:
    """Scales of the nuisance parameters: a per cent, and ten milliseconds."""
    return (0.01, 0.01, 0.01, 0.01, 0.01, 0.01)


def _give_up_what_is_not_told(problem: _Problem, stated_kv: StatedValue | None) -> tuple[str, ...]:
    """Hold, one after the other, the constants without which the rest can be told; return which."""
    held: list[str] = []
    for _ in CONSTANT_NAMES:
        worst = _not_told(problem, held)
        if worst is None:
            return tuple(held)
        held.append(worst)
        _hold(problem, worst, stated_kv)
        if worst == "kv" and not np.any(problem.readings.full):  # only its coolness would tell the controller's share
            held.append("controller")
            _hold(problem, "controller", None)
        if worst == "copper":
            message = "the readings do not tell the copper loss: torque and power hardly vary"
            raise ValueError(message)
    return tuple(held)


_FIRST_GIVEN_UP: Final = ("kv", "controller", "viscous", "idle_power", "friction", "copper")


def _not_told(problem: _Problem, held: list[str]) -> str | None:
    """Return the constant to give up next: that of the weakest direction which is told less than is useful."""
    design, _ = problem.system()
    free = np.flatnonzero(problem.free)
    scaled = design * (problem.useful / problem.scale)[free]
    _, values, directions = np.linalg.svd(scaled, full_matrices=True)
    strength = np.zeros(free.size)
    strength[: values.size] = values
    for k in np.argsort(strength):
        if strength[k] >= 1.0:
            return None
        shares = dict(zip((NAMES[at] for at in free), np.abs(directions[k]), strict=True))
        for name in _FIRST_GIVEN_UP:
            if name not in held and shares.get(name, 0.0) > 0.3:
                return name
    return None


def _hold(problem: _Problem, name: str, stated_kv: StatedValue | None) -> None:
    """Put a stated or usual value in the place of a constant; where there is none, leave it out at nothing."""
    at = NAMES.index(name)
    if name == "kv" and stated_kv is not None:
        problem.parameters[at] = problem.expected[at] = stated_kv.value
        problem.prior[at] = problem.scale[at] / stated_kv.uncertainty
        return
    if name == "controller" and np.any(problem.readings.full):
        copper = problem.scale[at]
        problem.parameters[at] = problem.expected[at] = _CONTROLLER_SHARE[0] * copper
        problem.prior[at] = problem.scale[at] / (_CONTROLLER_SHARE[1] * copper)
        return
    problem.free[at] = False
    if name != "kv":
        problem.parameters[at] = 0.0


def _descend(problem: _Problem) -> None:
    """Walk to the least sum of squares; a step that does not lower it is halved."""
    least = problem.chi_square()
    for _ in range(_ITERATIONS):
        design, misfit = problem.system()
        change = np.zeros(problem.free.size)
        change[problem.free] = -np.linalg.solve(design.T @ design, design.T @ misfit)
        before = problem.parameters
        for _ in range(_HALVINGS):
            problem.parameters = before + change * problem.scale
            now = problem.chi_square() if problem.parameters[0] > 0.0 else np.inf
            if now <= least * (1.0 + 1e-9):
                break
            change = 0.5 * change
        else:
            problem.parameters = before
            return
        done, least = least - now < 1e-4, now
        if done:
            return


def _estimate(problem: _Problem) -> None:
    misfits = problem.misfits()
    kept = misfits._replace(slopes=misfits.slopes[:, problem.free])
    problem.spreads = estimate_spreads(kept, problem.prior[problem.free], problem.spreads)


def _result(problem: _Problem, held: tuple[str, ...]) -> DriveFit:
    covariance = _covariance(problem)
    louder = Spreads(*(1.05 * size for size in problem.spreads))
    raised = _covariance(_with(problem, louder))
    at = 0 if problem.free[0] else 1
    share = np.log(raised[at, at] / covariance[at, at]) / (2.0 * np.log(1.05))
    readings = problem.readings
    runs = np.unique(readings.run[readings.full] if problem.free[0] else readings.run).size
    freedom = max(1.0, runs - 2.0) / max(float(share), 1e-3) ** 2
    power, voltage = drive_misfits(problem.parameters, readings)
    spread = problem.spreads.voltage * readings.voltage[readings.full]
    drawn = np.abs(readings.voltage * readings.current)
    return DriveFit(
        problem.parameters,
        covariance,
        held,
        problem.spreads,
        freedom,
        floats(power / np.where(drawn > 0.0, drawn, np.nan)),
        floats(voltage / spread),
    )


def _with(problem: _Problem, spreads: Spreads) -> _Problem:
    return replace(problem, spreads=spreads)


def _covariance(problem: _Problem) -> Floats:
    design, _ = problem.system()
    out = np.full((problem.free.size, problem.free.size), np.nan)
    inverse = np.linalg.inv(design.T @ design)
    rows = np.flatnonzero(problem.free)
    out[np.ix_(rows, rows)] = inverse * np.outer(problem.scale[rows], problem.scale[rows])
    return out


def _places(run: np.ndarray) -> np.ndarray:
    """Return the readings of each run, filled up with -1 (runs, m)."""
    numbers = np.unique(run)
    members = [np.flatnonzero(run == number) for number in numbers]
    out = np.full((numbers.size, max(each.size for each in members)), -1, dtype=np.int64)
    for row, each in zip(out, members, strict=True):
        row[: each.size] = each
    return out
