"""From what really happened to what the log shows: filters, delays, noise, orders, scales, zeros, digits."""

from __future__ import annotations

import math

import numpy as np

from isothrust.virtual.dynamics import GRID_RATE
from isothrust.virtual.monotone import Floats
from isothrust.virtual.noise import red_noise
from isothrust.virtual.recursion import recurse
from isothrust.virtual.sensors import Sensor

__all__ = ["low_pass", "low_pass_coefficients", "read_sensor", "shift", "window_mean"]

_DT = 1 / GRID_RATE


def low_pass_coefficients(filter_time: float, damping: float) -> tuple[Floats, Floats]:
    """Return numerator and denominator of the second-order low-pass at 1 kHz, exact for an input straight between rows.

    The response to a rise that starts at 0, y(t) = t - 2 d/w + exp(-d w t) (2 d/w c(t) + (2 d2 - 1) s(t)), is matched
    at the first three rows; that and the poles settle the rest.
    """
    natural = 2 * damping / filter_time
    swing = natural * math.sqrt(abs(1 - damping**2))

    def wave(t: float) -> tuple[float, float]:
        if swing * t < 1e-9:
            return 1.0, t
        if damping < 1:
            return math.cos(swing * t), math.sin(swing * t) / swing
        return math.cosh(swing * t), math.sinh(swing * t) / swing

    def risen(t: float) -> float:
        c, s = wave(t)
        return t - filter_time + math.exp(-damping * natural * t) * (filter_time * c + (2 * damping**2 - 1) * s)

    fade = math.exp(-damping * natural * _DT)
    a1, a2 = -2 * fade * wave(_DT)[0], fade**2
    y1, y2, y3 = (risen(k * _DT) / _DT for k in (1, 2, 3))
    b0 = y1
    b1 = y2 + a1 * y1 - 2 * b0
    b2 = y3 + a1 * y2 + a2 * y1 - 3 * b0 - 2 * b1
    return np.array([b0, b1, b2]), np.array([1.0, a1, a2])


def low_pass(values: Floats, filter_time: float, damping: float) -> Floats:
    """Pass rows at 1 kHz through the low-pass, settled at the first value beforehand."""
    if filter_time <= 0:
        return values
    top, bottom = low_pass_coefficients(filter_time, damping)
    first = float(values[0])
    return recurse(top, bottom, values - first) + first


def window_mean(values: Floats, window: float) -> Floats:
    """Mean over the `window` seconds up to each row; the first value stands before the first row."""
    if window <= 0:
        return values
    area = np.concatenate(([0.0], np.cumsum(0.5 * (values[1:] + values[:-1])))) * _DT
    time = np.arange(values.size) * _DT
    since = time - window
    past = np.interp(since, time, area) + np.minimum(since, 0.0) * values[0]
    return np.asarray((area - past) / window, dtype=np.float64)


def shift(values: Floats, delay: float) -> Floats:
    """Delay by any time, straight between rows; the first value stands before the first row."""
    if delay == 0:
        return values
    time = np.arange(values.size) * _DT
    return np.asarray(np.interp(time - delay, time, values), dtype=np.float64)


def _gain(sensor: Sensor, frequency: Floats) -> Floats:
    """Return what the low-pass and the window leave of an amplitude at a frequency [Hz]."""
    gain = np.ones_like(frequency)
    if sensor.filter_time > 0:
        ratio = 2 * np.pi * frequency * sensor.filter_time / (2 * sensor.damping)
        gain = 1 / np.hypot(1 - ratio**2, 2 * sensor.damping * ratio)
    if sensor.window > 0:
        gain = gain * np.abs(np.sinc(frequency * sensor.window))
    return gain


def _orders(sensor: Sensor, passed: Floats, omega: Floats, random: np.random.Generator) -> Floats:
    """Orders of rotation behind the filter, at rows of 1 kHz: folded down where they are faster than half of it."""
    total = np.zeros_like(passed)
    angle = np.concatenate(([0.0], np.cumsum(0.5 * (omega[1:] + omega[:-1])))) * _DT
    for order in sensor.orders:
        phase = float(random.uniform(0, 2 * np.pi))
        gain = _gain(sensor, order.per_revolution * omega / (2 * np.pi))
        total += order.relative * np.abs(passed) * gain * np.sin(order.per_revolution * angle + phase)
    return total


def _crept(load: Floats, creep_time: float) -> Floats:
    """Return how far a spring that gives way has followed its load, settled at none beforehand."""
    keep = math.exp(-_DT / creep_time)
    return recurse([1 - keep], [1.0, -keep], load)


def read_sensor(
    sensor: Sensor,
    true: Floats,
    omega: Floats,
    random: np.random.Generator,
    *,
    scale_error: float = 0.0,
    zero: Floats | float = 0.0,
) -> Floats:
    """Return the sensor's reading at every millisecond, before it is sampled for the log."""
    ahead = true
    if sensor.noise_ahead or sensor.noise_ahead_relative:
        spread = np.hypot(sensor.noise_ahead * (omega > 1.0), sensor.noise_ahead_relative * np.abs(true))
        ahead = ahead + spread * random.standard_normal(true.size)
    if sensor.coloured or sensor.coloured_relative:
        spread = np.hypot(sensor.coloured, sensor.coloured_relative * np.abs(true))
        ahead = ahead + spread * red_noise(random, true.size, sensor.coloured_time * GRID_RATE)
    passed = shift(window_mean(low_pass(ahead, sensor.filter_time, sensor.damping), sensor.window), sensor.delay)
    reading = passed + _orders(sensor, passed, omega, random) if sensor.orders else passed
    if sensor.creep:
        reading = reading + sensor.creep * _crept(passed, sensor.creep_time)
    reading = reading * (1 + scale_error) + zero
    spread = np.hypot(sensor.noise, sensor.noise_relative * np.abs(true))
    reading = reading + spread * random.standard_normal(true.size)
    if sensor.least > 0:
        reading = np.where(passed < sensor.least, 0.0, reading)
    if sensor.resolution > 0:
        reading = np.round(reading / sensor.resolution) * sensor.resolution
    return np.asarray(reading, dtype=np.float64)
