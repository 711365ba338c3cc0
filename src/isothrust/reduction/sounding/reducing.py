"""Adds a run's sound to what its log gave: the order of the steps, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from isothrust.records.curve import CurveName, Influence
from isothrust.records.finding import Finding
from isothrust.records.recording import Floats, Recording
from isothrust.records.reduced import ReducedRun
from isothrust.records.sound import Passing, Sound, SoundScale
from isothrust.reduction.checks.sound.recorder import check_clipped, check_kicked, check_pumping
from isothrust.reduction.checks.sound.surroundings import check_background, check_clock, check_reflection
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.sounding.blades import Followed, Propeller, follow_blades
from isothrust.reduction.sounding.character import characters_of
from isothrust.reduction.sounding.curves import LevelCurve, fit_levels
from isothrust.reduction.sounding.doubts import sound_influences
from isothrust.reduction.sounding.following import Delay, excess_of, find_delay, likely_blades
from isothrust.reduction.sounding.frames import Frames, Waveform, rest_frames, steady_frames, waveform_of
from isothrust.reduction.sounding.grouping import Groups, groups_of
from isothrust.reduction.sounding.hearing import loudness_of
from isothrust.reduction.sounding.levels import Background, Levels, background_of, levels_of
from isothrust.reduction.sounding.rising import rise_of
from isothrust.reduction.sounding.scaling import scale_of
from isothrust.reduction.sounding.telling import map_of, passing_of, spectrum_of
from isothrust.reduction.sounding.tones import Tones, prominence_of, tones_of
from isothrust.science.sound import level

__all__ = ["SOUND_CURVES", "SoundFit", "with_sound"]

SPEED_OF_SOUND: Final = 343.0
"""[m/s] near enough: it serves the way from the blades to the microphone alone."""
SOUND_CURVES: Final[tuple[CurveName, ...]] = (
    "sound-level",
    "c-weighted-level",
    "blade-passing-level",
    "tonal-balance",
    "tone-to-noise-ratio",
    "prominence-ratio",
    "loudness",
    "sharpness",
)
ABSOLUTE: Final = frozenset({"sound-level", "c-weighted-level", "blade-passing-level", "loudness", "sharpness"})
"""What means nothing without a calibration."""
_PARTS: Final = 4
"""Of a hold: their scatter tells how steady it was."""
_SAME_RATE: Final = 1e-3
"""Two recordings of one rate have the same lines [1]."""
_UNTOLD: Final = Delay(0.0, 0.0, 0.0)


@dataclass(slots=True)
class SoundFit:
    """What becomes of a run's sound, step by step."""

    sound: Sound | None = None
    curves: dict[str, LevelCurve] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    absent: dict[str, str] = field(default_factory=dict)

    def fit(
        self, name: CurveName, where: Frames | Groups, values: Floats, hop: float, why: str, *, powers: bool = False
    ) -> None:
        """Fit a curve, or keep the reason why there is none."""
        fit = fit_levels(name, where.x, values, where.segment, hop=hop, powers=powers)
        if fit is None:
            self.absent[name] = why
        else:
            self.curves[name] = fit


def with_sound(reduced: ReducedRun, recording: Recording, prepared: Prepared) -> ReducedRun:
    """Return the run with the curves, the record and the findings of its sound; unchanged where it has none."""
    if "sound" not in recording.channels:
        return reduced
    fit = SoundFit()
    influences: tuple[Influence, ...] = ()
    heard = _heard(reduced, recording, prepared)
    if isinstance(heard, str):
        fit.absent = dict.fromkeys(SOUND_CURVES, heard)
    else:
        fit.findings += heard.findings
        _levels(fit, reduced, heard)
        _tones(fit, reduced, heard)
        influences = sound_influences(reduced, recording, prepared, fit.curves, heard.frames, heard.scale)
    return replace(
        reduced,
        curves={**reduced.curves, **{name: each.curve for name, each in fit.curves.items()}},
        influences=(*reduced.influences, *influences),
        findings=(*reduced.findings, *fit.findings),
        absent={**reduced.absent, **fit.absent},
        sound=fit.sound,
    )


@dataclass(slots=True)
class _Heard:
    """A run's sound made ready."""

    rate: float
    scale: SoundScale
    frames: Frames
    excess: Floats
    background: Background | None
    levels: Levels
    holding: bool
    delay: Delay = _UNTOLD
    blades: int | None = None
    tied: bool = False
    """True where something says how the sound lies beside the log."""
    findings: list[Finding] = field(default_factory=list)
    followed: Followed | None = None
    """Blade passing by the sound alone, where there is no tachometer."""


def _heard(reduced: ReducedRun, recording: Recording, prepared: Prepared) -> _Heard | str:
    wave = waveform_of(recording.channels["sound"])
    if isinstance(wave, str):
        return f"the sound of run {reduced.run} gives no level: {wave}"
    scale, found = scale_of(prepared.job.rig, recording.beside.get("calibrator"))
    way = (scale.distance or 0.0) / SPEED_OF_SOUND
    frames = steady_frames(wave, prepared, delay=way)
    if frames is None:
        return f"the sound of run {reduced.run} covers no steady spell of it"
    background = _background(wave, recording, prepared, frames, way)
    if scale.gain is not None and scale.gain != 1.0:
        square = scale.gain**2
        frames = replace(frames, running=frames.running * square)
        background = None if background is None else background.times(square)
    holding = prepared.job.run.kind == "holds"
    heard = _Heard(wave.rate, scale, frames, excess_of(frames), background, levels_of(frames, background), holding)
    heard.findings += [*found, *check_clipped(wave.values), *check_kicked(wave.values, wave.rate)]
    heard.findings += check_background(~np.isfinite(heard.levels.a), known=background is not None)
    heard.findings += check_reflection(frames.running, frames.step)
    heard.tied = "sound" in recording.alignments
    if reduced.abscissa == "speed":
        _follow(heard, prepared)
    else:
        heard.blades = prepared.job.design.blades
        heard.followed = follow_blades(frames, heard.excess, _propeller(reduced, prepared, frames))
    return heard


def _background(
    wave: Waveform, recording: Recording, prepared: Prepared, frames: Frames, way: float
) -> Background | None:
    """Return the room's own noise: from a recording of it, else from the run's rest."""
    size = round(frames.length * wave.rate)
    room = recording.beside.get("background")
    apart = None if room is None else waveform_of(room)
    if isinstance(apart, Waveform) and abs(apart.rate / wave.rate - 1.0) < _SAME_RATE:
        running = rest_frames(apart, ((apart.start, apart.start + apart.values.size / apart.rate),), size, delay=0.0)
        if running is not None:
            return background_of(running, frames.step, "a recording of the room with nothing running")
    running = rest_frames(wave, prepared.loads.rests, size, delay=way)
    return None if running is None else background_of(running, frames.step, "the run's own rest, motor off")


def _propeller(reduced: ReducedRun, prepared: Prepared, frames: Frames) -> Propeller:
    design = prepared.job.design
    density = reduced.density if reduced.density is not None else reduced.standard_density
    return Propeller(design.blades, design.diameter, float(frames.x.max() ** 2), density)


def _follow(heard: _Heard, prepared: Prepared) -> None:
    """Lay the sound over the tachometer by the blades' own tone."""
    frames = heard.frames
    heard.blades = prepared.job.design.blades or likely_blades(frames, heard.excess, frames.x)
    if heard.blades is None:
        return
    found = find_delay(frames, heard.excess, prepared, heard.blades)
    if found is None:
        return
    heard.delay = found
    heard.findings += check_clock(found.value, found.uncertainty, tied=heard.tied)
    when = frames.time - found.value
    drive, slope = prepared.spells.drive, prepared.spells.slope
    heard.frames = replace(
        frames, x=np.interp(when, prepared.bins.time, drive), slope=np.interp(when, prepared.bins.time, slope)
    )


def _levels(fit: SoundFit, reduced: ReducedRun, heard: _Heard) -> None:
    """Fit levels and loudness over speed."""
    frames, hidden = heard.frames, f"the sound of run {reduced.run} lies less than 3 dB above the background"
    fit.fit("sound-level", frames, level(heard.levels.a), frames.hop, hidden, powers=True)
    fit.fit("c-weighted-level", frames, level(heard.levels.c), frames.hop, hidden, powers=True)
    whole = fit.curves.get("c-weighted-level")
    floor = -np.inf if heard.background is None else float(level(heard.background.c))
    curve = None if whole is None else whole.curve
    fit.findings += check_pumping(curve, floor, over_speed=reduced.abscissa == "speed")
    if heard.scale.by == "none":
        why = f"the sound is not calibrated ({heard.scale.why}): levels hold only against another run"
        fit.absent.update(dict.fromkeys(ABSOLUTE, why))
        fit.curves.clear()
        return
    parts = groups_of(frames, parts=_PARTS, holding=heard.holding)
    loud, sharp = loudness_of(frames, parts, heard.background)
    few = f"the sound of run {reduced.run} covers too few speeds"
    fit.fit("loudness", parts, np.where(loud > 0.0, loud, np.nan), _span(frames, parts), few)
    fit.fit("sharpness", parts, sharp, _span(frames, parts), few)


def _tones(fit: SoundFit, reduced: ReducedRun, heard: _Heard) -> None:
    """Follow blade passing, fit what tones give, and put the record together."""
    frames = heard.frames
    groups = groups_of(frames, holding=heard.holding)
    spectrum = spectrum_of(reduced, frames, groups, heard.levels, heard.background)
    passing: Passing | None = None
    why = _why_no_tones(reduced, heard)
    tones = None
    if why is None:
        frequency, sweep = _blade_passing(heard)
        tones = tones_of(frames, frequency, sweep, heard.blades or 1)
        passing = passing_of(
            tones, groups, heard.levels, blades=heard.blades, delay=heard.delay, followed=heard.followed
        )
        _tone_curves(fit, tones, heard)
    else:
        for name in ("blade-passing-level", "tonal-balance", "tone-to-noise-ratio", "prominence-ratio"):
            fit.absent.setdefault(name, why)
    characters = characters_of(reduced, frames, groups, tones, heard.background, heard.scale, holding=heard.holding)
    fit.sound = Sound(
        rate=heard.rate,
        frame=frames.length,
        scale=heard.scale,
        spectrum=spectrum,
        passing=passing,
        without_passing=why,
        characters=characters,
        map=map_of(frames, groups),
        rise=rise_of(frames),
    )


def _blade_passing(heard: _Heard) -> tuple[Floats, Floats]:
    """Return blade passing over the frames [Hz] and its change [Hz/s]."""
    frames = heard.frames
    if heard.followed is not None:
        return heard.followed.frequency, heard.followed.frequency * frames.slope / np.maximum(frames.x, 1e-9)
    assert heard.blades is not None
    turn = heard.blades / (2.0 * np.pi)
    return frames.x * turn, frames.slope * turn


def _why_no_tones(reduced: ReducedRun, heard: _Heard) -> str | None:
    if heard.followed is not None:
        return None
    if reduced.abscissa != "speed":
        return f"run {reduced.run} has no speed channel, and its sound shows no tone that could be followed"
    if heard.blades is None:
        return f"no blade count is stated for {reduced.design}, and the sound of run {reduced.run} shows none"
    return None


def _tone_curves(fit: SoundFit, tones: Tones, heard: _Heard) -> None:
    frames = heard.frames
    parts = groups_of(frames, parts=_PARTS, holding=heard.holding)
    hop, few = _span(frames, parts), "no tone of the blades stands out of the noise at enough speeds"
    with np.errstate(divide="ignore", invalid="ignore"):
        power, noise = parts.mean(tones.passing[:, 0]), parts.mean(tones.noise[:, 0])
        first = level(np.where(power > 0.2 * noise, power, np.nan))
        tonal, whole = parts.mean(tones.tonal), parts.mean(heard.levels.a)
        balance = 10.0 * np.log10(np.where((tonal > 0.0) & (whole > tonal), tonal / (whole - tonal), np.nan))
    if heard.scale.by != "none":
        fit.fit("blade-passing-level", parts, first, hop, few)
    fit.fit("tonal-balance", parts, balance, hop, few)
    found = prominence_of(frames, tones, parts)
    fit.fit("tone-to-noise-ratio", parts, found.ratio, hop, few)
    fit.fit("prominence-ratio", parts, found.prominence, hop, few)


def _span(frames: Frames, groups: Groups) -> float:
    """Time from one group to the next [s]."""
    return frames.hop * float(groups.count.mean())
