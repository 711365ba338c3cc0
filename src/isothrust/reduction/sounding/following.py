"""The sound laid over the tachometer: by how much it lies behind, told by the blades' own tone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.sounding.frames import Frames

__all__ = ["Delay", "excess_of", "find_delay", "likely_blades"]

_REACH: Final = 0.6
"""How far the sound may lie from where it was put [s]."""
_STEP: Final = 0.005
_TONES: Final = 3
_ABOUT: Final = 160.0
"""Half width of the floor that a line is held against [Hz]."""
_CLEAR: Final = 3.0
"""How far the blades' tone must stand above the floor, on the mean, to be followed [dB]."""
_MOST: Final = 20.0
"""A line counts no more than this [dB]: a whistle must not outweigh all else."""
_BLADES: Final = (2, 3, 4, 5, 6)
_PARTS: Final = 4


@dataclass(frozen=True, slots=True)
class Delay:
    """By how much the sound lies behind where it was put."""

    value: float
    """[s]"""
    uncertainty: float
    """[s]"""
    clear: float
    """How far the tones stand above the floor there, on the mean [dB]."""


def excess_of(frames: Frames) -> Floats:
    """Return how far each line stands above the floor about it (m, n) [dB], 0 to 20."""
    lines = np.diff(frames.running, axis=1)
    reach = max(2, round(_ABOUT / frames.step))
    place = np.arange(lines.shape[1])
    low, high = np.maximum(place - reach, 0), np.minimum(place + reach + 1, lines.shape[1])
    floor = (frames.running[:, high] - frames.running[:, low]) / (high - low)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.clip(10.0 * np.log10(np.where(floor > 0.0, lines / floor, 1.0)), 0.0, _MOST))


def find_delay(frames: Frames, excess: Floats, prepared: Prepared, blades: int) -> Delay | None:
    """Return the delay at which the blades' tones follow the tachometer best; None where none are clear.

    Each quarter of the frames has its own say: how far they differ is the uncertainty.
    """
    delays = np.arange(-_REACH, _REACH + 0.5 * _STEP, _STEP)
    when = frames.time[:, None] - delays[None, :]
    speed = np.interp(when, prepared.bins.time, prepared.spells.drive)
    seen = _tones_at(frames, excess, speed * blades / (2.0 * np.pi))
    whole = seen.mean(axis=0)
    best = int(np.argmax(whole))
    if whole[best] < _CLEAR:
        return None
    parts = np.array([delays[np.argmax(_smooth(seen[part::_PARTS].mean(axis=0)))] for part in range(_PARTS)])
    sweeping = float(np.median(np.abs(frames.slope)) / max(float(np.median(frames.x)), 1e-9)) > 0.01
    if not sweeping:  # at steady speeds any delay is as good
        return Delay(0.0, 0.0, float(whole[delays.size // 2]))
    value = float(delays[int(np.argmax(_smooth(whole)))])
    return Delay(value, float(np.hypot(parts.std(ddof=1) / np.sqrt(_PARTS), _STEP)), float(whole[best]))


def likely_blades(frames: Frames, excess: Floats, speed: Floats) -> int | None:
    """Return the number of blades whose tones are strongest, where nobody states one; None where none are clear."""
    turns = speed / (2.0 * np.pi)
    heard = {count: float(_tones_at(frames, excess, (turns * count)[:, None])[:, 0].mean()) for count in _BLADES}
    best = max(heard, key=lambda count: heard[count])
    return best if heard[best] >= _CLEAR else None


def _tones_at(frames: Frames, excess: Floats, frequency: Floats) -> Floats:
    """Return the mean excess at the first harmonics of a frequency (m, k) [dB]."""
    total = np.zeros(frequency.shape)
    for harmonic in range(1, _TONES + 1):
        place = np.clip(np.round(frequency * harmonic / frames.step).astype(np.intp), 0, excess.shape[1] - 1)
        total += np.take_along_axis(excess, place, axis=1)
    return total / _TONES


def _smooth(values: Floats) -> Floats:
    """Mean over 50 ms: the top of a broad hump lies in its middle."""
    return np.convolve(np.pad(values, 5, mode="edge"), np.ones(11) / 11.0, mode="valid")
