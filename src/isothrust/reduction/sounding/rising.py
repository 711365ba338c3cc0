"""The rush of the air against speed: where it begins to grow faster, the blades may flutter."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.sound import BroadbandRise
from isothrust.reduction.sounding.frames import Frames
from isothrust.science.onset import find_onset

__all__ = ["rise_of"]

_BAND: Final = (2000.0, 10000.0)
"""Where the rush is above the tones of small propellers, and above the room [Hz]."""
_FEWEST: Final = 40
_RISE: Final = 3.0
"""From which it is a growth of its own [dB]."""
_SURE: Final = 7.0
"""Rise over its own standard uncertainty: the onset was looked for, so chance has many tries [1]."""
_DECIBEL: Final = 10.0 / np.log(10.0)


def rise_of(frames: Frames) -> BroadbandRise:
    """Return where the rush begins to grow faster than it did, or why nothing can be said.

    The mean over the logarithms of the lines is what counts: a few tones between thousands of lines do not move it.
    """
    lines = np.diff(frames.running, axis=1)
    first, last = round(_BAND[0] / frames.step), min(round(_BAND[1] / frames.step), lines.shape[1] - 1)
    if last - first < _FEWEST or frames.x.size < _FEWEST:
        return BroadbandRise(None, None, None, "too few frames, or too slow a recording, to tell a growth from scatter")
    rush = np.log(np.maximum(lines[:, first:last], 1e-300)).mean(axis=1)
    order = np.argsort(frames.x, kind="stable")
    kept = order[frames.x[order] > 0.0]
    found = find_onset(frames.x[kept], rush[kept])
    if found is None:
        return BroadbandRise(None, None, None, "the range of speed is too narrow to tell a growth from a slope")
    rise = float(_DECIBEL * found.rise)
    if rise < _RISE or found.rise < _SURE * found.u_rise:
        why = f"the rush grows by one law up to the top, within {abs(rise):.1f} dB"
        return BroadbandRise(None, None, rise, why)
    why = f"the rush stands {rise:.1f} dB above what its growth below leads to"
    return BroadbandRise(found.onset, found.u_onset, rise, why)
