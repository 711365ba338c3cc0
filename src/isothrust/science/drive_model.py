"""What motor and controller make of their constants: power balance at every reading, voltage balance at full duty.

Copper losses stand per torque squared, A = R KV^2 and B = Rc KV^2: the power balance knows no other form of them.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Bools, Floats, floats
from isothrust.science.operating import COPPER

__all__ = [
    "CONSTANT_NAMES",
    "NAMES",
    "NUISANCE_NAMES",
    "DriveReadings",
    "RigDoubt",
    "drive_misfits",
    "misfit_slopes",
    "run_effects",
    "warmth_by_heat",
    "winding_heat",
    "winding_warmth",
]

CONSTANT_NAMES: Final = ("kv", "copper", "controller", "friction", "viscous", "idle_power", "warming", "cooling")
"""KV [rad/s/V], A and B [W/(N m)^2], friction [N m], viscous [N m s], idle power [W], 1/C [K/J], cooling [1/s]."""
NUISANCE_NAMES: Final = ("speed", "torque", "voltage", "current", "torque_lag", "electrical_lag")
"""Relative scale errors of four channels, and delays [s] that are left."""
NAMES: Final = (*CONSTANT_NAMES, *NUISANCE_NAMES)


class DriveReadings(NamedTuple):
    """Steady readings of runs that share a motor, all (n,)."""

    run: NDArray[np.int64]
    """Number of the run, from 0."""
    speed: Floats
    """[rad/s]"""
    torque: Floats
    """On the shaft [N m]."""
    voltage: Floats
    """[V]"""
    current: Floats
    """Into the controller [A]."""
    heat: Floats
    """Integral of torque squared until there [N2 m2 s]."""
    impulse: Floats
    """Integral of torque until there [N m s]."""
    lapse: Floats
    """Integral of `heat` over time, over `heat` [s]: how long, on the mean, heat has had to leave."""
    start: Floats
    """Of the winding before the run, over the reference temperature [K]."""
    growth: Floats
    """Relative rate of change of speed [1/s]."""
    rows: Floats
    """Independent readings behind each."""
    full: Bools
    """Whether duty is known to be 1."""

    def only(self, kept: Bools) -> DriveReadings:
        """Return the readings where `kept` (n,) holds."""
        return DriveReadings(
            self.run[kept],
            self.speed[kept],
            self.torque[kept],
            self.voltage[kept],
            self.current[kept],
            self.heat[kept],
            self.impulse[kept],
            self.lapse[kept],
            self.start[kept],
            self.growth[kept],
            self.rows[kept],
            self.full[kept],
        )


class RigDoubt(NamedTuple):
    """Standard uncertainties of what all readings share, and of what each run has of its own; 0 where not stated."""

    speed: float = 0.0
    """Relative, as the next three."""
    torque: float = 0.0
    voltage: float = 0.0
    current: float = 0.0
    torque_lag: float = 0.0
    """[s]"""
    electrical_lag: float = 0.0
    torque_zero: float = 0.0
    """Of one run [N m]."""
    current_zero: float = 0.0
    """Of one run [A]."""
    start: float = 0.0
    """Of the winding's warmth before one run [K]."""


class _True(NamedTuple):
    speed: Floats
    torque: Floats
    voltage: Floats
    power: Floats


def _true(readings: DriveReadings, nuisance: Floats) -> _True:
    """Take the scale errors and what is left of the delays out of the readings."""
    speed, torque, voltage, current, torque_lag, electrical_lag = nuisance
    late_torque = readings.torque * (1.0 + 2.0 * torque_lag * readings.growth)
    late_power = readings.voltage * readings.current * (1.0 + 3.0 * electrical_lag * readings.growth)
    return _True(
        readings.speed / (1.0 + speed),
        late_torque / (1.0 + torque),
        readings.voltage / (1.0 + voltage),
        late_power / ((1.0 + voltage) * (1.0 + current)),
    )


def drive_misfits(parameters: Floats, readings: DriveReadings) -> tuple[Floats, Floats]:
    """Return what is left of the power balance, and of the voltage balance at full duty.

    Parameters
    ----------
    parameters
        (14,) in the order of `NAMES` [SI].
    readings
        n readings, of which f at full duty.

    Returns
    -------
    numpy.ndarray
        V I - Omega (Q + Qf) - (A w + B)(Q + Qf)^2 - P0, (n,) [W].
    numpy.ndarray
        V - (Omega + A w (Q + Qf))/KV, (f,) [V].

    Source
    ------
    [Drela2007] with the torque lost to friction Qf = Q0 + Q1 Omega, the winding's resistance by its warmth:
    w = (1 + a T0) exp(a A H/C), a = 0.39 %/K, H the integral of (Q + Qf)^2, which is the solution of C dT/dt = R i^2.
    What cooling at the rate k takes of it is allowed for by 1/(1 + k t), t being the time that heat has had to leave:
    exact to first order in k, and within 6 % of (1 - exp(-k T))/(k T) for steady heat up to k T = 1.
    """
    kv, copper, controller, friction, viscous, idle = parameters[:6]
    true = _true(readings, parameters[8:])
    lost = friction + viscous * true.speed
    total = true.torque + lost
    winding = copper * (1.0 + COPPER * winding_warmth(parameters, readings))
    power = true.power - true.speed * total - (winding + controller) * total**2 - idle
    at = readings.full
    voltage = true.voltage[at] - (true.speed[at] + winding[at] * total[at]) / kv
    return floats(power), floats(voltage)


def winding_warmth(parameters: Floats, readings: DriveReadings) -> Floats:
    """Return how much warmer than the reference temperature the winding is.

    Parameters
    ----------
    parameters
        (14,) in the order of `NAMES` [SI].
    readings
        n readings.

    Returns
    -------
    numpy.ndarray
        (n,) [K].

    Source
    ------
    As `drive_misfits`.
    """
    return warmth_by_heat(parameters, winding_heat(parameters, readings), readings.start)


def winding_heat(parameters: Floats, readings: DriveReadings) -> Floats:
    """Return the integral of the whole torque squared, friction's share in, less what cooling took of it.

    Parameters
    ----------
    parameters
        (14,) in the order of `NAMES` [SI].
    readings
        n readings.

    Returns
    -------
    numpy.ndarray
        (n,) [N2 m2 s].

    Source
    ------
    As `drive_misfits`.
    """
    friction, viscous, cooling = parameters[3], parameters[4], parameters[7]
    lost = friction + viscous * readings.speed
    return floats((readings.heat + 2.0 * lost * readings.impulse) / (1.0 + cooling * readings.lapse))


def warmth_by_heat(parameters: Floats, heat: ArrayLike, start: ArrayLike) -> Floats:
    """Return how much warmer than the reference temperature a winding is after a heat.

    Parameters
    ----------
    parameters
        (14,) in the order of `NAMES` [SI].
    heat
        As `winding_heat` has it, any shape [N2 m2 s].
    start
        Warmth before, broadcastable [K].

    Returns
    -------
    numpy.ndarray
        Broadcast shape [K].

    Source
    ------
    As `drive_misfits`.
    """
    per_heat = COPPER * parameters[1] * parameters[6]
    grown = (1.0 + COPPER * floats(start)) * np.exp(np.clip(per_heat * floats(heat), -1.0, 3.0))
    return floats((grown - 1.0) / COPPER)


def misfit_slopes(parameters: Floats, readings: DriveReadings, scale: Floats) -> tuple[Floats, Floats]:
    """Return how the two misfits change with each parameter.

    Parameters
    ----------
    parameters
        (14,) [SI].
    readings
        n readings, of which f at full duty.
    scale
        Of the parameters, (14,) [SI].

    Returns
    -------
    numpy.ndarray
        (n, 14) [W per unit].
    numpy.ndarray
        (f, 14) [V per unit].

    Source
    ------
    Central differences of `drive_misfits`.
    """
    power, voltage = [], []
    for k in range(parameters.size):
        step = np.zeros(parameters.size)
        step[k] = 1e-4 * scale[k]
        above, below = drive_misfits(parameters + step, readings), drive_misfits(parameters - step, readings)
        power.append((above[0] - below[0]) / (2.0 * step[k]))
        voltage.append((above[1] - below[1]) / (2.0 * step[k]))
    return np.stack(power, axis=1), np.stack(voltage, axis=1)


def run_effects(parameters: Floats, readings: DriveReadings, doubt: RigDoubt) -> tuple[Floats, Floats]:
    """Return what one standard uncertainty of each run's own torque zero, current zero and warmth does to the misfits.

    Parameters
    ----------
    parameters
        (14,) [SI].
    readings
        n readings, of which f at full duty.
    doubt
        Its last three.

    Returns
    -------
    numpy.ndarray
        (n, 3) [W].
    numpy.ndarray
        (f, 3) [V].

    Source
    ------
    First differences of `drive_misfits`.
    """
    power, voltage = drive_misfits(parameters, readings)
    changed = (
        readings._replace(torque=readings.torque + doubt.torque_zero),
        readings._replace(current=readings.current + doubt.current_zero),
        readings._replace(start=readings.start + doubt.start),
    )
    after = [drive_misfits(parameters, other) for other in changed]
    return (
        np.stack([each[0] - power for each in after], axis=1),
        np.stack([each[1] - voltage for each in after], axis=1),
    )
