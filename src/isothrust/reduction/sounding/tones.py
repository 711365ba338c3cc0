"""Tones at the orders of the shaft: how strong each is, and the noise in the critical band about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.sounding.frames import Frames
from isothrust.reduction.sounding.grouping import Groups
from isothrust.science.sound import a_weighting
from isothrust.science.tonality import (
    prominence_criterion,
    prominence_ratio,
    tone_and_noise,
    tone_to_noise_criterion,
)

__all__ = ["Prominence", "Tones", "prominence_of", "tones_of"]

HARMONICS: Final = 8
_MAIN_LOBE: Final = 2.0
"""Half width of a tone under the Hann window [lines]."""
_LEAST: Final = 89.1
"""Tones below are not judged [Hz]."""
_APART: Final = 3.0
"""Orders of the shaft are tones of their own where so many half widths lie between them."""
_FLOOR: Final = 0.1
"""A tone that does not stand out of the noise counts as ten decibel below it [1]."""


@dataclass(frozen=True, slots=True)
class Tones:
    """Powers of tones frame by frame [Pa2]; one that is not there comes out as often below nothing as above."""

    frequency: Floats
    """Of blade passing (m,) [Hz]."""
    passing: Floats
    """Of each harmonic (m, harmonics); NaN where it cannot be told from its neighbours or lies too high."""
    noise: Floats
    """In the critical band about each (m, harmonics)."""
    tonal: Floats
    """Of all orders, weighted A (m,)."""


@dataclass(frozen=True, slots=True)
class Prominence:
    """The tone that stands out most, group by group."""

    ratio: Floats
    """Tone-to-noise ratio (k,) [dB]."""
    prominence: Floats
    """Prominence ratio (k,) [dB]."""
    tone: Floats
    """Frequency (k,) [Hz]."""
    beyond: Floats
    """1 where it is beyond the criterion of one of the two (k,)."""


def tones_of(frames: Frames, frequency: Floats, rate: Floats, blades: int) -> Tones:
    """Return the tones at harmonics of blade passing and at the other orders of the shaft.

    `frequency` is that of blade passing (m,) [Hz], `rate` its change (m,) [Hz/s].
    """
    highest = (frames.running.shape[1] - 2) * frames.step
    passing = np.full((frequency.size, HARMONICS), np.nan)
    noise = np.full_like(passing, np.nan)
    tonal = np.zeros(frequency.size)
    for order in range(1, blades * HARMONICS + 1):
        own = frequency * order / blades
        width = _half_width(frames, rate * order / blades)
        heard = own + width < 0.9 * highest
        harmonic = order % blades == 0
        # between harmonics an order is a tone of its own only where the lines tell it from them
        heard &= harmonic | (frequency / blades > _APART * width)
        if not heard.any():
            continue
        power, about = tone_and_noise(frames.running, frames.step, own, width, _others(own, frequency, width, blades))
        power = np.where(heard, power, np.nan)
        if harmonic:
            passing[:, order // blades - 1] = power
            noise[:, order // blades - 1] = np.where(heard, about, np.nan)
        tonal += np.where(np.isfinite(power), power, 0.0) * 10.0 ** (0.1 * a_weighting(np.maximum(own, 1.0)))
    return Tones(frequency, passing, noise, tonal)


def _half_width(frames: Frames, sweep: Floats) -> Floats:
    return np.asarray(_MAIN_LOBE * frames.step + 0.5 * np.abs(sweep) * frames.length)


def _others(own: Floats, frequency: Floats, width: Floats, blades: int) -> Floats:
    """Frequencies of the tones beside one (m, 4): the orders about it, or the harmonics where orders run together."""
    spacing = np.where(frequency / blades > _APART * width, frequency / blades, frequency)
    return np.asarray(own[:, None] + spacing[:, None] * np.array([-2.0, -1.0, 1.0, 2.0]))


def prominence_of(frames: Frames, tones: Tones, groups: Groups) -> Prominence:
    """Return how far the tone that stands out most does so, by both measures."""
    power, noise = groups.mean(tones.passing), groups.mean(tones.noise)
    frequency = groups.mean(tones.frequency)[:, None] * np.arange(1, HARMONICS + 1)
    running = _mean_spectra(frames, groups)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = 10.0 * np.log10(np.maximum(power / noise, _FLOOR))
    ratio[frequency < _LEAST] = np.nan
    bands = np.stack([prominence_ratio(running, frames.step, frequency[:, k]) for k in range(HARMONICS)], axis=1)
    known = np.isfinite(ratio)
    best = np.argmax(np.where(known, ratio, -np.inf), axis=1)
    widest = np.argmax(np.where(np.isfinite(bands), bands, -np.inf), axis=1)
    row = np.arange(best.size)
    over = (ratio > tone_to_noise_criterion(np.maximum(frequency, _LEAST))) | (
        bands > prominence_criterion(np.maximum(frequency, _LEAST))
    )
    return Prominence(
        np.where(known.any(axis=1), ratio[row, best], np.nan),
        bands[row, widest],
        np.asarray(frequency[row, best]),
        np.asarray(over.any(axis=1), dtype=np.float64),
    )


def _mean_spectra(frames: Frames, groups: Groups) -> Floats:
    total = np.zeros((groups.count.size, frames.running.shape[1]))
    np.add.at(total, groups.number, frames.running)
    return np.asarray(total / groups.count[:, None])
