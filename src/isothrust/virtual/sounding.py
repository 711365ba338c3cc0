"""The simulated microphone: pressure over time from tones, rush, room and recorder, and the file that holds it."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from isothrust.virtual.hearing import Microphone, SoundTruth
from isothrust.virtual.monotone import Floats

__all__ = ["Heard", "calibrator_tone", "hear", "room_alone"]

_P0 = 20e-6
_CORNER = 120.0
"""Below it the room's noise falls as pink noise does, above it faster [Hz]."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What the recorder kept: parts of full scale, as its file holds them."""

    microphone: Microphone
    values: Floats
    """(n,)"""

    @property
    def pressure(self) -> Floats:
        """As the stated sensitivity and full scale have it (n,) [Pa]."""
        return self.values * (self.microphone.full_scale / self.microphone.sensitivity)

    def wav_bytes(self) -> bytes:
        """Return the recording as a WAV file of whole numbers."""
        width = self.microphone.bits // 8
        top = 2 ** (self.microphone.bits - 1)
        counts = np.clip(np.round(self.values * top), -top, top - 1).astype("<i4")
        raw = counts.view(np.uint8).reshape(-1, 4)[:, :width].tobytes()
        held = io.BytesIO()
        with wave.open(held, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(width)
            file.setframerate(round(self.microphone.rate))
            file.writeframes(raw)
        return held.getvalue()


def hear(truth: SoundTruth, time: Floats, omega: Floats, random: np.random.Generator) -> Heard:
    """Record the sound of a run whose speed is `omega` [rad/s] at `time` [s], rows of 1 kHz."""
    microphone = truth.microphone
    rate = microphone.rate
    begin = time[0] + microphone.starts
    at = begin + np.arange(int((time[-1] - begin) * rate) + 1) / rate
    # what is heard left the blades a moment before
    w = np.interp(at - microphone.distance / 343.0, time, omega)
    pressure = _tones(truth, w, random) + _rush(truth, w, random)
    if microphone.reflection:
        late = round(microphone.reflection_delay * rate)
        pressure[late:] += microphone.reflection * pressure[:-late].copy()
    return _recorded(microphone, pressure + _room(microphone, at.size, random), rate)


def room_alone(microphone: Microphone, seconds: float, random: np.random.Generator) -> Heard:
    """Record the room with nothing running."""
    quiet = replace(microphone, kick=0.0, pumping=0.0)
    return _recorded(quiet, _room(quiet, round(seconds * quiet.rate), random), quiet.rate)


def calibrator_tone(
    microphone: Microphone, level: float, seconds: float, random: np.random.Generator, *, frequency: float = 1000.0
) -> Heard:
    """Record a calibrator that is put over the microphone: a tone of that level [dB re 20 uPa]."""
    quiet = replace(microphone, kick=0.0, pumping=0.0)
    at = np.arange(round(seconds * quiet.rate)) / quiet.rate
    tone = np.sqrt(2.0) * _P0 * 10 ** (0.05 * level) * np.sin(2 * np.pi * frequency * at)
    room = 0.05 * _room(quiet, at.size, random)
    return _recorded(quiet, tone + room, quiet.rate)


def _tones(truth: SoundTruth, w: Floats, random: np.random.Generator) -> Floats:
    rate = truth.microphone.rate
    angle = np.cumsum(w) / rate
    grid = np.linspace(0.0, float(w.max()) + 1.0, 800)
    out = np.zeros(w.size)
    for order, _ in truth.orders:
        size = np.interp(w, grid, np.sqrt(2.0 * truth.tone_power(order, grid)))
        out += size * _wander(truth, w.size, random) * np.sin(order * angle + random.uniform(0.0, 2 * np.pi))
    return out


def _wander(truth: SoundTruth, count: int, random: np.random.Generator) -> Floats:
    """Return the course of a tone's size: mean square 1, changing within tenths of a second."""
    spread = truth.voice.unsteady
    if not spread:
        return np.ones(count)
    rate = truth.microphone.rate
    coarse = random.standard_normal(int(count / rate * 10.0) + 3)
    course = 1.0 + spread * np.interp(np.arange(count) * (10.0 / rate), np.arange(coarse.size), coarse)
    return np.asarray(course / np.sqrt(1.0 + spread**2 * 2.0 / 3.0))  # straight lines between keep 2/3 of the variance


def _rush(truth: SoundTruth, w: Floats, random: np.random.Generator) -> Floats:
    grid = np.linspace(0.0, float(w.max()) + 1.0, 800)
    out = np.zeros(w.size)
    for rush in truth.voice.rush:
        size = np.interp(w, grid, np.sqrt(truth.rush_power(rush, grid)))
        out += size * _coloured(rush.shape, w.size, truth.microphone.rate, random)
    return out


def _room(microphone: Microphone, count: int, random: np.random.Generator) -> Floats:
    def shape(line: Floats) -> Floats:
        f = np.maximum(line, 20.0)
        return np.asarray(1.0 / f / (1.0 + (f / _CORNER) ** 2))

    size = _P0 * 10 ** (0.05 * microphone.background)
    return np.asarray(size * _normal(_coloured(shape, count, microphone.rate, random)))


def _normal(values: Floats) -> Floats:
    return np.asarray(values / np.sqrt(np.mean(values**2)))


def _coloured(shape: Callable[[Floats], Floats], count: int, rate: float, random: np.random.Generator) -> Floats:
    """Return noise of a density shape(f) [1/Hz], one-sided."""
    size = 1 << (count - 1).bit_length()
    line = np.fft.rfftfreq(size, 1 / rate)
    spectrum = np.fft.rfft(random.standard_normal(size)) * np.sqrt(
        0.5 * rate * shape(np.asarray(line, dtype=np.float64))
    )
    return np.asarray(np.fft.irfft(spectrum, size)[:count])


def _recorded(microphone: Microphone, pressure: Floats, rate: float) -> Heard:
    """Return what the recorder makes of the pressure: gain, offset, converter."""
    volts = pressure * microphone.sensitivity * (1.0 + microphone.gain_error)
    if microphone.pumping:
        frame = round(0.05 * rate)
        whole = volts[: volts.size // frame * frame].reshape(-1, frame)
        rms = np.sqrt((whole**2).mean(axis=1))
        centre = (np.arange(rms.size) + 0.5) * frame
        course = np.interp(np.arange(volts.size), centre, np.log10(np.maximum(rms / rms.max(), 1e-4)))
        # half of every change is taken back, up to what the recorder can
        volts = volts * 10 ** (-0.05 * np.clip(microphone.pumping + 10.0 * course, 0.0, microphone.pumping))
    read = volts / microphone.full_scale
    if microphone.kick:
        read = read + microphone.kick * np.exp(-np.arange(read.size) / rate / 0.2)
    step = 2.0 ** (1 - microphone.bits)
    return Heard(microphone, np.clip(np.round(read / step) * step, -1.0, 1.0 - step))
