"""What one run's sound is made of: its scale, levels and bands against speed, tones at their orders, character."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from isothrust.records.recording import Floats

__all__ = ["BroadbandRise", "Candidate", "Character", "Passing", "Sound", "SoundMap", "SoundScale", "SoundSpectrum"]


@dataclass(frozen=True, slots=True)
class SoundScale:
    """What makes levels of a recording."""

    by: Literal["calibrator", "sensitivity", "none"]
    """'none': levels are of the recorder's full scale, and mean something only against another run of the same gain."""
    u_level: float | None
    """Standard uncertainty of every level [dB]; None where nobody stated one."""
    why: str
    """In words: which recording or which stated sensitivity."""
    distance: float | None = None
    """Of the microphone [m]; None where not stated."""
    gain: float | None = None
    """Pressure for what the rig's own scale calls 1 Pa [1]: what a calibrator put right."""


@dataclass(frozen=True, slots=True)
class SoundSpectrum:
    """Levels over the run's steady speeds, the background taken out; NaN where it hides what was asked for."""

    x: Floats
    """Speed [rad/s], or root of thrust [N^0.5] without a speed channel (m,), rising."""
    thrust: Floats
    """(m,) [N] in the air of the day; NaN where the run has no thrust."""
    seconds: Floats
    """Of recording behind each (m,)."""
    a_level: Floats
    """(m,) [dB]"""
    c_level: Floats
    """(m,) [dB]"""
    centres: Floats
    """Mid-band frequencies of the one-third octave bands (b,) [Hz]."""
    bands: Floats
    """(m, b) [dB]; NaN too where a band is narrower than the recording resolves."""
    background: Floats
    """Of the bands (b,) [dB]; NaN where nothing was recorded with the motor off."""
    background_a: float | None
    """[dB]"""
    background_from: str
    """Where the background was recorded, or why there is none."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """What the blade-passing frequency at the top of the run may be, where only the sound tells it."""

    frequency: float
    """[Hz]"""
    chosen: bool
    evidence: str
    """What speaks for it, what against."""


@dataclass(frozen=True, slots=True)
class Passing:
    """Blade passing and its harmonics against speed."""

    origin: Literal["tachometer", "sound"]
    blades: int | None
    frequency: Floats
    """(m,) [Hz], at the x of the spectrum."""
    levels: Floats
    """(m, harmonics) [dB]; NaN where the tone does not stand out of the noise."""
    tonal: Floats
    """All tones at orders of the shaft, weighted A (m,) [dB]."""
    broadband: Floats
    """What is left without them, weighted A (m,) [dB]."""
    delay: float
    """By how much the sound lies behind the tachometer [s]; 0 where the sound itself is followed."""
    u_delay: float
    """Standard uncertainty [s]."""
    candidates: tuple[Candidate, ...] = ()


@dataclass(frozen=True, slots=True)
class Character:
    """What a sound is like at one speed."""

    origin: Literal["hold", "ramp"]
    """From a hold of 3 s or more, or in the order domain from the passage of a ramp."""
    x: float
    """Speed [rad/s], or root of thrust [N^0.5]."""
    thrust: float | None
    """[N] in the air of the day."""
    seconds: float
    tone_to_noise: float | None
    """[dB], of the tone that stands out most."""
    prominence: float | None
    """[dB], of the tone that stands out most."""
    tone: float | None
    """Frequency of the tone that stands out most [Hz]."""
    prominent: bool
    """True where that tone is beyond the criterion of one of the two."""
    loudness: float | None
    """[sone]; None without a calibration."""
    sharpness: float | None
    """[acum]; None without a calibration."""


@dataclass(frozen=True, slots=True)
class BroadbandRise:
    """Where the rush of the air begins to grow faster than it did: what the sound has to say of flutter."""

    onset: float | None
    """Speed [rad/s], or root of thrust [N^0.5]; None where it does not."""
    u_onset: float | None
    """Standard uncertainty, same unit."""
    rise: float | None
    """At the top, over what the growth below leads to [dB]."""
    why: str
    """In words: what was heard, or why nothing can be said."""


@dataclass(frozen=True, slots=True)
class SoundMap:
    """Narrow-band density against thrust or speed: what a spectrogram is drawn from."""

    x: Floats
    """(m,) as in the spectrum."""
    frequency: Floats
    """(k,) [Hz]"""
    level: Floats
    """(m, k) [dB per Hz]"""


@dataclass(frozen=True, slots=True)
class Sound:
    """One run's sound; its levels against speed stand among the curves too."""

    rate: float
    """Samples a second [Hz]."""
    frame: float
    """Length of the frames that powers are taken over [s]."""
    scale: SoundScale
    spectrum: SoundSpectrum
    passing: Passing | None = None
    without_passing: str | None = None
    """Why blade passing could not be followed."""
    characters: tuple[Character, ...] = ()
    map: SoundMap | None = None
    rise: BroadbandRise | None = None
