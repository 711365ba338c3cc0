"""The record of a run's sound: levels at steps of speed, each a mean over what was heard about it."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import Passing, SoundMap, SoundSpectrum
from isothrust.reduction.figures_sensitive import evaluate_curve
from isothrust.reduction.sounding.blades import Followed
from isothrust.reduction.sounding.following import Delay
from isothrust.reduction.sounding.frames import Frames
from isothrust.reduction.sounding.grouping import Groups
from isothrust.reduction.sounding.levels import Background, Levels
from isothrust.reduction.sounding.tones import Tones
from isothrust.science.sound import BAND_CENTRES, level, power_between

__all__ = ["map_of", "passing_of", "spectrum_of", "thrust_at"]

_STANDS_OUT: Final = 0.2
"""A tone of less than this part of the noise about it is not told apart from it [1]."""
_FINE: Final = 96
"""Frequencies of the map, even in their logarithm."""
_MAP: Final = (40.0, 16000.0)
"""Least and greatest frequency of the map [Hz]."""


def spectrum_of(
    reduced: ReducedRun, frames: Frames, groups: Groups, levels: Levels, background: Background | None
) -> SoundSpectrum:
    """Return levels at steps of speed."""
    return SoundSpectrum(
        x=groups.x,
        thrust=thrust_at(reduced, groups.x),
        seconds=groups.count * frames.hop,
        a_level=level(groups.mean(levels.a)),
        c_level=level(groups.mean(levels.c)),
        centres=np.array(BAND_CENTRES),
        bands=level(groups.mean(levels.bands)),
        background=np.full(len(BAND_CENTRES), np.nan) if background is None else level(background.bands),
        background_a=None if background is None else float(level(background.a)),
        background_from="nothing was recorded with the motor off" if background is None else background.origin,
    )


def map_of(frames: Frames, groups: Groups) -> SoundMap:
    """Return the narrow-band density at steps of speed, over a logarithmic scale of frequency."""
    running = groups.mean(frames.running)
    top = min(_MAP[1], 0.45 * (running.shape[1] - 2) * frames.step * 2.0)
    edges = np.geomspace(_MAP[0], top, _FINE + 1)
    # below, a step of the scale is narrower than a line: the line's own density stands for it
    width = np.maximum(np.diff(edges), frames.step)
    centre = np.sqrt(edges[1:] * edges[:-1])
    low, high = centre - 0.5 * width, centre + 0.5 * width
    density = power_between(running, frames.step, low[None, :], high[None, :]) / width
    return SoundMap(groups.x, centre, level(density))


def passing_of(
    tones: Tones,
    groups: Groups,
    levels: Levels,
    *,
    blades: int | None,
    delay: Delay,
    followed: Followed | None,
) -> Passing:
    """Return blade passing and its harmonics at steps of speed."""
    power, tonal = groups.mean(tones.passing), groups.mean(tones.tonal)
    noise = groups.mean(tones.noise)
    clear = power > _STANDS_OUT * noise
    total = groups.mean(levels.a)
    with np.errstate(invalid="ignore"):
        rest = np.where(total - tonal > 0.0, total - tonal, np.nan)
    return Passing(
        origin="tachometer" if followed is None else "sound",
        blades=blades,
        frequency=groups.mean(tones.frequency),
        levels=np.where(clear, level(np.where(clear, power, 1.0)), np.nan),
        tonal=level(np.maximum(tonal, 1e-30)),
        broadband=level(rest),
        delay=delay.value,
        u_delay=delay.uncertainty,
        candidates=() if followed is None else followed.candidates,
    )


def thrust_at(reduced: ReducedRun, x: Floats) -> Floats:
    """Return the thrust in the air of the day [N]; NaN where the run measured none."""
    if reduced.abscissa == "root-thrust":
        return x**2
    if "thrust" not in reduced.curves:
        return np.full(x.shape, np.nan)
    density = reduced.standard_density if reduced.density is None else reduced.density
    return np.asarray(evaluate_curve(reduced.curves["thrust"], x) * density * x**2)
