"""A recorder that ran into its limit, took a kick, or moved its own gain."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.science.splines import basis_matrix

__all__ = ["check_clipped", "check_kicked", "check_pumping"]

_FEWEST_FULL: Final = 10
_FEWEST_PAIRS: Final = 3
"""Noise reaches its greatest value once; a limit is reached often, and stayed at."""
_KICK_FRAME: Final = 0.05
_KICK: Final = 4.0
"""Offset against the usual size of the sound, from which it is a kick [1]."""
_DECADES: Final = 0.23
"""Range of speed over which a level's growth can be judged: a ratio of 1.7."""
_CLEAR: Final = 10.0
"""How far above the background a level must lie for its growth to count [dB]."""
_POINTS: Final = 5
_SLOWEST: Final = 3.3
"""Power of speed that the sound of every free propeller grows faster than: tones go as the fifth power and more, noise
as the fifth."""


def check_clipped(values: Floats) -> list[Finding]:
    """Tell of samples at the recorder's limit."""
    most, least = float(values.max()), float(values.min())
    found = 0
    for limit in (most, least):
        full = values == limit
        count = int(np.count_nonzero(full))
        if count >= _FEWEST_FULL and int(np.count_nonzero(full[1:] & full[:-1])) >= _FEWEST_PAIRS and limit != 0.0:
            found += count
    if not found:
        return []
    return [
        Finding(
            "sound-clipped",
            "warning",
            f"{found} samples of the sound stand at the recorder's limit",
            channel="sound",
            effect="levels are too low, and overtones are made that were never there, at the loudest speeds",
            count=found,
            done="nothing: the sound is kept as it is; record again with less gain",
        )
    ]


def check_kicked(values: Floats, rate: float) -> list[Finding]:
    """Tell of an offset that jumps and dies away, as when a recorder's input is switched."""
    size = max(1, round(_KICK_FRAME * rate))
    frames = values[: values.size // size * size].reshape(-1, size)
    if frames.shape[0] < 8:
        return []
    offset = frames.mean(axis=1)
    offset = offset - np.median(offset)
    usual = float(np.median(frames.std(axis=1)))
    beyond = np.abs(offset) > _KICK * max(usual, 1e-12)
    if not beyond.any():
        return []
    first = float(np.flatnonzero(beyond)[0] * size / rate)
    share = float(np.abs(offset).max() / max(usual, 1e-12))
    return [
        Finding(
            "sound-kicked",
            "warning",
            f"the sound's offset jumps at {first:.2f} s of the recording, to {share:.0f} times its usual size",
            channel="sound",
            effect="levels without weighting are too high there",
            count=int(np.count_nonzero(beyond)),
            done="each frame's own offset and trend are taken out before anything is computed",
        )
    ]


def check_pumping(curve: SmoothCurve | None, floor: float, *, over_speed: bool) -> list[Finding]:
    """Tell where the level grows so slowly with speed that the recorder must have turned its gain down.

    `floor` is the background [dB]: near it what is left of a level is chosen by chance, and says nothing of growth.
    """
    if curve is None:
        return []
    # over the root of thrust the powers are the same: thrust goes as the square of speed
    if curve.low <= 0.0:
        return []
    at = np.geomspace(curve.low, curve.high, 33)[1:-1]
    levels = basis_matrix(at, curve.knots) @ curve.coefficients
    clear = levels > floor + _CLEAR
    at, levels = at[clear], levels[clear]
    if at.size < _POINTS or np.log10(at[-1] / at[0]) < _DECADES:
        return []
    growth = float(np.polyfit(np.log10(at), levels, 1)[0]) / 10.0
    if growth > _SLOWEST:
        return []
    what = "speed" if over_speed else "the root of thrust"
    return [
        Finding(
            "sound-gain-moved",
            "warning",
            f"the level grows only as the power {growth:.1f} of {what}: a propeller's grows at least as the fifth",
            channel="sound",
            effect="levels at different speeds cannot be held against each other, nor against other recordings",
            done="nothing: switch the recorder's automatic gain, limiter and noise reduction off",
        )
    ]
