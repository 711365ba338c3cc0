"""Power spectral densities over frames, the mean square in a band, and how well noise lets it be known."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["FrameSpectra", "band_mean_square", "frame_spectra", "hann_window", "noise_freedom", "welch_density"]


@dataclass(frozen=True, slots=True)
class FrameSpectra:
    """One-sided densities of frames of equal length."""

    frequency: Floats
    """(k,) [Hz]"""
    density: Floats
    """(frames, k) [unit of the values squared per Hz]"""
    starts: NDArray[np.intp]
    """First sample of each frame (frames,)."""
    length: int
    """Samples a frame."""

    @property
    def resolution(self) -> float:
        """Distance of the frequencies [Hz]."""
        return float(self.frequency[1])


def hann_window(length: int) -> Floats:
    """Return the periodic Hann window.

    Parameters
    ----------
    length
        Number of samples [1].

    Returns
    -------
    ndarray
        (length,) [1].

    Source
    ------
    [Harris1978], table I: coherent gain 0.5, equivalent noise bandwidth 1.5 bins.

    Examples
    --------
    >>> hann_window(4).tolist()
    [0.0, 0.5, 1.0, 0.5]
    """
    return np.asarray(0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length))


def frame_spectra(values: ArrayLike, rate: float, starts: ArrayLike, length: int) -> FrameSpectra:
    """Return the one-sided power spectral density of each frame, its mean and straight trend taken out.

    Parameters
    ----------
    values
        Samples (n,) [any].
    rate
        Samples a second [Hz].
    starts
        First sample of each frame (m,) [1].
    length
        Samples a frame [1].

    Returns
    -------
    FrameSpectra
        Density (m, length // 2 + 1) [unit of the values squared per Hz]; its sum times the resolution is the mean of
        the squares, weighted with the square of the Hann window.

    Source
    ------
    [Welch1967]; one-sided scaling and Parseval's theorem.
    """
    samples = floats(values)
    first = np.asarray(starts, dtype=np.intp)
    window = hann_window(length)
    frames = sliding_window_view(samples, length)[first]
    place = np.arange(length) - 0.5 * (length - 1)
    slope = (frames @ place) / float(place @ place)
    frames = (frames - frames.mean(axis=1, keepdims=True) - slope[:, None] * place) * window
    spectrum = np.fft.rfft(frames, axis=1)
    density = (spectrum.real**2 + spectrum.imag**2) * (2.0 / (rate * float(window @ window)))
    density[:, 0] *= 0.5
    if length % 2 == 0:
        density[:, -1] *= 0.5
    return FrameSpectra(np.asarray(np.fft.rfftfreq(length, 1.0 / rate), dtype=np.float64), density, first, length)


def welch_density(values: ArrayLike, rate: float, *, length: int) -> tuple[Floats, Floats]:
    """Return the density averaged over frames that overlap by half.

    Parameters
    ----------
    values
        Samples (n,) [any].
    rate
        Samples a second [Hz].
    length
        Samples a frame, at most n [1].

    Returns
    -------
    tuple of ndarray
        Frequency [Hz] and one-sided density [unit of the values squared per Hz], both (length // 2 + 1,).

    Source
    ------
    [Welch1967].
    """
    samples = floats(values)
    starts = np.arange(0, samples.size - length + 1, max(1, length // 2))
    spectra = frame_spectra(samples, rate, starts, length)
    return spectra.frequency, spectra.density.mean(axis=0)


def band_mean_square(frequency: ArrayLike, density: ArrayLike, low: float, high: float) -> Floats:
    """Return the mean square between two frequencies.

    Parameters
    ----------
    frequency
        Evenly spaced from 0 (k,) [Hz].
    density
        One-sided (…, k) [unit squared per Hz].
    low, high
        Ends of the band; the lines that lie on them belong to it [Hz].

    Returns
    -------
    ndarray
        Mean square (…) [unit squared].

    Source
    ------
    Parseval's theorem.

    Examples
    --------
    A density of 0.01 between 20 and 2000 Hz has a mean square of 19.8:

    >>> line = np.arange(0.0, 4001.0)
    >>> flat = np.where((line > 20.0) & (line <= 2000.0), 0.01, 0.0)
    >>> round(float(band_mean_square(line, flat, 20.0, 2000.0)), 6)
    19.8
    """
    line, over = floats(frequency), floats(density)
    inside = (line >= low - 1e-9 * high) & (line <= high * (1.0 + 1e-9))
    return np.asarray(over[..., inside].sum(axis=-1) * line[1])


def noise_freedom(frequency: ArrayLike, density: ArrayLike, low: float, high: float, duration: float) -> Floats:
    """Return the degrees of freedom of the mean square of Gaussian noise in a band.

    Parameters
    ----------
    frequency
        Evenly spaced from 0 (k,) [Hz].
    density
        One-sided, averaged (…, k) [unit squared per Hz].
    low, high
        Ends of the band [Hz].
    duration
        Over which the mean is taken [s].

    Returns
    -------
    ndarray
        2 B T with the statistical bandwidth B = (∫S df)^2/∫S^2 df (…) [1].

    Source
    ------
    [BendatPiersol2010], section 8.3 (mean square of bandwidth-limited noise).

    Examples
    --------
    >>> line = np.arange(0.0, 1001.0)
    >>> round(float(noise_freedom(line, np.ones(1001), 1.0, 500.0, 2.0)))
    2000
    """
    line, over = floats(frequency), floats(density)
    inside = (line >= low) & (line <= high)
    whole = over[..., inside].sum(axis=-1)
    square = (over[..., inside] ** 2).sum(axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(2.0 * duration * line[1] * whole**2 / square)
