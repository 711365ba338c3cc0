"""Frequency weighting of IEC 61672-1, bands of IEC 61260-1, and level arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.loudness import LOUDNESS_BANDS, filter_sums
from isothrust.science.sound import (
    BAND_CENTRES,
    a_weighting,
    band_edges,
    blade_passing_frequency,
    c_weighting,
    level,
    level_at_distance,
    power_between,
    running_power,
    sound_power_level,
    without_background,
)
from support.validation import Printed

IEC61672 = "IEC 61672-1:2013, Table 3"
IEC61260 = "IEC 61260-1:2014, clause 5"

A = (
    *("-70.4", "-63.4", "-56.7", "-50.5", "-44.7", "-39.4", "-34.6", "-30.2", "-26.2", "-22.5", "-19.1", "-16.1"),
    *("-13.4", "-10.9", "-8.6", "-6.6", "-4.8", "-3.2", "-1.9", "-0.8", "0.0", "0.6", "1.0", "1.2", "1.3", "1.2"),
    *("1.0", "0.5", "-0.1", "-1.1", "-2.5", "-4.3", "-6.6", "-9.3"),
)
C = (
    *("-14.3", "-11.2", "-8.5", "-6.2", "-4.4", "-3.0", "-2.0", "-1.3", "-0.8", "-0.5", "-0.3", "-0.2"),
    *("-0.1", "0.0", "0.0", "0.0", "0.0", "0.0", "0.0", "0.0", "0.0", "0.0", "-0.1", "-0.2", "-0.3", "-0.5"),
    *("-0.8", "-1.3", "-2.0", "-3.0", "-4.4", "-6.2", "-8.5", "-11.2"),
)


@pytest.mark.parametrize("place", range(34))
def test_weighting_at_every_frequency_of_the_table(printed: Printed, place: int) -> None:
    # 0.05 dB is half the last printed digit; the pole frequencies carry rounding of their own in the next one
    frequency = 1000.0 * 10.0 ** (0.1 * (place - 20))
    for name, ours, table in (("A", a_weighting, A), ("C", c_weighting, C)):
        text = table[place]
        if abs(float(text)) > 0.06:
            printed(
                float(ours(frequency)), text, source=IEC61672, what=f"{name} at {frequency:.0f} Hz [dB]", absolute=0.051
            )
        else:
            assert abs(float(ours(frequency)) - float(text)) <= 0.051


def test_weighting_is_nothing_at_1_khz() -> None:
    assert abs(float(a_weighting(1000.0))) < 0.001
    assert abs(float(c_weighting(1000.0))) < 0.001


def test_edges_of_bands(printed: Printed) -> None:
    low, high = band_edges([-10, 0])
    for ours, text, what in (
        (low[0], "89.1251", "lower edge at 100 Hz [Hz]"),
        (high[0], "112.2018", "upper edge at 100 Hz [Hz]"),
        (low[1], "891.2509", "lower edge at 1 kHz [Hz]"),
        (high[1], "1122.0185", "upper edge at 1 kHz [Hz]"),
        (BAND_CENTRES[20], "1995.2623", "middle of the band at 2 kHz [Hz]"),
    ):
        printed(float(ours), text, source=IEC61260, what=what)


@pytest.mark.parametrize(
    ("ratio", "least", "most"),
    [
        (0.0, -0.4, 0.4),
        (0.125, -0.4, 0.5),
        (0.25, -0.4, 0.7),
        (0.375, -0.4, 1.4),
        (1.0, 16.6, np.inf),
        (2.0, 40.5, np.inf),
        (3.0, 60.0, np.inf),
    ],
)
def test_filters_of_loudness_stay_inside_the_limits_of_class_1(ratio: float, least: float, most: float) -> None:
    # IEC 61260-1:2014 Table 1 and eq. (9): breakpoints of an octave, drawn together for a third of one
    octave = 10.0 ** (0.3 * ratio)
    third = 1.0 + (10.0**0.05 - 1.0) / (10.0**0.15 - 1.0) * (octave - 1.0)
    band = LOUDNESS_BANDS.index(0)
    for frequency in (1000.0 * third, 1000.0 / third):
        attenuation = -10.0 * np.log10(float(filter_sums([frequency])[0, band]))
        assert least <= attenuation <= most


def test_bands_of_a_spectrum_hold_all_of_its_power_and_nothing_twice() -> None:
    lines = np.arange(0.0, 24000.0, 10.0)
    low, high = band_edges(np.arange(-10, 13))
    power = np.random.default_rng(5).exponential(size=lines.size)
    running = running_power(power)
    bands = power_between(running, 10.0, low, high)
    inside = power_between(running, 10.0, low[:1], high[-1:])
    assert bands.sum() == pytest.approx(inside[0], rel=1e-12)


def test_levels_add_by_power(printed: Printed) -> None:
    source = "arithmetic of levels, p0 = 20 uPa (ISO 1683)"
    sixty, fifty = 10.0**6, 10.0**5
    unit = 20e-6**2
    printed(float(level(2 * sixty * unit)), "63.0103", source=source, what="60 dB + 60 dB [dB]")
    printed(float(level((sixty + fifty) * unit)), "60.4139", source=source, what="60 dB + 50 dB [dB]")
    printed(float(level(1.0)), "93.9794", source=source, what="1 Pa [dB]")


@pytest.mark.parametrize(("above", "text"), [(6.0, "1.2563"), (10.0, "0.4576"), (15.0, "0.1396"), (20.0, "0.0436")])
def test_background_is_taken_out_by_power(printed: Printed, above: float, text: str) -> None:
    total = 10.0 ** (0.1 * above)
    ours = above - 10.0 * np.log10(float(without_background(total, 1.0)))
    printed(ours, text, source="ISO 3744:2010, K1", what=f"background {above:.0f} dB below [dB]")


def test_nothing_is_said_less_than_three_decibel_above_the_background() -> None:
    assert np.isnan(float(without_background(10.0**0.299, 1.0)))
    assert np.isfinite(float(without_background(10.0**0.301, 1.0)))


def test_distance_and_sound_power(printed: Printed) -> None:
    source = "ISO 3744:2010, free field"
    printed(float(-level_at_distance(0.0, 1.0, 2.0)), "6.0206", source=source, what="1 m to 2 m [dB]")
    printed(float(sound_power_level(0.0, 1.0, hemisphere=False)), "10.9921", source=source, what="Lw - Lp, sphere [dB]")
    printed(float(sound_power_level(0.0, 1.0, hemisphere=True)), "7.9818", source=source, what="Lw - Lp, half [dB]")


@pytest.mark.parametrize(("blades", "rpm", "text"), [(2, 20000, "666.667"), (3, 20000, "1000.0"), (2, 6528, "217.6")])
def test_blade_passing_frequency(printed: Printed, blades: int, rpm: int, text: str) -> None:
    ours = float(blade_passing_frequency(rpm * 2 * np.pi / 60, blades))
    printed(ours, text, source="definition, B rpm/60", what=f"{blades} blades at {rpm} rpm [Hz]")
