"""What motor and controller are found from: steady readings of a run in groups of near speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.motor import DrivePoints
from isothrust.records.recording import Floats
from isothrust.reduction.electrics import Electrics
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.spells import number_spells

__all__ = ["FULL", "drive_points"]

FULL = 0.995
"""Throttle from which on duty is taken to be full [1]: a pulse width is read to half a per cent."""
_GROUPS = 30
_FEWEST = 2
"""Bins that make a group."""
_SETTLED = 0.06
"""Time after which duty has followed a command and filters have followed the change [s]."""

Labels = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class _Groups:
    """Bins (n,) -> groups (g,) in the order of leg, then speed."""

    inverse: Labels
    """Group of each bin, -1 for none."""
    count: Floats
    leg: Labels
    """Of each group."""
    speed: Floats
    """Mean [rad/s]."""
    spread: Floats
    """Mean square about it."""

    def mean(self, values: Floats) -> Floats:
        """Return the mean of each group, at the group's mean speed: what a bend over speed adds is taken out."""
        inside = self.inverse >= 0
        sums = np.bincount(self.inverse[inside], weights=values[inside], minlength=self.count.size)
        means = sums / self.count
        return np.asarray(means - 0.5 * self._bend(means) * self.spread)

    def _bend(self, means: Floats) -> Floats:
        """Second derivative over speed through each group and its neighbours of the leg; zero where it has none."""
        bend = np.zeros_like(means)
        for leg in np.unique(self.leg):
            at = np.flatnonzero(self.leg == leg)
            if at.size < 3:
                continue
            slope = np.diff(means[at]) / np.diff(self.speed[at])
            inner = 2.0 * np.diff(slope) / (self.speed[at][2:] - self.speed[at][:-2])
            bend[at] = np.concatenate([inner[:1], inner, inner[-1:]])
        return bend


def drive_points(prepared: Prepared, mechanics: Mechanics, electrics: Electrics) -> DrivePoints | None:
    """Return the run's readings in groups of near speed, each leg and each spell of full throttle apart.

    Torque is the cell's own, what accelerates the rotor still inside: that is what the motor had to give. All channels
    are brought to the speed channel's time, but for settled spells at full throttle: there a slope that reaches beyond
    the spell's ends would do more harm than a delay.
    """
    if prepared.abscissa != "speed":
        return None
    torque = mechanics.torque
    full = _full(prepared)
    late = np.where(full, 0.0, electrics.lag.value)
    voltage = _advanced(prepared, "voltage", late)
    current = _current(prepared, late, voltage)
    if torque is None and current is None:
        return None
    throttle = _advanced(prepared, "throttle", np.where(full, 0.0, electrics.throttle_lag.value))
    groups = _group(prepared, full)
    if groups is None:
        return None
    cell = None if torque is None else torque.given.torque + np.where(full, 0.0, torque.lag.value) * torque.given.slope
    correlation = 1.0 if torque is None else max(1.0, torque.curve.correlation)

    def mean(values: Floats | None) -> Floats | None:
        return None if values is None else groups.mean(values)

    air = prepared.job.run.air
    past = _past(prepared) if cell is not None else (None, None, None)
    return DrivePoints(
        speed=groups.speed,
        torque=mean(cell),
        voltage=mean(voltage),
        current=mean(current),
        throttle=mean(throttle),
        torque_heat=mean(past[0]),
        rows=np.maximum(1.0, groups.count / correlation),
        full=None if throttle is None else (groups.leg >= _FIRST_SPELL).astype(np.float64),
        torque_time=mean(past[1]),
        heat_time=mean(past[2]),
        acceleration=mean(np.where(full, 0.0, mechanics.acceleration)),
        temperature=None if air is None else air.temperature.value,
    )


_FIRST_SPELL = 2
"""Legs: 0 up, 1 down, from here on spells of full throttle."""


def _advanced(prepared: Prepared, quantity: str, lag: Floats) -> Floats | None:
    values = prepared.steady(quantity)
    return None if values is None else np.asarray(values + lag * prepared.rate(quantity))


def _current(prepared: Prepared, lag: Floats, voltage: Floats | None) -> Floats | None:
    current = _advanced(prepared, "current", lag)
    if current is not None or voltage is None or not np.all(voltage > 0.0):
        return current
    power = _advanced(prepared, "electrical-power", lag)
    return None if power is None else np.asarray(power / voltage)


def _full(prepared: Prepared) -> NDArray[np.bool_]:
    """Steady bins (n,) at full throttle, with the time left out in which the drive follows."""
    at_top = np.zeros(prepared.site.x.size, dtype=bool)
    throttle = prepared.bins.get("throttle")
    if prepared.steady("throttle") is None or throttle is None:
        return at_top
    steady = prepared.spells.steady
    command = np.nan_to_num(throttle) >= FULL
    before = np.where(command, -np.inf, prepared.bins.time)
    since = prepared.bins.time - np.maximum.accumulate(before)
    slow = np.abs(prepared.spells.slope) < 0.1 * prepared.spells.top
    return np.asarray((command & (since > _SETTLED) & slow)[steady])


def _group(prepared: Prepared, full: NDArray[np.bool_]) -> _Groups | None:
    x = prepared.site.x
    falling = prepared.spells.falling[prepared.spells.steady].astype(np.int64)
    leg = np.where(full, _FIRST_SPELL - 1 + number_spells(full), falling)
    root = np.sqrt(x)
    width = max(float(np.ptp(root)) / _GROUPS, 1e-9 * float(root.max()))
    step = np.where(full, 0, np.minimum(((root - root.min()) / width).astype(np.int64), _GROUPS - 1))
    keys, inverse, count = np.unique(leg * (_GROUPS + 1) + step, return_inverse=True, return_counts=True)
    kept = count >= min(_FEWEST, int(count.max()))
    if not kept.any():
        return None
    place = np.where(kept, np.cumsum(kept) - 1, -1)[inverse]
    inside = place >= 0
    number = count[kept].astype(np.float64)
    mean = np.bincount(place[inside], weights=x[inside], minlength=number.size) / number
    square = np.bincount(place[inside], weights=(x[inside] - mean[place[inside]]) ** 2, minlength=number.size) / number
    return _Groups(place, number, keys[kept] // (_GROUPS + 1), mean, square)


def _past(prepared: Prepared) -> tuple[Floats, Floats, Floats]:
    """Return integrals from the start of the log to each steady bin (n,): torque squared, torque, and of the first."""
    time, torque = prepared.bins.time, prepared.bins.values["torque"]
    known = np.isfinite(torque)
    filled = np.interp(time, time[known], torque[known])

    def integral(values: Floats) -> Floats:
        each = 0.5 * (values[1:] + values[:-1]) * np.diff(time)
        return np.concatenate([[0.0], np.cumsum(each)])

    heat = integral(filled**2)
    steady = prepared.spells.steady
    return heat[steady], integral(filled)[steady], integral(heat)[steady]
