"""Blade passing in other people's recordings of sound, followed without a log."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from isothrust.reduction.sounding.blades import Propeller, follow_blades
from isothrust.reduction.sounding.following import excess_of, likely_blades
from isothrust.reduction.sounding.frames import Waveform, whole_frames
from support.field import FIELD, needs_field

CLIPS = "phone-audio-throttle"
# turns a second as the comb of the shaft's orders shows them, read off long spectra by hand to a hertz; two blades
TURNS = {"30pct_000": 61.5, "30pct_004": 61.5, "50pct_000": 96.0, "50pct_004": 96.0}


def waveform(clip: str) -> Waveform:
    values, rate = soundfile.read(FIELD / CLIPS / f"motor_m1_prop_{clip}.wav", always_2d=True)
    return Waveform(0.0, float(rate), values[:, 0])


@needs_field
@pytest.mark.parametrize("clip", sorted(TURNS))
def test_blade_passing_is_among_the_candidates_of_a_phone_clip(clip: str) -> None:
    frames = whole_frames(waveform(clip))
    found = follow_blades(frames, excess_of(frames), Propeller(2, None, None, 1.2))
    assert found is not None
    passing = 2.0 * TURNS[clip]
    nearest = min(abs(each.frequency / passing - 1.0) for each in found.candidates)
    assert nearest < 0.03


@needs_field
@pytest.mark.parametrize("clip", sorted(TURNS))
def test_two_blades_are_told_where_the_speed_is_known(clip: str) -> None:
    frames = whole_frames(waveform(clip))
    speed = np.full(frames.time.size, 2.0 * np.pi * TURNS[clip])
    assert likely_blades(frames, excess_of(frames), speed) == 2
