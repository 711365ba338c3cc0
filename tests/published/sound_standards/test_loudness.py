"""Loudness of ISO 532-1 and sharpness of DIN 45692, against the standards' reference values."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.loudness import filter_sums, sharpness, stationary_loudness
from support.validation import Printed

ISO = "ISO 532-1:2017, Annex B"
DIN = "DIN 45692:2009, clause 6"

ANNEX_B2 = (
    *(-60, -60, 78, 79, 89, 72, 80, 89, 75, 87, 85, 79, 86, 80),
    *(71, 70, 72, 71, 72, 74, 69, 65, 67, 77, 68, 58, 45, 30),
)
BARK = (
    *(200, 300, 400, 510, 630, 770, 920, 1080, 1270, 1480, 1720, 2000, 2320, 2700, 3150, 3700, 4400, 5300),
    *(6400, 7700, 9500, 12000),
)
NARROW = (
    *("0.38", "0.49", "0.60", "0.71", "0.82", "0.93", "1.00", "1.13", "1.26", "1.35", "1.49", "1.64", "1.78"),
    *("2.06", "2.40", "2.82", "3.48", "4.43", "5.52", "6.81", "8.55"),
)
# the bands of the reference sounds are those of the critical bands about the printed centres, from 250 Hz up


def _levels(frequency: np.ndarray, total: float) -> np.ndarray:
    power = np.full(frequency.size, 10.0 ** (0.1 * total) / frequency.size)
    return 10.0 * np.log10(power @ filter_sums(frequency) + 1e-12)


def test_loudness_of_the_spectrum_in_the_annex(printed: Printed) -> None:
    ours = stationary_loudness(np.array(ANNEX_B2, dtype=float)).total
    printed(ours, "83.296", source=ISO, what="loudness of signal 1 [sone]", absolute=0.005)


@pytest.mark.parametrize(
    ("frequency", "total", "text"),
    [(250.0, 80.0, "14.655"), (1000.0, 60.0, "4.019"), (4000.0, 40.0, "1.549"), (1000.0, 40.0, "1.000")],
)
def test_loudness_of_tones(printed: Printed, frequency: float, total: float, text: str) -> None:
    ours = stationary_loudness(_levels(np.array([frequency]), total)).total
    what = f"loudness of {frequency:.0f} Hz at {total:.0f} dB [sone]"
    printed(ours, text, source=ISO, what=what, relative=0.05)
    assert ours == pytest.approx(float(text), rel=0.012), "well inside what the standard allows (clause 5.1)"


@pytest.mark.parametrize(("low", "high", "text"), list(zip(BARK[:-1], BARK[1:], NARROW, strict=True)))
def test_sharpness_of_narrow_noise(printed: Printed, low: int, high: int, text: str) -> None:
    ours = sharpness(stationary_loudness(_levels(np.arange(low, high) + 0.5, 60.0)))
    tolerance = max(0.05 * float(text), 0.05)
    printed(ours, text, source=DIN, what=f"noise of {low} to {high} Hz, 60 dB [acum]", absolute=tolerance)


def test_silence_has_no_loudness_and_no_sharpness() -> None:
    nothing = stationary_loudness(np.full(28, -np.inf))
    assert nothing.total == 0.0
    assert np.isnan(sharpness(nothing))


def test_loudness_doubles_with_ten_decibel() -> None:
    low, high = (stationary_loudness(_levels(np.array([1000.0]), total)).total for total in (60.0, 70.0))
    assert high / low == pytest.approx(2.0, rel=0.03)


def test_a_diffuse_field_is_another() -> None:
    levels = np.full(28, 50.0)
    assert stationary_loudness(levels, diffuse=True).total != stationary_loudness(levels).total


def test_too_few_levels_are_refused() -> None:
    with pytest.raises(ValueError, match="28"):
        stationary_loudness([60.0])
