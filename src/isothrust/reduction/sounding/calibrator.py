"""The recording of a calibrator: a tone of known level, and what the rig's own scale makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.recording import Channel
from isothrust.reduction.sounding.frames import waveform_of
from isothrust.science.sound import level, power_between, power_of_level, running_power
from isothrust.science.spectra import frame_spectra

__all__ = ["Calibration", "calibrate"]

_FREQUENCY: Final = 1000.0
_NEAR: Final = 0.06
"""How far the tone may lie from 1 kHz, as a part of it: a recorder's clock is far better, another tone is not it."""
_FRAME: Final = 0.25
_STEADY: Final = 0.3
"""Frames this near to the median are the tone with the calibrator in place [dB]."""
_FEWEST: Final = 4
_PURE: Final = 0.9
"""Share of the power that lies in the tone, at least [1]."""
_SPREAD: Final = 60.0
"""Half width of the tone's band [Hz]."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a calibrator's recording says."""

    gain: float
    """True pressure over what the rig's own scale calls pressure [1]."""
    u_level: float
    """Of the reading alone: scatter of the tone [dB]."""
    seconds: float
    frequency: float


def calibrate(channel: Channel, stated: float) -> Calibration | str:
    """Return what makes the recorded tone the stated level [dB re 20 uPa], or in words why it cannot be used."""
    wave = waveform_of(channel)
    if isinstance(wave, str):
        return wave
    size = round(_FRAME * wave.rate)
    starts = np.arange(0, wave.values.size - size + 1, size)
    if starts.size < _FEWEST:
        return f"it lasts less than {_FEWEST * _FRAME:.0f} s"
    spectra = frame_spectra(wave.values, wave.rate, starts, size)
    lines = spectra.density * spectra.resolution
    mean = lines.mean(axis=0)
    peak = float(spectra.frequency[1 + int(np.argmax(mean[1:]))])
    if abs(peak / _FREQUENCY - 1.0) > _NEAR:
        return f"its greatest tone lies at {peak:.0f} Hz, not at 1000 Hz"
    running = running_power(lines)
    edges = np.array([[peak - _SPREAD]]), np.array([[peak + _SPREAD]])
    tone = power_between(running, spectra.resolution, *edges)[:, 0]
    levels = level(np.maximum(tone, 1e-30))
    steady = np.abs(levels - np.median(levels)) < _STEADY
    if np.count_nonzero(steady) < _FEWEST:
        return "its tone is never steady for a second"
    whole = lines[steady, 1:].sum(axis=1)
    if float(np.median(tone[steady] / whole)) < _PURE:
        return "less than nine tenths of its power lie in the tone: it does not sit tight, or the room was loud"
    power = float(tone[steady].mean())
    scatter = float(levels[steady].std(ddof=1)) / np.sqrt(np.count_nonzero(steady))
    return Calibration(
        float(np.sqrt(power_of_level(stated) / power)), scatter, float(np.count_nonzero(steady) * _FRAME), peak
    )
