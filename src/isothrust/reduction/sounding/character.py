"""What a sound is like at each speed: from holds of 3 s and more, or, marked, from the passage of a ramp."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import Character, SoundScale
from isothrust.reduction.sounding.frames import Frames
from isothrust.reduction.sounding.grouping import Groups
from isothrust.reduction.sounding.hearing import loudness_of
from isothrust.reduction.sounding.levels import Background
from isothrust.reduction.sounding.telling import thrust_at
from isothrust.reduction.sounding.tones import Tones, prominence_of

__all__ = ["characters_of"]

_LONG: Final = 2.7
"""A hold of 3 s, less what settling takes of it [s]."""


def characters_of(
    reduced: ReducedRun,
    frames: Frames,
    groups: Groups,
    tones: Tones | None,
    background: Background | None,
    scale: SoundScale,
    *,
    holding: bool,
) -> tuple[Character, ...]:
    """Return one character a hold, or a step of a ramp."""
    found = None if tones is None else prominence_of(frames, tones, groups)
    loud, sharp = loudness_of(frames, groups, background)
    thrust = thrust_at(reduced, groups.x)
    out = []
    for k in range(groups.x.size):
        seconds = float(groups.count[k] * frames.hop)
        if holding and seconds < _LONG:
            continue
        out.append(
            Character(
                origin="hold" if holding else "ramp",
                x=float(groups.x[k]),
                thrust=_known(thrust[k]),
                seconds=seconds,
                tone_to_noise=None if found is None else _known(found.ratio[k]),
                prominence=None if found is None else _known(found.prominence[k]),
                tone=None if found is None else _known(found.tone[k]),
                prominent=found is not None and bool(found.beyond[k]),
                loudness=None if scale.by == "none" else _known(loud[k]),
                sharpness=None if scale.by == "none" else _known(sharp[k]),
            )
        )
    return tuple(out)


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
