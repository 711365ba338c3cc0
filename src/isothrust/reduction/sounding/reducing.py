"""Adds a run's sound to what its log gave: the order of the steps, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from isothrust.records.curve import CurveName, Influence
from isothrust.records.finding import Finding
from isothrust.records.recording import Recording
from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import Sound
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.sounding.curves import LevelCurve, fit_levels
from isothrust.reduction.sounding.frames import Frames, Waveform, rest_frames, steady_frames, waveform_of
from isothrust.reduction.sounding.levels import Background, background_of, levels_of
from isothrust.reduction.sounding.scaling import scale_of
from isothrust.reduction.sounding.telling import spectrum_of
from isothrust.science.sound import level

__all__ = ["SOUND_CURVES", "SoundFit", "with_sound"]

SPEED_OF_SOUND: Final = 343.0
"""[m/s] near enough: it serves the way from the blades to the microphone alone."""
SOUND_CURVES: Final[tuple[CurveName, ...]] = ("sound-level", "c-weighted-level")


@dataclass(frozen=True, slots=True)
class SoundFit:
    """What became of a run's sound."""

    sound: Sound | None
    curves: Mapping[str, LevelCurve]
    influences: tuple[Influence, ...]
    findings: tuple[Finding, ...]
    absent: Mapping[str, str]


def with_sound(reduced: ReducedRun, recording: Recording, prepared: Prepared) -> ReducedRun:
    """Return the run with the curves, the record and the findings of its sound; unchanged where it has none."""
    if "sound" not in recording.channels:
        return reduced
    fit = _fit(reduced, recording, prepared)
    return replace(
        reduced,
        curves={**reduced.curves, **{name: each.curve for name, each in fit.curves.items()}},
        influences=(*reduced.influences, *fit.influences),
        findings=(*reduced.findings, *fit.findings),
        absent={**reduced.absent, **fit.absent},
        sound=fit.sound,
    )


def _nothing(why: str) -> SoundFit:
    return SoundFit(None, {}, (), (), dict.fromkeys(SOUND_CURVES, why))


def _fit(reduced: ReducedRun, recording: Recording, prepared: Prepared) -> SoundFit:
    wave = waveform_of(recording.channels["sound"])
    if isinstance(wave, str):
        return _nothing(f"the sound of run {reduced.run} gives no level: {wave}")
    scale = scale_of(prepared.job.rig)
    delay = (scale.distance or 0.0) / SPEED_OF_SOUND
    frames = steady_frames(wave, prepared, delay=delay)
    if frames is None:
        return _nothing(f"the sound of run {reduced.run} covers no steady spell of it")
    background = _background(wave, prepared, frames, delay)
    levels = levels_of(frames, background)
    curves: dict[str, LevelCurve] = {}
    absent: dict[str, str] = {}
    for name, powers in (("sound-level", levels.a), ("c-weighted-level", levels.c)):
        _keep(curves, absent, name, powers, frames, reduced)
    if scale.by == "none":
        why = f"the sound is not calibrated ({scale.why}): levels hold only against another run"
        absent.update(dict.fromkeys(curves, why))
        curves = {}
    sound = Sound(wave.rate, frames.length, scale, spectrum_of(reduced, frames, levels, background))
    return SoundFit(sound, curves, _influences(reduced, recording, prepared, curves, frames, sound), (), absent)


def _background(wave: Waveform, prepared: Prepared, frames: Frames, delay: float) -> Background | None:
    size = round(frames.length * wave.rate)
    running = rest_frames(wave, prepared.loads.rests, size, delay=delay)
    return None if running is None else background_of(running, frames.step, "the run's own rest, motor off")


def _keep(
    curves: dict[str, LevelCurve],
    absent: dict[str, str],
    name: str,
    powers: np.ndarray,
    frames: Frames,
    reduced: ReducedRun,
) -> None:
    """Fit a curve, or keep the reason why there is none."""
    fit = fit_levels(name, frames.x, level(powers), frames.segment, hop=frames.hop)  # type: ignore[arg-type]
    if fit is None:
        absent[name] = f"the sound of run {reduced.run} lies less than 3 dB above the background"
    else:
        curves[name] = fit


def _influences(
    reduced: ReducedRun,
    recording: Recording,
    prepared: Prepared,
    curves: Mapping[str, LevelCurve],
    frames: Frames,
    sound: Sound,
) -> tuple[Influence, ...]:
    found: list[Influence] = []
    u = sound.scale.u_level
    if u and curves:
        shifts = {name: each.shift(u) for name, each in curves.items()}
        key = f"rig {prepared.job.rig.name} sound scale"
        found.append(Influence("sound scale", key, "rig", np.inf, shifts))
    tied = recording.alignments.get("sound")
    if tied is not None and tied.u_offset:
        shifts = {
            name: each.shift(each.rise() * np.interp(each.x, *_by_x(frames)) * tied.u_offset)
            for name, each in curves.items()
        }
        key = f"run {reduced.campaign}/{reduced.run} sound timing"
        found.append(Influence("sound timing", key, "run", tied.degrees_of_freedom, shifts))
    return tuple(found)


def _by_x(frames: Frames) -> tuple[np.ndarray, np.ndarray]:
    order = np.argsort(frames.x, kind="stable")
    return frames.x[order], frames.slope[order]
