"""How loud and how sharp a sound is to an ear, group by group."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.sounding.frames import Frames
from isothrust.reduction.sounding.grouping import Groups
from isothrust.reduction.sounding.levels import Background
from isothrust.science.loudness import filter_sums, sharpness, stationary_loudness
from isothrust.science.sound import level, without_background

__all__ = ["loudness_of"]


def loudness_of(frames: Frames, groups: Groups, background: Background | None) -> tuple[Floats, Floats]:
    """Return loudness [sone] and sharpness [acum] of each group (k,); bands that the background hides count as silent.

    Frames of a ramp resolve 12 Hz: the lowest bands share lines, which matters below 100 Hz, where little is heard.
    """
    lines = np.arange(frames.running.shape[1] - 1) * frames.step
    sums = filter_sums(np.maximum(lines, 1e-3))
    total = np.zeros((groups.count.size, sums.shape[1]))
    np.add.at(total, groups.number, np.diff(frames.running, axis=1) @ sums)
    powers = total / groups.count[:, None]
    if background is not None:
        powers = without_background(powers, np.diff(background.running) @ sums)
    levels = np.where(np.isfinite(powers), level(np.where(np.isfinite(powers), powers, 1e-30)), -np.inf)
    heard = [stationary_loudness(each) for each in levels]
    return np.array([each.total for each in heard]), np.array([sharpness(each) for each in heard])
