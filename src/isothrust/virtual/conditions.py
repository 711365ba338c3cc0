"""The special cases of a coverage study: each changes the setup of a campaign in one respect."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType

from isothrust.virtual.drive import Drive
from isothrust.virtual.propeller import Flutter, Propeller
from isothrust.virtual.sensors import Order, Sensor, low_noise_sensors
from isothrust.virtual.stand import Stand, Stated

__all__ = ["CONDITIONS", "Setup", "Spread", "with_conditions"]


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations that a campaign draws from."""

    mounting: float = 0.004
    """Of CT and of CP, from mounting to mounting."""
    mounting_correlation: float = 0.5
    sample_pitch: float = 0.010
    """Of CT, from sample to sample by pitch; CP moves 1.7 times as far."""
    sample_own: float = 0.003
    """Of CT and CP each, from sample to sample, apart from pitch."""
    sample_inertia: float = 0.015
    """In proportion to the propeller's inertia."""
    zero: float = 0.05
    """Of the thrust zero at the start [N]; torque and current in keeping."""
    drift: float = 0.005
    """Of the thrust zero's drift over a run [N]; torque and current in keeping."""
    temperature: float = 4.0
    """Of the day's air [K]."""
    pressure: float = 1200.0
    """[Pa]"""


@dataclass(frozen=True, slots=True)
class Setup:
    """Stand, drive and spreads of a campaign."""

    stand: Stand = field(default_factory=Stand)
    drive: Drive = field(default_factory=Drive)
    spread: Spread = field(default_factory=Spread)
    creep: float = 0.0
    """Creep of the thrust zero in the first run alone [N]; the torque's in keeping."""
    flutter: Flutter | None = None
    """Put on every design."""

    def dressed(self, propeller: Propeller) -> Propeller:
        """Return the design with the flutter that this setup asks for."""
        return propeller if self.flutter is None else replace(propeller, flutter=self.flutter)


def with_conditions(setup: Setup, *names: str) -> Setup:
    """Return the setup changed by each named condition in turn; see `CONDITIONS`."""
    for name in names:
        setup = CONDITIONS[name](setup)
    return setup


def _sensors(setup: Setup, **changed: Sensor) -> Setup:
    return replace(setup, stand=replace(setup.stand, sensors=replace(setup.stand.sensors, **changed)))


def _force_sensors(setup: Setup) -> tuple[Sensor, Sensor]:
    sensors = setup.stand.sensors
    return sensors.thrust or Sensor(), sensors.torque or Sensor()


def _coloured_noise(setup: Setup) -> Setup:
    thrust, torque = _force_sensors(setup)
    return _sensors(
        setup,
        thrust=replace(thrust, coloured=0.02, coloured_relative=0.012, coloured_time=0.05),
        torque=replace(torque, coloured=4e-4, coloured_relative=0.012, coloured_time=0.05),
    )


def _torque_ripple(setup: Setup) -> Setup:
    """Ripple of the motor's torque at once and at the pole pairs a revolution, behind a faster filter."""
    _, torque = _force_sensors(setup)
    orders = (Order(1.0, 0.15), Order(setup.drive.pole_pairs, 0.15))
    return _sensors(setup, torque=replace(torque, filter_time=0.006, orders=orders))


def _aliased_orders(setup: Setup) -> Setup:
    thrust, torque = _force_sensors(setup)
    return _sensors(
        setup,
        thrust=replace(thrust, orders=(Order(1.0, 2.0), Order(2.0, 1.0), Order(3.0, 3.0))),
        torque=replace(torque, orders=(Order(1.0, 0.4), Order(2.0, 0.3), Order(3.0, 0.8))),
    )


def _creeping_zero(setup: Setup) -> Setup:
    return replace(setup, creep=0.15)


def _lags(setup: Setup) -> Setup:
    thrust, torque = _force_sensors(setup)
    speed = setup.stand.sensors.speed or Sensor()
    return _sensors(
        setup,
        speed=replace(speed, window=0.020),
        thrust=replace(thrust, delay=6e-3, filter_time=0.036, damping=0.7),
        torque=replace(torque, delay=1e-3, filter_time=0.010, damping=1.0),
    )


def _kink(setup: Setup) -> Setup:
    return replace(setup, flutter=Flutter(onset=215.0, power_rise=0.05, thrust_loss=0.01, width=50.0, wander=0.15))


def _winding_heating(setup: Setup) -> Setup:
    return replace(setup, drive=replace(setup.drive, heat_capacity=3.0, cooling=0.15))


def _bent_throttle(setup: Setup) -> Setup:
    return replace(setup, drive=replace(setup.drive, bend=0.6, dead_zone=0.08))


def _low_noise(setup: Setup) -> Setup:
    return replace(setup, stand=replace(setup.stand, sensors=low_noise_sensors()))


def _run_noise(setup: Setup) -> Setup:
    """Noise of the run dwarfs mounting, zero and rig."""
    thrust, torque = _force_sensors(setup)
    louder = _sensors(
        setup,
        thrust=replace(thrust, noise_ahead=1.0, noise_ahead_relative=0.5, coloured_relative=0.03),
        torque=replace(torque, noise_ahead=2e-2, noise_ahead_relative=0.5, coloured_relative=0.03),
    )
    spread = replace(setup.spread, mounting=2e-4, sample_pitch=0.0, sample_own=0.0, drift=1e-4)
    return replace(louder, stand=replace(louder.stand, stated=_shrunk(louder.stand.stated)), spread=spread)


def _shrunk(stated: Stated) -> Stated:
    """Return a rig that is ten times as good as it was."""
    return Stated(**{item.name: getattr(stated, item.name) / 10 for item in fields(stated)})


CONDITIONS: Mapping[str, Callable[[Setup], Setup]] = MappingProxyType(
    {
        "coloured-noise": _coloured_noise,
        "torque-ripple": _torque_ripple,
        "aliased-orders": _aliased_orders,
        "creeping-zero": _creeping_zero,
        "different-lags": _lags,
        "kink": _kink,
        "winding-heating": _winding_heating,
        "bent-throttle": _bent_throttle,
        "low-noise": _low_noise,
        "run-noise": _run_noise,
    }
)
"""Condition -> what it makes of a setup."""
