"""The simulated stand: sensors, geometry, what the rig file states, and what was really drawn from that."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from isothrust.virtual.air import TrueAir
from isothrust.virtual.hearing import Microphone
from isothrust.virtual.sensors import Sensors
from isothrust.virtual.shaking import Accelerometer

__all__ = ["RigErrors", "Stand", "Stated", "draw_rig_errors"]


@dataclass(frozen=True, slots=True)
class Stated:
    """Standard uncertainties that the rig file states. `_scale` in proportion to the reading, the others in SI."""

    speed_scale: float = 5e-4
    thrust_scale: float = 3e-3
    thrust_fixed: float = 1.0 * 9.80665e-3
    torque_scale: float = 6e-3
    torque_fixed: float = 2e-4
    voltage_scale: float = 1e-3
    current_scale: float = 5e-3
    current_fixed: float = 0.02
    temperature: float = 0.3
    pressure: float = 60.0
    humidity: float = 0.03


@dataclass(frozen=True, slots=True)
class RigErrors:
    """What is wrong with this rig, all campaign long: scale errors in proportion, air sensors in SI."""

    speed: float = 0.0
    thrust: float = 0.0
    torque: float = 0.0
    voltage: float = 0.0
    current: float = 0.0
    temperature: float = 0.0
    pressure: float = 0.0
    humidity: float = 0.0

    def scale(self, channel: str) -> float:
        """Scale error of a channel; 0 for throttle."""
        return 0.0 if channel == "throttle" else float(getattr(self, channel))

    def read_air(self, air: TrueAir) -> TrueAir:
        """Return what the air sensors show."""
        return TrueAir(
            air.temperature + self.temperature,
            air.pressure + self.pressure,
            min(max(air.humidity + self.humidity, 0.0), 1.0),
        )


def draw_rig_errors(stated: Stated, random: np.random.Generator) -> RigErrors:
    """Draw a rig from what its file states."""
    spread = (
        stated.speed_scale,
        stated.thrust_scale,
        stated.torque_scale,
        stated.voltage_scale,
        stated.current_scale,
        stated.temperature,
        stated.pressure,
        stated.humidity,
    )
    return RigErrors(*(float(z) * u for z, u in zip(random.standard_normal(8), spread, strict=True)))


@dataclass(frozen=True, slots=True)
class Stand:
    """Sensors and geometry."""

    name: str = "loft"
    title: str = "Loft stand"
    sensors: Sensors = field(default_factory=Sensors)
    stated: Stated = field(default_factory=Stated)
    layout: str = "pusher"
    obstruction: float = 0.0
    """Stand area in the slipstream [m2]."""
    states_obstruction: bool = True
    """False: the rig file keeps silent about it."""
    obstruction_drag: float = 1.0
    clearance: float = 0.8
    crosstalk: float = 0.0
    """Torque that the torque cell reads for each newton of thrust [N m/N]."""
    rate: float = 1000.0
    """Rows a second of the log; a whole part of 1000."""
    accelerometer: Accelerometer | None = None
    """Beside the motor, with a clock and a file of its own; None for a stand without one."""
    microphone: Microphone | None = None
    """With a recorder and a file of its own; None for a stand without one."""

    def slipstream_factor(self, diameter: float) -> float:
        """Return what the thrust cell sees of the thrust, as a part: the rest pushes on the stand itself."""
        disc = math.pi * diameter**2 / 4
        return 1 - self.obstruction * self.obstruction_drag / (4 * disc)
