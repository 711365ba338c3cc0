"""Densities against Parseval, closed forms and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from isothrust.science.spectra import (
    band_mean_square,
    frame_spectra,
    hann_window,
    noise_freedom,
    welch_density,
)

RATE = 25_600.0


def noise(sd: float, seconds: float, seed: int = 1) -> np.ndarray:
    return sd * np.random.default_rng(seed).standard_normal(int(RATE * seconds))


@pytest.mark.parametrize("length", [1000, 1024, 8192, 1001])
def test_density_is_what_scipy_makes_of_the_same_samples(length: int) -> None:
    values = noise(3.0, 2.0) + 9.81 + np.linspace(0.0, 2.0, int(RATE * 2.0))
    expected = signal.welch(
        values, RATE, "hann", nperseg=length, noverlap=length - max(1, length // 2), detrend="linear"
    )
    frequency, density = welch_density(values, RATE, length=length)
    np.testing.assert_allclose(frequency, expected[0], rtol=1e-12)
    np.testing.assert_allclose(density[2:], expected[1][2:], rtol=1e-9)


def test_sum_of_the_density_is_the_mean_square_of_noise() -> None:
    values = noise(3.0, 20.0)
    frequency, density = welch_density(values, RATE, length=4096)
    rms = float(band_mean_square(frequency, density, 0.0, RATE / 2.0)) ** 0.5
    assert rms == pytest.approx(float(np.sqrt(np.mean(values**2))), rel=5e-3)


def test_one_frame_keeps_parseval_to_rounding() -> None:
    values = noise(1.0, 0.1)
    length = values.size
    spectra = frame_spectra(values, RATE, [0], length)
    place = np.arange(length) - 0.5 * (length - 1)
    line = np.polyfit(place, values, 1)
    weight = hann_window(length)
    expected = float(np.sum(((values - np.polyval(line, place)) * weight) ** 2) / np.sum(weight**2))
    assert float(spectra.density.sum()) * spectra.resolution == pytest.approx(expected, rel=1e-12)


def test_a_tone_in_its_band_has_its_own_rms() -> None:
    time = np.arange(int(10 * RATE)) / RATE
    frequency, density = welch_density(5.0 * np.sin(2.0 * np.pi * 1000.0 * time), RATE, length=8192)
    assert float(band_mean_square(frequency, density, 980.0, 1020.0)) ** 0.5 == pytest.approx(5.0 / 2**0.5, rel=1e-6)


def test_gravity_and_a_slow_drift_leave_nothing_in_the_band() -> None:
    time = np.arange(int(4 * RATE)) / RATE
    frequency, density = welch_density(9.81 + 0.5 * time, RATE, length=5120)
    assert float(band_mean_square(frequency, density, 5.0, 2000.0)) < 1e-18


def test_hann_window_has_its_published_constants() -> None:
    window = hann_window(4096)
    assert window.mean() == pytest.approx(0.5, rel=1e-12)
    assert window.size * np.sum(window**2) / np.sum(window) ** 2 == pytest.approx(1.5, rel=1e-9)


def test_freedom_tells_how_much_a_mean_square_of_band_noise_scatters() -> None:
    random = np.random.default_rng(5)
    sos = signal.butter(6, [300.0, 800.0], "bandpass", fs=8000.0, output="sos")
    runs = signal.sosfilt(sos, random.standard_normal((400, 8000)), axis=1)[:, 4000:]
    squares = np.mean(runs**2, axis=1)
    frequency, density = welch_density(runs[0], 8000.0, length=1000)
    density = np.mean([welch_density(run, 8000.0, length=1000)[1] for run in runs], axis=0)
    freedom = float(noise_freedom(frequency, density, 5.0, 3200.0, 0.5))
    assert float(np.std(squares) / np.mean(squares)) == pytest.approx((2.0 / freedom) ** 0.5, rel=0.12)
