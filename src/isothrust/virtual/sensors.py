"""Sensors of the simulated stand: what each does to the quantity it reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Order", "Sensor", "Sensors", "low_noise_sensors"]


@dataclass(frozen=True, slots=True)
class Order:
    """A part of the reading that turns with the rotor; sampled as it is, so it folds down at the log's rate."""

    per_revolution: float
    relative: float
    """Amplitude in proportion to the reading, ahead of the filter."""


@dataclass(frozen=True, slots=True)
class Sensor:
    """One channel: true value -> noise ahead -> low-pass -> moving mean -> delay -> scale, zero, noise -> sampled.

    SI units of the channel; a `relative` part is in proportion to the true value.
    """

    delay: float = 0.0
    """Pure delay [s]."""
    window: float = 0.0
    """Moving mean over the last so many seconds [s]."""
    filter_time: float = 0.0
    """Mean delay of the second-order low-pass [s]: twice the damping over its natural frequency [rad/s]."""
    damping: float = 0.85
    noise_ahead: float = 0.0
    """White noise ahead of the filter: standard deviation of its samples at 1 kHz."""
    noise_ahead_relative: float = 0.0
    coloured: float = 0.0
    """Coloured noise ahead of the filter: standard deviation."""
    coloured_relative: float = 0.0
    coloured_time: float = 0.03
    """Correlation time of the coloured noise [s]."""
    creep: float = 0.0
    """What the reading still gains, in proportion, under a load that stays; it goes again once the load is gone."""
    creep_time: float = 4.0
    """Time constant of that [s]."""
    noise: float = 0.0
    """White noise of the reading itself."""
    noise_relative: float = 0.0
    orders: tuple[Order, ...] = ()
    resolution: float = 0.0
    """Step of the digitised reading; 0 for none."""
    least: float = 0.0
    """Below this the sensor reads zero (a tachometer that sees no edge)."""
    rate: float | None = None
    """Own sample rate [Hz]; None for every row of the log."""
    between: Literal["hold", "blank"] = "hold"
    """What stands in the rows between its own samples."""

    @property
    def mean_delay(self) -> float:
        """Delay of slow changes [s]: pure delay, half the window, and the filter's own."""
        return self.delay + self.window / 2 + self.filter_time


@dataclass(frozen=True, slots=True)
class Sensors:
    """All channels of the stand; None where it has none."""

    speed: Sensor | None = Sensor(
        delay=1e-3, window=0.010, noise_relative=4e-4, noise=0.6, resolution=0.10471975511965977, least=25.0
    )
    thrust: Sensor | None = Sensor(
        delay=2e-3, filter_time=0.022, noise_ahead=0.10, noise_ahead_relative=0.03, noise=0.008, resolution=9.80665e-5
    )
    torque: Sensor | None = Sensor(
        delay=4e-3, filter_time=0.014, noise_ahead=2e-3, noise_ahead_relative=0.03, noise=1.2e-4, resolution=1e-6
    )
    voltage: Sensor | None = Sensor(delay=1e-3, filter_time=2e-3, noise=0.006, resolution=1e-3)
    current: Sensor | None = Sensor(delay=1e-3, filter_time=4e-3, noise=0.03, noise_relative=0.004, resolution=1e-3)
    throttle: Sensor | None = Sensor()

    def fitted(self) -> dict[str, Sensor]:
        """Channel -> sensor, of those that the stand has."""
        names = ("throttle", "speed", "thrust", "torque", "voltage", "current")
        return {name: sensor for name in names if (sensor := getattr(self, name)) is not None}


def low_noise_sensors() -> Sensors:
    """Sensors with the usual lags and next to no noise."""
    return Sensors(
        speed=Sensor(delay=1e-3, window=0.010, least=25.0),
        thrust=Sensor(delay=2e-3, filter_time=0.022, noise=2e-4),
        torque=Sensor(delay=4e-3, filter_time=0.014, noise=4e-6),
        voltage=Sensor(delay=1e-3, filter_time=2e-3, noise=1e-4),
        current=Sensor(delay=1e-3, filter_time=4e-3, noise=1e-3),
    )
