"""A room that is too small: the jet comes back to the disc, and the inflow builds up while the propeller runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isothrust.virtual.monotone import Floats
from isothrust.virtual.propeller import Propeller

__all__ = ["Room", "RoomAir", "thrust_share"]

_POWER_SLOPE = 0.2
"""Part of CP lost by the advance ratio at which CT is gone: torque hardly falls while thrust does."""
_THRUST_SLOPE = 0.6
"""Part of CT that would be lost by the advance ratio at which CT is gone, did it go on falling as it does at first."""
_SPAN = 1.05
_BEYOND = 0.12
"""CT is gone at an advance ratio a little above pitch over diameter, by the camber of the blades."""
_REFERENCE = 14_000 / 60
_SLOWEST = 5.0
"""Below this speed [rev/s] an advance ratio means nothing."""


@dataclass(frozen=True, slots=True)
class Room:
    """How the air of a room follows the propeller."""

    share: float = 0.05
    """Inflow that comes back, in proportion to the hover-induced velocity, once the room's air has been set going."""
    time: float = 6.0
    """[s] that it takes to get there."""


def _zero_thrust(propeller: Propeller) -> float:
    """Advance ratio at which CT is gone."""
    return _SPAN * propeller.pitch / propeller.diameter + _BEYOND


def thrust_share(propeller: Propeller, inflow: Floats, n: Floats) -> Floats:
    """Return what an inflow [m/s] leaves of the static CT at n [rev/s]: a slow fall at first, then faster."""
    part = _advance(propeller, inflow, n) / _zero_thrust(propeller)
    return np.asarray(1 - _THRUST_SLOPE * part - (1 - _THRUST_SLOPE) * part**2, dtype=np.float64)


def _advance(propeller: Propeller, inflow: Floats, n: Floats) -> Floats:
    """Advance ratio; where the rotor hardly turns, as at half of zero thrust at most."""
    advance = inflow / (np.maximum(n, _SLOWEST) * propeller.diameter)
    return np.asarray(np.minimum(advance, 0.5 * _zero_thrust(propeller)), dtype=np.float64)


class RoomAir:
    """The inflow of all lanes; a lane without a room has none."""

    def __init__(self, propellers: Sequence[Propeller], rooms: Sequence[Room | None]) -> None:
        shares = [0.0 if room is None else room.share for room in rooms]
        self._pull = np.array([_per_speed(propeller) for propeller in propellers]) * np.array(shares)
        self._rate = np.array([0.0 if room is None else 1 / room.time for room in rooms])
        self._diameter = np.array([propeller.diameter for propeller in propellers])
        self._gone = np.array([_zero_thrust(propeller) for propeller in propellers])
        self.inflow: Floats = np.zeros(len(propellers))
        """[m/s]"""

    def pass_on(self, omega: Floats, step: float) -> None:
        """Let `step` seconds pass at omega [rad/s]."""
        self.inflow = self.inflow + (self._pull * omega - self.inflow) * self._rate * step

    def power_share(self, omega: Floats) -> Floats:
        """Return what the inflow leaves of every lane's static CP."""
        advance = self.inflow / (np.maximum(omega / (2 * np.pi), _SLOWEST) * self._diameter)
        return np.asarray(1 - _POWER_SLOPE * np.minimum(advance / self._gone, 0.5), dtype=np.float64)


def _per_speed(propeller: Propeller) -> float:
    """Hover-induced velocity over omega [m]: R sqrt(CT/2), CT by tip speed and disc area."""
    ct = float(propeller.thrust_coefficient(_REFERENCE))
    return 0.5 * propeller.diameter * math.sqrt(4 / math.pi**3 * ct / 2)
