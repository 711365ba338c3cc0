"""What is true of the sound of a simulated propeller: tones at its orders, the rush of the air, and what a meter reads.

The weighting stands here once more, in another form than anywhere else in the project: a formula wrong in both places
would prove nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isothrust.virtual.monotone import Floats
from isothrust.virtual.propeller import Propeller

__all__ = ["Microphone", "Rush", "SoundTruth", "Voice", "weighting"]

_P0 = 20e-6
_REFERENCE = 400.0
"""Speed that levels are stated at [rev/s]."""
_STANDARD_DENSITY = 1.225


@dataclass(frozen=True, slots=True)
class Rush:
    """Broadband noise with a hump over frequency that grows with a power of speed."""

    level: float
    """Unweighted, at 400 rev/s and 1 m [dB re 20 uPa]."""
    centre: float
    """[Hz]"""
    octaves: float
    """Standard deviation of the hump over log frequency [octaves]."""
    growth: float = 5.0
    """Mean square goes as this power of speed."""

    def shape(self, frequency: Floats) -> Floats:
        """Density of one unit of mean square [1/Hz]."""
        f = np.maximum(np.asarray(frequency, dtype=np.float64), 1.0)
        line = np.arange(1.0, 24000.0, 1.0)
        density = np.exp(-0.5 * (np.log2(f / self.centre) / self.octaves) ** 2)
        whole = np.exp(-0.5 * (np.log2(line / self.centre) / self.octaves) ** 2).sum()
        return np.where(np.asarray(frequency) > 0.0, density / whole, 0.0)


@dataclass(frozen=True, slots=True)
class Voice:
    """How a propeller sounds at 1 m in standard air."""

    tone: float = 76.0
    """Level of the first harmonic of blade passing at 400 rev/s [dB re 20 uPa]."""
    tone_growth: float = 5.0
    """Its mean square goes as this power of speed."""
    harmonics: tuple[float, ...] = (0.0, -5.0, -11.0, -14.0, -19.0)
    """Level of each harmonic, from that of the first [dB]."""
    shaft: tuple[tuple[int, float], ...] = ((1, -24.0), (3, -28.0))
    """Orders of the shaft that are no harmonics of blade passing, with their levels from that of the first [dB]."""
    rush: tuple[Rush, ...] = (Rush(66.0, 1500.0, 1.1), Rush(64.0, 6000.0, 0.9, 5.5))
    unsteady: float = 0.05
    """How far the size of a tone wanders, as a part of itself."""
    flutter_rise: float = 10.0
    """Broadband noise gains this where the blades flutter fully [dB]."""


@dataclass(frozen=True, slots=True)
class Microphone:
    """A microphone with its recorder beside the stand. SI."""

    rate: float = 48_000.0
    distance: float = 1.0
    """[m]"""
    sensitivity: float = 0.0125
    """[V/Pa]"""
    full_scale: float = 1.0
    """Volts at digital full scale."""
    bits: int = 24
    background: float = 42.0
    """Unweighted level of the room, mostly low in frequency [dB re 20 uPa]."""
    starts: float = 0.0
    """When the recording begins, after the first row of the log [s]."""
    gain_error: float = 0.0
    """Of the sensitivity, as a part of itself."""
    pumping: float = 0.0
    """How far an automatic gain has come down when the sound is loudest [dB]."""
    reflection: float = 0.0
    """Size of a floor's reflection, of the direct sound [1]."""
    reflection_delay: float = 2.0e-3
    """[s]"""
    kick: float = 0.0
    """A step in the offset as the recording begins, of full scale, which dies away in 0.2 s."""


def weighting(frequency: Floats, kind: str) -> Floats:
    """Factor of mean squares by weighting A or C (…) [1]."""
    f2 = np.maximum(np.asarray(frequency, dtype=np.float64), 1e-3) ** 2
    gain = f2 / (f2 + 424.36) * (12194.0**2 / (f2 + 12194.0**2))
    if kind == "A":
        gain = gain * np.sqrt(f2 / (f2 + 11589.0)) * np.sqrt(f2 / (f2 + 544496.0))
    return np.asarray(gain**2 * 10.0 ** (0.2 if kind == "A" else 0.0062), dtype=np.float64)


@dataclass(frozen=True)
class SoundTruth:
    """What is true of one run's sound at the microphone, without the room; speeds in rad/s, powers in Pa2."""

    microphone: Microphone
    propeller: Propeller
    voice: Voice
    density: float = _STANDARD_DENSITY

    @property
    def orders(self) -> tuple[tuple[int, float], ...]:
        """Orders of the shaft that sound, with their levels at 400 rev/s and 1 m [dB]."""
        blades = self.propeller.blades
        passing = [(blades * k, self.voice.tone + rel) for k, rel in enumerate(self.voice.harmonics, start=1)]
        shaft = [(order, self.voice.tone + rel) for order, rel in self.voice.shaft if order % blades]
        return (*passing, *shaft)

    def tone_power(self, order: int, omega: Floats | float) -> Floats:
        """Mean square of an order [Pa2]."""
        level = dict(self.orders)[order]
        n = np.asarray(omega, dtype=np.float64) / (2 * np.pi)
        return np.asarray(self._there * 10 ** (0.1 * level) * (n / _REFERENCE) ** self.voice.tone_growth)

    def rush_power(self, rush: Rush, omega: Floats | float) -> Floats:
        """Mean square of a hump of broadband noise [Pa2], with what flutter adds on the mean."""
        n = np.asarray(omega, dtype=np.float64) / (2 * np.pi)
        power = self._there * 10 ** (0.1 * rush.level) * (n / _REFERENCE) ** rush.growth
        flutter = self.propeller.flutter
        if flutter is not None:
            power = power * 10 ** (0.1 * self.voice.flutter_rise * flutter.growth(n))
        return np.asarray(power, dtype=np.float64)

    def density_at(self, frequency: Floats, omega: float) -> Floats:
        """Density of all broadband noise of the propeller [Pa2/Hz]."""
        return np.asarray(sum(self.rush_power(rush, omega) * rush.shape(frequency) for rush in self.voice.rush))

    def level(self, omega: float, kind: str = "A") -> float:
        """Level weighted by A or C, without the room [dB re 20 uPa]."""
        line = np.arange(1.0, 0.5 * self.microphone.rate, 1.0)
        power = float((self.density_at(line, omega) * weighting(line, kind)).sum())
        for order, _ in self.orders:
            power += float(self.tone_power(order, omega) * weighting(np.array(order * omega / (2 * np.pi)), kind))
        return float(10 * np.log10(power / _P0**2))

    def band_level(self, low: float, high: float, omega: float) -> float:
        """Unweighted level between two frequencies [dB re 20 uPa]."""
        line = np.arange(low, high, 0.25) + 0.125
        power = float(self.density_at(line, omega).sum() * 0.25)
        for order, _ in self.orders:
            if low <= order * omega / (2 * np.pi) < high:
                power += float(self.tone_power(order, omega))
        return float(10 * np.log10(power / _P0**2))

    def passing_level(self, harmonic: int, omega: float) -> float:
        """Level of a harmonic of blade passing [dB re 20 uPa]."""
        return float(10 * np.log10(self.tone_power(self.propeller.blades * harmonic, omega) / _P0**2))

    @cached_property
    def _there(self) -> float:
        """Mean square at the microphone of a level of 0 dB at 1 m in standard air."""
        return float((_P0 / self.microphone.distance * self.density / _STANDARD_DENSITY) ** 2)
