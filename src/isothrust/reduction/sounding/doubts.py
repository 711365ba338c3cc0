"""What else may have moved a run's levels: the microphone's scale, and when its recording began."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from isothrust.records.curve import Influence
from isothrust.records.recording import Floats, Recording
from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import SoundScale
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.sounding.curves import LevelCurve
from isothrust.reduction.sounding.frames import Frames

__all__ = ["sound_influences"]

_SCALED = ("sound-level", "c-weighted-level", "blade-passing-level")
_TIMED = ("sound-level", "c-weighted-level", "blade-passing-level", "loudness")


def sound_influences(
    reduced: ReducedRun,
    recording: Recording,
    prepared: Prepared,
    curves: Mapping[str, LevelCurve],
    frames: Frames,
    scale: SoundScale,
) -> tuple[Influence, ...]:
    """Return one influence a source."""
    found: list[Influence] = []
    if scale.u_level:
        shifts = {name: curves[name].shift(scale.u_level) for name in _SCALED if name in curves}
        if "loudness" in curves:
            # loudness doubles with ten decibel
            loud = curves["loudness"]
            shifts["loudness"] = loud.curve.coefficients * (2.0 ** (0.1 * scale.u_level) - 1.0)
        if shifts:
            found.append(Influence("sound scale", f"rig {prepared.job.rig.name} sound scale", "rig", np.inf, shifts))
    tied = recording.alignments.get("sound")
    if tied is not None and tied.u_offset:
        place = _by_x(frames)
        shifts = {
            name: curves[name].shift(curves[name].rise() * np.interp(curves[name].x, *place) * tied.u_offset)
            for name in _TIMED
            if name in curves
        }
        key = f"run {reduced.campaign}/{reduced.run} sound timing"
        found.append(Influence("sound timing", key, "run", tied.degrees_of_freedom, shifts))
    return tuple(found)


def _by_x(frames: Frames) -> tuple[Floats, Floats]:
    order = np.argsort(frames.x, kind="stable")
    return frames.x[order], frames.slope[order]
