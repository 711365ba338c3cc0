"""The record of a run's sound: levels at steps of speed, each a mean over what was heard about it."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import SoundSpectrum
from isothrust.reduction.figures_sensitive import evaluate_curve
from isothrust.reduction.sounding.frames import Frames
from isothrust.reduction.sounding.levels import Background, Levels
from isothrust.science.sound import BAND_CENTRES, level

__all__ = ["Cells", "cells_of", "spectrum_of"]

_CELLS: Final = 24
"""Steps of speed: a third of a second each on a ramp of eight seconds."""


class Cells:
    """Frames gathered by speed: means over each cell."""

    def __init__(self, number: NDArray[np.intp], count: Floats) -> None:
        self.number = number
        """Cell of each frame (m,)."""
        self.count = count
        """Frames in each cell (k,)."""

    def mean(self, values: Floats) -> Floats:
        """Return the mean of each cell (k, …); frames without a value are left out, a cell of nothing else is NaN."""
        known = np.isfinite(values)
        total = np.zeros((self.count.size, *values.shape[1:]))
        np.add.at(total, self.number, np.where(known, values, 0.0))
        heard = np.zeros_like(total)
        np.add.at(heard, self.number, known.astype(np.float64))
        with np.errstate(invalid="ignore", divide="ignore"):
            # a cell in which half of the frames say nothing says nothing
            full = heard >= 0.5 * self.count.reshape((-1,) + (1,) * (values.ndim - 1))
            return np.asarray(np.where(full, total / heard, np.nan))


def cells_of(frames: Frames) -> Cells:
    """Return the frames gathered by speed: holds each by itself, a ramp in even steps."""
    low, high = float(frames.x.min()), float(frames.x.max())
    width = max((high - low) / _CELLS, 1e-9 * high)
    step = np.minimum(((frames.x - low) / width).astype(np.intp), _CELLS - 1)
    _, number = np.unique(step, return_inverse=True)
    return Cells(number.astype(np.intp), np.bincount(number).astype(np.float64))


def spectrum_of(reduced: ReducedRun, frames: Frames, levels: Levels, background: Background | None) -> SoundSpectrum:
    """Return levels at steps of speed."""
    cells = cells_of(frames)
    x = cells.mean(frames.x)
    return SoundSpectrum(
        x=x,
        thrust=_thrust(reduced, x),
        seconds=cells.count * frames.hop,
        a_level=level(cells.mean(levels.a)),
        c_level=level(cells.mean(levels.c)),
        centres=np.array(BAND_CENTRES),
        bands=level(cells.mean(levels.bands)),
        background=np.full(len(BAND_CENTRES), np.nan) if background is None else level(background.bands),
        background_a=None if background is None else float(level(background.a)),
        background_from="nothing was recorded with the motor off" if background is None else background.origin,
    )


def _thrust(reduced: ReducedRun, x: Floats) -> Floats:
    """Thrust at standard density [N]; NaN where the run measured none."""
    if reduced.abscissa == "root-thrust":
        return x**2
    if "thrust" not in reduced.curves:
        return np.full(x.shape, np.nan)
    return np.asarray(evaluate_curve(reduced.curves["thrust"], x) * reduced.standard_density * x**2)
