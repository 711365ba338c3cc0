"""Simulated drive: supply, controller and motor."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from isothrust.virtual.monotone import Floats

__all__ = ["Drive", "SteadyState"]

_COPPER = 0.0039
"""Rise of copper's resistance, in proportion a kelvin, about 20 degC."""


@dataclass(frozen=True, slots=True)
class SteadyState:
    """What the drive takes at a constant speed and torque."""

    motor_current: Floats
    power: Floats
    """At the controller's input [W]."""
    voltage: Floats
    current: Floats
    """At the controller's input [A]."""
    duty: Floats
    throttle: Floats


@dataclass(frozen=True, slots=True)
class Drive:
    """Motor, controller and supply.

    Motor: duty V = Kt omega + R i; torque on the propeller Kt i - friction. Controller: V I = duty V i + loss, where
    loss = idle_power + loss_resistance i2. Supply: V = supply_voltage - (source_resistance + lead_resistance) I, and no
    more current than supply_limit.
    """

    name: str = "m1"
    kv: float = 1500.0
    """Speed constant [rpm/V]."""
    resistance: float = 0.10
    """Of winding and leads at 20 degC [ohm]."""
    friction: float = 2.4e-3
    """Constant part of bearing and iron drag [N m]."""
    viscous: float = 1.2e-6
    """Part in proportion to speed [N m s]."""
    rotor_inertia: float = 3.0e-6
    """Bell and adapter [kg m2]."""
    pole_pairs: int = 7
    heat_capacity: float = 9.0
    """Of the winding [J/K]."""
    cooling: float = 0.35
    """Heat that leaves the winding [W/K]."""
    idle_power: float = 0.9
    loss_resistance: float = 0.008
    supply_voltage: float = 24.0
    source_resistance: float = 0.03
    supply_limit: float = math.inf
    """Constant current [A] that the supply gives at most: beyond it its voltage collapses."""
    lead_resistance: float = 0.0
    """Of the leads between the place where voltage is sensed and the controller [ohm]."""
    sinks_current: bool = True
    bus_capacitance: float = 2.5e-3
    """[F], matters only where the supply takes no current back."""
    bus_limit: float = 1.12
    """Highest bus voltage over the supply's, where a clamp takes what comes back."""
    dead_zone: float = 0.04
    """Throttle below which all phases are off."""
    full_from: float = 1.0
    """Throttle from which on duty is full: below 1 where the controller is not calibrated to the end point."""
    bend: float = 0.0
    """How far the throttle map is bent: duty = (1 - bend) x + bend x^2.2, x from the dead zone to full."""
    least_duty: float = 0.03
    latency: float = 2e-3
    """From the logged command to the motor [s]."""
    current_limit: float = 70.0
    """Motor current [A]."""
    brakes: bool = True
    """Damped: a controller that lets motor current turn negative while throttle is above the dead zone."""
    brake_limit: float = 40.0
    duty_slope: float = 9.0
    """Greatest rise of duty [1/s]."""
    controller_capacity: float = 20.0
    """Heat capacity of the controller's transistors and board [J/K]; loss_resistance warms them."""
    controller_cooling: float = 0.3
    """[W/K]"""
    derating_from: float = math.inf
    """Warmth of the controller over the air's [K] from which on it takes duty back."""
    derating: float = 0.0
    """Share of the duty that it takes back for each kelvin beyond [1/K]."""
    slips: tuple[tuple[float, float], ...] = ()
    """Start and duration [s] of spells out of step: no torque on the mean, and as much current as the limit lets."""

    @property
    def torque_constant(self) -> float:
        """Kt [N m/A]."""
        return 60 / (2 * math.pi * self.kv)

    def duty(self, throttle: Floats) -> Floats:
        """Duty at a throttle in 0..1; 0 in the dead zone, where the phases are off."""
        x = np.clip((throttle - self.dead_zone) / (self.full_from - self.dead_zone), 0.0, 1.0)
        bent = (1 - self.bend) * x + self.bend * x**2.2
        return np.where(throttle > self.dead_zone, self.least_duty + (1 - self.least_duty) * bent, 0.0)

    def throttle(self, duty: Floats) -> Floats:
        """Throttle that gives a duty; not a number where no throttle does."""
        grid = np.linspace(self.dead_zone * (1 + 1e-9), self.full_from, 4001)
        return np.interp(duty, self.duty(grid), grid, left=np.nan, right=np.nan)

    def friction_torque(self, omega: Floats) -> Floats:
        """Bearing and iron drag [N m] at omega [rad/s]; the constant part fades below 5 rad/s."""
        return self.friction * np.minimum(omega * 0.2, 1.0) + self.viscous * omega

    def winding_resistance(self, temperature: Floats | float) -> Floats:
        """Resistance [ohm] at a winding temperature [K]."""
        return np.asarray(self.resistance * (1 + _COPPER * (np.asarray(temperature) - 293.15)), dtype=np.float64)

    def steady_state(self, omega: Floats, torque: Floats, winding_temperature: Floats | float = 293.15) -> SteadyState:
        """Return what the drive takes at constant speed [rad/s] against a shaft torque [N m]."""
        kt = self.torque_constant
        motor = (torque + self.friction_torque(omega)) / kt
        back = kt * omega + self.winding_resistance(winding_temperature) * motor
        power = back * motor + self.idle_power + self.loss_resistance * motor**2
        line = self.source_resistance + self.lead_resistance
        voltage = (self.supply_voltage + np.sqrt(self.supply_voltage**2 - 4 * line * power)) / 2
        duty = back / voltage
        return SteadyState(motor, power, voltage, power / voltage, duty, self.throttle(duty))
