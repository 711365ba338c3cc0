"""How warm a winding gets: what the runs of a motor show, carried over to another load by the square of torque."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.records.motor import MotorModel
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.machines import Batch
from isothrust.science.arrays import floats
from isothrust.science.machine import thrust_ceiling
from isothrust.science.operating import OperatingPoint

__all__ = ["Heating", "heating_of", "warm_at_full_throttle", "warm_in_hover"]

SPREAD: Final = 0.15
"""Standard uncertainty of a rise that is carried over, relative: how a winding cools, and what the runs had at mid
throttle; simulated motors scatter by about that."""
LEAST: Final = 3.0
"""Standard uncertainty of a winding's temperature at least [K]."""
HOTTEST: Final = 150.0
"""Rise beyond which no winding lasts [K]."""
ROUNDS: Final = 4


@dataclass(frozen=True, slots=True)
class Heating:
    """What the runs that a motor was found from had on the mean, at full throttle."""

    torque_square: float
    """Square of the torque, friction inside [N2 m2]."""
    start: float
    """How much warmer than the motor's reference temperature the air was [K]."""


def heating_of(motor: MotorModel, runs: Iterable[ReducedRun]) -> Heating | None:
    """Return what heated a found motor; None where the runs do not tell torque or the temperature of the air."""
    squares, starts = [], []
    for run in runs:
        points = run.drive
        if run.run not in motor.runs or points is None or points.torque is None or points.temperature is None:
            continue
        top = int(np.argmax(points.speed))
        lost = (motor.friction or 0.0) + (motor.viscous or 0.0) * float(points.speed[top])
        squares.append((float(points.torque[top]) + lost) ** 2)
        starts.append(points.temperature - motor.temperature)
    if not squares or motor.warmth <= np.mean(starts):
        return None
    return Heating(float(np.mean(squares)), float(np.mean(starts)))


def warm_at_full_throttle(batch: Batch, heating: Heating | None, temperature: float) -> Batch:
    """Return the batch with the winding as warm as at the end of a ramp to full throttle, in air of a temperature [K].

    Heat goes as current squared, which is torque squared. What the runs showed on the mean is carried over so.
    """
    if heating is None:
        return batch
    for _ in range(ROUNDS):
        rise = _rise(batch, heating, thrust_ceiling(batch.machine).point)
        batch = _with_warmth(batch, temperature - batch.motor.temperature + rise, float(rise[0]))
    return batch


def warm_in_hover(batch: Batch, heating: Heating | None, temperature: float) -> Batch:
    """Return the batch with a winding half as warm as the runs at full throttle, give or take the other half."""
    if heating is None:
        return batch
    half = 0.5 * (batch.motor.warmth - heating.start)
    warmth = np.full(batch.count, temperature - batch.motor.temperature + half)
    return _with_warmth(batch, floats(warmth), half / SPREAD)


def _rise(batch: Batch, heating: Heating, point: OperatingPoint) -> Floats:
    constants = batch.machine.constants
    total = point.torque + floats(constants.friction) + floats(constants.viscous) * point.speed
    mean = batch.motor.warmth - heating.start
    rise = np.where(np.isfinite(total), mean * total**2 / heating.torque_square, mean)
    return floats(np.minimum(rise, HOTTEST))


def _with_warmth(batch: Batch, warmth: Floats, rise: float) -> Batch:
    """Put warmths in; the source that stands for them moves by its own uncertainty."""
    warm = warmth.copy()
    places = [place for place, cause in enumerate(batch.causes, 1) if cause.source == "winding temperature"]
    for place in places:
        u = float(np.hypot(SPREAD * rise, LEAST))
        warm[place] = warmth[0] + u
        warm[place + len(batch.causes)] = warmth[0] - u
    return replace(batch, machine=batch.machine._replace(warmth=floats(warm)))
