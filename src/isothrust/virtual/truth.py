"""What is true of a simulated run: what a perfect tester would have found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from isothrust.virtual.air import STANDARD_AIR, TrueAir
from isothrust.virtual.drive import SteadyState
from isothrust.virtual.hearing import SoundTruth
from isothrust.virtual.monotone import Floats
from isothrust.virtual.plans import RunPlan
from isothrust.virtual.propeller import Factors, Propeller
from isothrust.virtual.shaking import ShakingTruth

__all__ = ["PropellerTruth", "Truth", "make_truth"]

_TOP = 5000.0
"""Highest speed [rad/s] at which truth is asked."""


@dataclass(frozen=True, slots=True)
class PropellerTruth:
    """A propeller with factors on its coefficients; SI, speeds in rad/s. Air is the standard air unless given."""

    propeller: Propeller
    factors: Factors

    def thrust_coefficient(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """CT = T/(rho n2 D4)."""
        return self.factors.thrust * self.propeller.thrust_coefficient(np.asarray(omega) / (2 * np.pi), air)

    def power_coefficient(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """CP = P/(rho n3 D5)."""
        return self.factors.power * self.propeller.power_coefficient(np.asarray(omega) / (2 * np.pi), air)

    def thrust(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Thrust [N] at omega."""
        n = np.asarray(omega, dtype=np.float64) / (2 * np.pi)
        return self.thrust_coefficient(omega, air) * air.density * n**2 * self.propeller.diameter**4

    def torque(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Aerodynamic torque [N m] at omega."""
        n = np.asarray(omega, dtype=np.float64) / (2 * np.pi)
        return self.power_coefficient(omega, air) * air.density * n**2 * self.propeller.diameter**5 / (2 * np.pi)

    def shaft_power(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Power on the shaft [W] at omega."""
        return self.torque(omega, air) * np.asarray(omega, dtype=np.float64)

    def speed_at_thrust(self, thrust: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Speed [rad/s] at which the propeller gives a thrust [N], by bisection."""
        wanted = np.asarray(thrust, dtype=np.float64)
        low, high = np.zeros_like(wanted), np.full_like(wanted, _TOP)
        for _ in range(60):
            middle = 0.5 * (low + high)
            enough = self.thrust(middle, air) >= wanted
            low, high = np.where(enough, low, middle), np.where(enough, middle, high)
        return np.asarray(0.5 * (low + high), dtype=np.float64)

    def shaft_efficiency(self, thrust: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Thrust over shaft power [N/W] at a thrust."""
        return np.asarray(thrust) / self.shaft_power(self.speed_at_thrust(thrust, air), air)

    def figure_of_merit(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Power of the ideal actuator disc over shaft power."""
        area = np.pi * self.propeller.diameter**2 / 4
        ideal = self.thrust(omega, air) ** 1.5 / np.sqrt(2 * air.density * area)
        return np.asarray(ideal / self.shaft_power(omega, air), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Truth:
    """Truth of one run. `mounting` is what turned; `sample` is without the mounting's factor, `design` without both."""

    mounting: PropellerTruth
    sample: PropellerTruth
    design: PropellerTruth
    plan: RunPlan
    inertia: float
    """Everything that turns [kg m2]."""
    lags: Mapping[str, float]
    """Mean delay of each channel relative to the tachometer's [s] (to the first channel's without one)."""
    delays: Mapping[str, float]
    """Mean delay of each channel itself [s]; the throttle's is negative: it is logged before the motor hears it."""
    zeros: Mapping[str, Floats]
    """Zero of thrust, torque and current at every row of the log [SI]."""
    top_speed: float
    """Highest speed reached [rad/s]."""
    warmth_speed: Floats
    """Speeds [rad/s], rising, at which the run first passed with power on …"""
    warmth: Floats
    """… and the winding's temperature there [K]."""
    shaking: ShakingTruth | None = None
    """What is true of the vibration; None for a stand without an accelerometer."""
    sound: SoundTruth | None = None
    """What is true of the sound; None for a stand without a microphone."""

    def winding_temperature(self, omega: Floats | float) -> Floats:
        """Winding temperature [K] when the run first passed a speed."""
        return np.asarray(np.interp(omega, self.warmth_speed, self.warmth), dtype=np.float64)

    def steady_state(self, omega: Floats | float, air: TrueAir = STANDARD_AIR) -> SteadyState:
        """Return what the drive takes at a constant speed, the winding as warm as when the run first passed there."""
        speed = np.asarray(omega, dtype=np.float64)
        return self.plan.drive.steady_state(speed, self.mounting.torque(speed, air), self.winding_temperature(speed))

    def electrical_power(self, thrust: Floats | float, air: TrueAir = STANDARD_AIR) -> Floats:
        """Steady electrical power [W] at a thrust [N]."""
        return self.steady_state(self.mounting.speed_at_thrust(thrust, air), air).power


def make_truth(plan: RunPlan, omega: Floats, warmth: Floats, zeros: Mapping[str, Floats]) -> Truth:
    """Put together what is true of a run; `omega` and `warmth` at 1 kHz."""
    delays = {name: sensor.mean_delay for name, sensor in plan.stand.sensors.fitted().items()}
    if "throttle" in delays:
        delays["throttle"] -= plan.drive.latency
    base = delays.get("speed", next(iter(delays.values())))
    highest = np.maximum.accumulate(omega)
    fresh = np.flatnonzero(np.diff(highest, prepend=-1.0) > 0)
    design = PropellerTruth(plan.propeller, Factors())
    return Truth(
        mounting=PropellerTruth(plan.propeller, plan.factors),
        sample=PropellerTruth(plan.propeller, plan.sample_factors),
        design=design,
        plan=plan,
        inertia=plan.inertia,
        lags={name: delay - base for name, delay in delays.items()},
        delays=delays,
        zeros=zeros,
        top_speed=float(omega.max()),
        warmth_speed=omega[fresh],
        warmth=warmth[fresh],
        shaking=_shaking(plan),
        sound=_sound(plan),
    )


def _shaking(plan: RunPlan) -> ShakingTruth | None:
    meter = plan.stand.accelerometer
    if meter is None:
        return None
    return ShakingTruth(meter, plan.propeller, plan.unbalance, plan.air.density, plan.factors.thrust)


def _sound(plan: RunPlan) -> SoundTruth | None:
    microphone = plan.stand.microphone
    return None if microphone is None else SoundTruth(microphone, plan.propeller, plan.voice, plan.air.density)
