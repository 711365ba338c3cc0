"""Frames of the sound that lie in steady spells, each with the speed it was made at."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.prepare import Prepared
from isothrust.science.sound import running_power
from isothrust.science.spectra import frame_spectra

__all__ = ["Frames", "Waveform", "rest_frames", "steady_frames", "waveform_of", "whole_frames"]

RAMP_FRAME: Final = 0.085
"""[s] A blade-passing tone sweeps 11 Hz meanwhile, as much as the frame resolves."""
HOLD_FRAME: Final = 0.34
"""[s] At a steady speed a longer frame tells tones from noise four times as finely."""
_MOST: Final = 600
"""Frames of a run: more would say the same again, and take memory."""
_BLOCK: Final = 48
_LEAST_RATE: Final = 4000.0
"""A slower recording has no band in which a propeller is heard [Hz]."""


@dataclass(frozen=True, slots=True)
class Waveform:
    """Evenly sampled pressure."""

    start: float
    """Time of the first sample on the log's clock [s]."""
    rate: float
    """[Hz]"""
    values: Floats
    """(n,) [Pa, or parts of full scale]"""


@dataclass(frozen=True, slots=True)
class Frames:
    """Spectra over frames, as running sums over frequency."""

    time: Floats
    """Centres (m,) [s]."""
    x: Floats
    """Speed [rad/s], or root of thrust [N^0.5] (m,)."""
    slope: Floats
    """Its rate of change (m,)."""
    segment: NDArray[np.int64]
    """Number of the steady spell (m,)."""
    running: Floats
    """(m, lines + 1) [Pa2]"""
    step: float
    """Between lines [Hz]."""
    length: float
    """[s]"""
    hop: float
    """From one frame to the next [s]."""


def waveform_of(channel: Channel) -> Waveform | str:
    """Return the channel as an even waveform, or in words why it is none."""
    count = channel.time.size
    if count < 2:
        return "it holds no samples"
    span = float(channel.time[-1] - channel.time[0])
    rate = (count - 1) / span if span > 0.0 else 0.0
    if rate < _LEAST_RATE:
        return f"it was sampled at {rate:.0f} Hz: that is too slow to tell how anything sounds"
    probe = channel.time[:: max(1, count // 2000)]
    even = channel.time[0] + np.arange(0, count, max(1, count // 2000)) / rate
    if float(np.max(np.abs(probe - even))) > 2.0 / rate:
        return "its samples are not evenly spaced: some are missing"
    return Waveform(float(channel.time[0]), rate, channel.values)


def steady_frames(wave: Waveform, prepared: Prepared, *, delay: float = 0.0) -> Frames | None:
    """Return the frames that lie wholly within steady spells; None where there are too few for a curve.

    `delay` is by how much the sound lies behind the log [s].
    """
    holding = prepared.job.run.kind == "holds"
    size = _even_power(wave.rate * (HOLD_FRAME if holding else RAMP_FRAME))
    length = size / wave.rate
    starts = np.arange(0, wave.values.size - size + 1, size // 2)
    centre = np.asarray(wave.start - delay + (starts + 0.5 * size) / wave.rate, dtype=np.float64)
    inside, spell = _inside(prepared, centre, length)
    starts, centre = starts[inside], centre[inside]
    if starts.size < 8:
        return None
    thin = max(1, -(-starts.size // _MOST))
    starts, centre, spell = starts[::thin], centre[::thin], spell[inside][::thin]
    bins, spells = prepared.bins, prepared.spells
    return Frames(
        time=centre,
        x=np.interp(centre, bins.time, spells.drive),
        slope=np.interp(centre, bins.time, spells.slope),
        segment=spell,
        running=_running(wave, starts, size),
        step=wave.rate / size,
        length=length,
        hop=thin * (size // 2) / wave.rate,
    )


def whole_frames(wave: Waveform) -> Frames:
    """Return the frames of a recording without a log, as of one steady spell at one speed."""
    size = _even_power(wave.rate * HOLD_FRAME)
    starts = np.arange(0, wave.values.size - size + 1, size // 4)
    one = np.ones(starts.size)
    return Frames(
        time=np.asarray((starts + 0.5 * size) / wave.rate, dtype=np.float64),
        x=one,
        slope=np.zeros(starts.size),
        segment=one.astype(np.int64),
        running=_running(wave, starts, size),
        step=wave.rate / size,
        length=size / wave.rate,
        hop=size // 4 / wave.rate,
    )


def rest_frames(wave: Waveform, rests: tuple[tuple[float, float], ...], size: int, *, delay: float) -> Floats | None:
    """Return the mean spectrum with the motor off (lines + 1,), summed up over frequency; None where there is none."""
    starts = np.arange(0, wave.values.size - size + 1, size // 2)
    first = wave.start - delay + starts / wave.rate
    kept = np.zeros(starts.size, dtype=bool)
    for start, end in rests:
        kept |= (first >= start) & (first + size / wave.rate <= end)
    if np.count_nonzero(kept) < 3:
        return None
    return np.asarray(_running(wave, starts[kept][:_MOST], size).mean(axis=0))


def _running(wave: Waveform, starts: NDArray[np.int64], size: int) -> Floats:
    out = np.empty((starts.size, size // 2 + 2))
    for first in range(0, starts.size, _BLOCK):
        spectra = frame_spectra(wave.values, wave.rate, starts[first : first + _BLOCK], size)
        out[first : first + _BLOCK] = running_power(spectra.density * spectra.resolution)
    return out


def _inside(prepared: Prepared, centre: Floats, length: float) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Say which frames lie within one steady spell, and in which."""
    bins, spells = prepared.bins, prepared.spells
    half = 0.5 * (length + bins.width)
    first = np.searchsorted(bins.time, centre - half)
    last = np.searchsorted(bins.time, centre + half)
    steady = np.concatenate([[0], np.cumsum(spells.steady)])
    nearest = np.clip((first + last) // 2, 0, bins.time.size - 1)
    whole = (steady[last] - steady[first] == last - first) & (last > first)
    within = (centre - half >= bins.time[0] - bins.width) & (centre + half <= bins.time[-1] + bins.width)
    number = spells.segment[nearest]
    return np.asarray(whole & within & (number > 0)), number


def _even_power(samples: float) -> int:
    return int(2 ** round(np.log2(samples)))
