"""Levels of frames: weighted A and C, and in one-third octave bands, with the background taken out by power."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.sounding.frames import Frames
from isothrust.science.sound import (
    BAND_NUMBERS,
    a_weighting,
    band_edges,
    c_weighting,
    power_between,
    without_background,
)

__all__ = ["Background", "Levels", "background_of", "levels_of"]

_LOWEST: Final = 10.0
"""Below it a microphone feels the wind and the table [Hz]."""
_LINES_A_BAND: Final = 2.0
"""A band must hold so many lines for its power to be known."""


@dataclass(frozen=True, slots=True)
class Background:
    """Powers with the motor off, in the same lines as the frames [Pa2]."""

    running: Floats
    """(lines + 1,)"""
    a: float
    c: float
    bands: Floats
    origin: str

    def times(self, factor: float) -> Background:
        """Return the powers times a factor."""
        return Background(self.running * factor, self.a * factor, self.c * factor, self.bands * factor, self.origin)


@dataclass(frozen=True, slots=True)
class Levels:
    """Powers of frames [Pa2], background out; NaN where it hides them."""

    a: Floats
    """(m,)"""
    c: Floats
    bands: Floats
    """(m, 31)"""
    loud_a: Floats
    """With the background inside (m,)."""


def background_of(running: Floats, step: float, origin: str) -> Background:
    """Return the powers of a mean spectrum."""
    a, c, bands = _powers(running[None, :], step)
    return Background(running, float(a[0]), float(c[0]), bands[0], origin)


def levels_of(frames: Frames, background: Background | None) -> Levels:
    """Return the powers of each frame."""
    a, c, bands = _powers(frames.running, frames.step)
    if background is None:
        return Levels(a, c, bands, a)
    return Levels(
        without_background(a, background.a),
        without_background(c, background.c),
        without_background(bands, background.bands),
        a,
    )


def _powers(running: Floats, step: float) -> tuple[Floats, Floats, Floats]:
    lines = np.diff(running, axis=1)
    frequency = np.arange(lines.shape[1]) * step
    kept = frequency >= _LOWEST
    weights = np.zeros((2, frequency.size))
    weights[0, kept] = 10.0 ** (0.1 * a_weighting(frequency[kept]))
    weights[1, kept] = 10.0 ** (0.1 * c_weighting(frequency[kept]))
    weighted = lines @ weights.T
    low, high = band_edges(np.array(BAND_NUMBERS))
    bands = power_between(running, step, low[None, :], high[None, :])
    unknown = (high - low < _LINES_A_BAND * step) | (high > frequency[-1])
    bands[:, unknown] = np.nan
    return weighted[:, 0], weighted[:, 1], bands
