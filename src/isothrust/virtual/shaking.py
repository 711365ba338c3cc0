"""What shakes the simulated stand: unbalance, blades that pass, noise of the air, flutter, and the stand's own mode."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.fft import next_fast_len

from isothrust.virtual.monotone import Floats
from isothrust.virtual.propeller import Propeller
from isothrust.virtual.recursion import recurse

__all__ = ["Accelerometer", "Mode", "Shaken", "ShakingTruth", "Unbalance", "shake"]

_HARMONICS = (1.0, 0.45, 0.25)
"""Force of each harmonic of blade passing, of that of the first."""
_MARK_LENGTH = 1.6
"""Of the mark, along the circumference [rad]: long enough that no sampling in use misses it."""


@dataclass(frozen=True, slots=True)
class Mode:
    """One of the stand's own resonances, as a push on the motor shows it in one direction."""

    frequency: float = 62.0
    """[Hz]"""
    damping: float = 0.04
    """Of the critical [1]."""


@dataclass(frozen=True, slots=True)
class Unbalance:
    """Mass times radius at an angle from the mark [kg m, rad], of what turns."""

    blade: complex = 0.0
    """Of the propeller, before it is turned on its hub."""
    hub: complex = 0.0
    """Of hub, adapter and bell: it stays where it is against the mark."""
    trial: complex = 0.0
    """Of a trial mass."""
    turned: bool = False
    """True where the propeller is mounted at 180 degrees."""

    @property
    def whole(self) -> complex:
        """All together [kg m]."""
        return (-self.blade if self.turned else self.blade) + self.hub + self.trial


@dataclass(frozen=True, slots=True)
class Accelerometer:
    """One to three axes on the stand beside the motor, with the stand's own springs beneath. SI."""

    rate: float = 12_800.0
    """Samples a second [Hz]."""
    axes: int = 3
    """x and y lie in the plane of rotation, z along the axis."""
    mass: float = 0.35
    """Of what the forces move [kg]."""
    modes: tuple[Mode, ...] = (Mode(62.0, 0.04), Mode(88.0, 0.05), Mode(730.0, 0.04))
    """One a direction."""
    passing: float = 0.012
    """Blade-passing force along the axis, of the thrust [1]; a third of it lies in the plane."""
    twice: float = 0.10
    """Twice-per-revolution force, of the weight that the unbalance would have [1]."""
    rough: float = 0.012
    """Standard deviation of the air's broadband force, of the thrust, within 1 kHz [1]."""
    noise: float = 0.02
    """Standard deviation of the sensor's own white noise at 1 kHz of bandwidth [m/s2]."""
    gravity: tuple[float, float, float] = (0.3, -9.79, 0.2)
    """What each axis reads at rest [m/s2]."""
    drift: float = 0.4
    """What the reading gains over the run [m/s2]."""
    hum: float = 0.0
    """Amplitude of the mains that gets in [m/s2]; its third and seventh harmonics at a half and a quarter."""
    hum_frequency: float = 50.0
    """[Hz]"""
    range: float = math.inf
    """Greatest reading of either sign [m/s2]."""
    resolution: float = 0.0
    """Step of the digitised reading [m/s2]; 0 for none."""
    filtered: bool = True
    """False: no filter ahead of the sampling, so that what is faster folds down."""
    mark: bool = False
    """True where a once-per-revolution mark is recorded on the same clock."""
    flutter_level: float = 6.0
    """Standard deviation of what full flutter adds, of the broadband force [1]."""
    flutter_frequency: float = 0.62
    """Of blade passing at the onset of flutter [1]: the blade's own frequency."""


@dataclass(frozen=True, slots=True)
class Shaken:
    """What the accelerometer recorded."""

    rate: float
    values: Floats
    """(n, axes) [m/s2]"""
    mark: Floats | None
    """1 while the mark passes its sensor, else 0 (n,)."""


@dataclass(frozen=True, slots=True)
class ShakingTruth:
    """What is true of one run's vibration; speeds in rad/s."""

    accelerometer: Accelerometer
    propeller: Propeller
    unbalance: Unbalance
    density: float
    thrust_factor: float = 1.0
    internal: float = 25_600.0
    """Rate at which the motion is simulated [Hz]."""

    def force(self, order: int, omega: Floats | float) -> Floats:
        """Complex amplitude F of an order's force Re(F e^(i order angle)) in each direction (…, 3) [N]."""
        w = np.asarray(omega, dtype=np.float64)
        out = np.zeros((*w.shape, 3), dtype=np.complex128)
        spin = self.unbalance.whole * w**2
        if order == 1:
            # turns in the plane: x leads y by a quarter of a revolution
            out[..., 0] += spin
            out[..., 1] += -1j * spin
        if order == 2:
            size = self.accelerometer.twice * abs(self.unbalance.blade) * w**2
            out[..., 0] += size
            out[..., 1] += 0.6 * size
        blades = self.propeller.blades
        if order % blades == 0 and order // blades <= len(_HARMONICS):
            size = self.accelerometer.passing * _HARMONICS[order // blades - 1] * self._thrust(w)
            out[..., 0] += size / 3.0
            out[..., 1] += size / 3.0 * np.exp(0.7j)
            out[..., 2] += size * np.exp(-0.4j)
        return out

    @property
    def orders(self) -> tuple[int, ...]:
        """Orders that have a force of their own."""
        blades = self.propeller.blades
        return tuple(sorted({1, 2, *(blades * k for k in range(1, len(_HARMONICS) + 1))}))

    def amplitude(self, order: int, omega: Floats | float) -> Floats:
        """Complex amplitude of the acceleration at an order (…, axes) [m/s2] in the steady state."""
        w = np.asarray(omega, dtype=np.float64)
        gain = self.gain(order * w / (2 * np.pi))
        return np.asarray((self.force(order, w) * gain)[..., : self.accelerometer.axes])

    def mean_square(self, omega: Floats | float, low: float, high: float) -> Floats:
        """Mean square of each axis within a band (…, axes) [m2/s4], mean over the wander of flutter."""
        w = np.atleast_1d(np.asarray(omega, dtype=np.float64))
        line = np.arange(low, high, 0.5) + 0.25
        total = (np.abs(self.gain(line)) ** 2).sum(axis=0)[None] * 0.5 * self.rough_density(w)[:, None]
        total = total + self.accelerometer.noise**2 / 1000.0 * (high - low)
        for order in self.orders:
            inside = (order * w / (2 * np.pi) >= low) & (order * w / (2 * np.pi) <= high)
            force = np.abs(self.force(order, w) * self.gain(order * w / (2 * np.pi))) ** 2 / 2.0
            total = total + np.where(inside[:, None], force, 0.0)
        flutter = self.propeller.flutter
        if flutter is not None:
            growth = flutter.growth(w / (2 * np.pi)) ** 2
            gain = np.abs(self.gain(self.flutter_frequency)) ** 2
            total = total + (self.flutter_force(w) ** 2 * growth)[:, None] * gain * (1 + flutter.wander**2)
        return np.asarray(total[..., : self.accelerometer.axes])

    def rms(self, omega: Floats | float, low: float, high: float) -> Floats:
        """Root-sum-square of all axes (…) [m/s2]."""
        return np.asarray(np.sqrt(self.mean_square(omega, low, high).sum(axis=-1)))

    def gain(self, frequency: Floats | float) -> Floats:
        """Acceleration per force in each direction (…, 3) [m/s2/N], of the difference equation that is simulated."""
        z = np.exp(2j * np.pi * np.asarray(frequency, dtype=np.float64) / self.internal)
        out = np.zeros((*np.shape(z), 3), dtype=np.complex128)
        for axis, mode in enumerate(self.accelerometer.modes):
            top, bottom = _mode_filter(mode, self.accelerometer.mass, self.internal)
            out[..., axis] = np.polyval(top, z) / np.polyval(bottom, z)
        return out

    @property
    def flutter_frequency(self) -> float:
        """Of the blade that flutters [Hz]."""
        flutter = self.propeller.flutter
        onset = 0.0 if flutter is None else flutter.onset
        return self.accelerometer.flutter_frequency * self.propeller.blades * onset

    def _thrust(self, omega: Floats) -> Floats:
        n = omega / (2 * np.pi)
        ct = self.thrust_factor * self.propeller.thrust_coefficient(n)
        return np.asarray(ct * self.density * n**2 * self.propeller.diameter**4, dtype=np.float64)

    def rough_density(self, omega: Floats) -> Floats:
        """Density of the air's force [N2/Hz]."""
        return np.asarray((self.accelerometer.rough * self._thrust(omega)) ** 2 / 1000.0)

    def flutter_force(self, omega: Floats) -> Floats:
        """Return the standard deviation of full flutter's force [N]."""
        return self.accelerometer.flutter_level * self.accelerometer.rough * self._thrust(omega)


def _mode_filter(mode: Mode, mass: float, rate: float) -> tuple[Floats, Floats]:
    """Acceleration for a force on a mass on a spring, s2/(s2 + 2 d w s + w2)/m, by the bilinear transform."""
    w = 2 * np.pi * mode.frequency
    c = w / math.tan(w / (2 * rate))  # keeps the resonance where it is
    bottom = np.array(
        [c * c + 2 * mode.damping * w * c + w * w, 2 * (w * w - c * c), c * c - 2 * mode.damping * w * c + w * w]
    )
    top = np.array([c * c, -2 * c * c, c * c]) / mass
    return top / bottom[0], bottom / bottom[0]


def shake(
    truth: ShakingTruth, time: Floats, omega: Floats, wander: Floats | None, random: np.random.Generator
) -> Shaken:
    """Record the vibration of a run whose speed is `omega` at `time`, rows of 1 kHz."""
    meter = truth.accelerometer
    every = max(1, round(truth.internal / meter.rate)) if meter.rate < truth.internal else 1
    rate = meter.rate * every
    truth = ShakingTruth(meter, truth.propeller, truth.unbalance, truth.density, truth.thrust_factor, rate)
    angle_rows = np.concatenate(([0.0], np.cumsum(0.5 * (omega[1:] + omega[:-1]) * np.diff(time))))
    count = int((time[-1] - time[0]) * rate) + 1
    at = time[0] + np.arange(count) / rate
    w = np.interp(at, time, omega)
    angle = np.interp(at, time, angle_rows)
    force = _forces(truth, w, angle, random)
    if truth.propeller.flutter is not None:
        excess = np.zeros(count) if wander is None else np.interp(at, time, wander)
        force += (_flutter(truth, w, random) * (1 + excess))[:, None]
    read = np.empty((count, meter.axes))
    for axis in range(meter.axes):
        top, bottom = _mode_filter(meter.modes[axis], meter.mass, rate)
        read[:, axis] = recurse(top, bottom, force[:, axis])
    read = _sensed(meter, read, at - at[0], rate, random)
    if meter.filtered and every > 1:
        read = _below(read, 0.45 * meter.rate, rate)
    read = np.clip(read[::every], -meter.range, meter.range)
    if meter.resolution:
        read = np.round(read / meter.resolution) * meter.resolution
    mark = None
    if meter.mark:
        mark = ((angle[::every] % (2 * np.pi) < _MARK_LENGTH) & (w[::every] > 1.0)).astype(np.float64)
    return Shaken(meter.rate, read, mark)


def _forces(truth: ShakingTruth, w: Floats, angle: Floats, random: np.random.Generator) -> Floats:
    """Return the forces in three directions (n, 3): what turns, and the air's noise."""
    grid = np.linspace(0.0, float(w.max()) + 1.0, 400)
    base, power, reached = np.exp(1j * angle), np.ones_like(angle, dtype=np.complex128), 0
    force = np.zeros((w.size, 3))
    for order in truth.orders:
        while reached < order:
            power, reached = power * base, reached + 1
        table = truth.force(order, grid)
        for axis in range(3):
            size = np.interp(w, grid, table[:, axis].real) + 1j * np.interp(w, grid, table[:, axis].imag)
            force[:, axis] += (size * power).real
    # a density of S one-sided is white noise of variance S rate/2
    spread = np.interp(w, grid, np.sqrt(0.5 * truth.internal * truth.rough_density(grid)))
    return np.asarray(force + spread[:, None] * random.standard_normal((w.size, 3)))


def _flutter(truth: ShakingTruth, w: Floats, random: np.random.Generator) -> Floats:
    """Narrow-band force of blades that flutter at their own frequency [N], unit size where flutter is full."""
    flutter = truth.propeller.flutter
    assert flutter is not None
    turn = 2 * np.pi * truth.flutter_frequency / truth.internal
    keep = math.exp(-0.02 * turn)
    white = random.standard_normal(w.size)
    bottom = [1.0, -2 * keep * math.cos(turn), keep**2]
    course = recurse([1.0], bottom, white)
    course = course / float(np.std(course))
    return np.asarray(course * truth.flutter_force(w) * flutter.growth(w / (2 * np.pi)))


def _sensed(meter: Accelerometer, read: Floats, since: Floats, rate: float, random: np.random.Generator) -> Floats:
    """Add gravity, drift, mains and the sensor's own noise."""
    out = read + np.array(meter.gravity[: meter.axes])
    out += (meter.drift * since / max(float(since[-1]), 1e-9))[:, None]
    if meter.hum:
        turn = 2 * np.pi * meter.hum_frequency * since
        out += (meter.hum * (np.sin(turn) + 0.5 * np.sin(3 * turn) + 0.25 * np.sin(7 * turn)))[:, None]
    spread = meter.noise * math.sqrt(0.5 * rate / 1000.0)
    return np.asarray(out + spread * random.standard_normal(out.shape))


def _below(read: Floats, edge: float, rate: float) -> Floats:
    """Take out all above a frequency, as the filter ahead of a good converter does, in blocks of the whole record."""
    length = next_fast_len(read.shape[0], real=True)
    line = np.fft.rfftfreq(length, 1 / rate)
    kept = 1 / np.sqrt(1 + (line / edge) ** 60)
    out = np.empty_like(read)
    for axis in range(read.shape[1]):
        column = read[:, axis] - read[0, axis]
        column = np.concatenate([column, np.linspace(column[-1], 0.0, length - column.size)])
        out[:, axis] = np.fft.irfft(np.fft.rfft(column) * kept, length)[: read.shape[0]] + read[0, axis]
    return out
