"""Tone-to-noise and prominence ratio of ECMA-418-1, against its formulas and a closed form."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.sound import running_power
from isothrust.science.tonality import (
    critical_band,
    critical_bandwidth,
    prominence_criterion,
    prominence_ratio,
    tone_and_noise,
    tone_to_noise_criterion,
)
from support.validation import Printed

ECMA = "ECMA-418-1, critical band and criteria, read in another program's source"
CLOSED = "closed form: tone 60 dB in white noise 60 dB over 0-24 kHz"


@pytest.mark.parametrize(
    ("frequency", "text"),
    [(100, "100.72"), (250, "104.47"), (500, "117.26"), (1000, "162.22"), (2000, "300.77"), (4000, "685.42")],
)
def test_width_of_the_critical_band(printed: Printed, frequency: int, text: str) -> None:
    ours = float(critical_bandwidth(frequency))
    printed(ours, text, source=ECMA, what=f"critical band at {frequency} Hz [Hz]", absolute=0.01)


def test_edges_of_the_critical_band(printed: Printed) -> None:
    low, high = critical_band(1000.0)
    printed(float(low), "922.2", source=ECMA, what="lower edge of the critical band at 1 kHz [Hz]")
    printed(float(high), "1084.4", source=ECMA, what="upper edge of the critical band at 1 kHz [Hz]")


@pytest.mark.parametrize(
    ("frequency", "ratio", "prominence"),
    [(1000, "8.00", "9.00"), (500, "10.51", "12.01"), (250, "13.02", "15.02"), (100, "16.33", "19.00")],
)
def test_criteria(printed: Printed, frequency: int, ratio: str, prominence: str) -> None:
    at = f"at {frequency} Hz [dB]"
    ours = float(tone_to_noise_criterion(frequency))
    printed(ours, ratio, source=ECMA, what=f"tone-to-noise {at}", absolute=0.01)
    printed(float(prominence_criterion(frequency)), prominence, source=ECMA, what=f"prominence {at}", absolute=0.01)


@pytest.mark.parametrize(
    ("frequency", "text"), [(250, "23.61"), (500, "23.11"), (1000, "21.70"), (2000, "19.02"), (4000, "15.44")]
)
def test_tone_in_white_noise(printed: Printed, frequency: int, text: str) -> None:
    spectrum, step = _welch(_tone_in_noise(frequency))
    running = running_power(spectrum[None, :])
    tone, noise = tone_and_noise(running, step, [frequency], [2.0 * step])
    ours = float(10.0 * np.log10(tone / noise)[0])
    printed(ours, text, source=CLOSED, what=f"tone-to-noise ratio at {frequency} Hz [dB]", absolute=0.5)
    # the prominence ratio is a second witness: with so strong a tone both say nearly the same
    assert abs(prominence_ratio(running, step, [frequency])[0] - float(text)) < 0.5


def test_a_second_tone_in_the_band_is_no_noise() -> None:
    spectrum, step = _welch(_tone_in_noise(1000))
    both = running_power((spectrum + np.roll(spectrum, 15) * 0.3)[None, :])
    alone, noise = tone_and_noise(both, step, [1000.0], [2.0 * step], [[1000.0 + 15 * step]])
    _, more = tone_and_noise(both, step, [1000.0], [2.0 * step])
    assert 10.0 * np.log10(alone / noise)[0] == pytest.approx(21.70 - 10 * np.log10(1.3), abs=0.5)
    assert more[0] > 10.0 * noise[0]


def _tone_in_noise(frequency: int) -> np.ndarray:
    rate, random = 48000, np.random.default_rng(frequency)
    time = np.arange(20 * rate) / rate
    rms = 20e-6 * 10.0**3
    return rms * (np.sqrt(2.0) * np.sin(2 * np.pi * frequency * time) + random.standard_normal(time.size))


def _welch(values: np.ndarray) -> tuple[np.ndarray, float]:
    rate, length = 48000, 24000
    window = np.hanning(length + 1)[:-1]
    frames = np.lib.stride_tricks.sliding_window_view(values, length)[:: length // 2]
    lines = np.abs(np.fft.rfft(frames * window, axis=1)) ** 2
    return 2.0 * lines.mean(axis=0) / (window @ window * length), rate / length
