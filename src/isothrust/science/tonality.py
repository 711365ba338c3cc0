"""How far a tone stands out: tone-to-noise ratio and prominence ratio about a known frequency.

The frequency is given, so that a tone of a propeller is judged at its order; the procedure of the standard looks for
the greatest line first, and then does the same.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats
from isothrust.science.sound import band_sums

__all__ = [
    "critical_band",
    "critical_bandwidth",
    "prominence_criterion",
    "prominence_ratio",
    "tone_and_noise",
    "tone_to_noise_criterion",
]

_ARITHMETIC = 500.0
"""Up to here the band lies evenly about the tone, above it in proportion [Hz]."""


def critical_bandwidth(frequency: ArrayLike) -> Floats:
    """Return the width of the critical band about a frequency.

    Parameters
    ----------
    frequency
        Any shape [Hz].

    Returns
    -------
    numpy.ndarray
        Same shape [Hz].

    Source
    ------
    [ECMA418], clause 10.

    Examples
    --------
    >>> f"{critical_bandwidth(1000.0):.2f}"
    '162.22'
    """
    return floats(25.0 + 75.0 * (1.0 + 1.4 * (floats(frequency) / 1000.0) ** 2) ** 0.69)


def critical_band(frequency: ArrayLike) -> tuple[Floats, Floats]:
    """Return the edges of the critical band about a frequency.

    Parameters
    ----------
    frequency
        Any shape [Hz].

    Returns
    -------
    tuple of numpy.ndarray
        Lower and upper edge [Hz].

    Source
    ------
    [ECMA418], clause 10: even about the frequency up to 500 Hz, f1 f2 = f^2 above.

    Examples
    --------
    >>> [f"{edge:.1f}" for edge in critical_band(1000.0)]
    ['922.2', '1084.4']
    """
    f = floats(frequency)
    width = critical_bandwidth(f)
    low = np.where(f <= _ARITHMETIC, f - 0.5 * width, 0.5 * (np.sqrt(width**2 + 4.0 * f**2) - width))
    return floats(low), floats(low + width)


def _band_below(frequency: Floats) -> Floats:
    """Lower edge of the critical band that ends where the tone's begins [Hz]: [ECMA418], clause 12."""
    middle = -149.5 + 1.001 * frequency - 6.90e-5 * frequency**2
    high = 6.8 + 0.806 * frequency - 8.20e-6 * frequency**2
    return np.where(frequency <= 171.4, 20.0, np.where(frequency <= 1600.0, middle, high))


def _band_above(frequency: Floats) -> Floats:
    """Upper edge of the critical band that begins where the tone's ends [Hz]: [ECMA418], clause 12."""
    low = 149.5 + 1.035 * frequency + 7.70e-5 * frequency**2
    high = 3.3 + 1.215 * frequency + 2.16e-5 * frequency**2
    return np.where(frequency <= 1600.0, low, high)


def tone_and_noise(
    power: ArrayLike, step: float, frequency: float, half_width: float, others: ArrayLike = ()
) -> tuple[float, float]:
    """Return the power of a tone and of the noise in the critical band about it.

    Parameters
    ----------
    power
        Power of each line at even steps from 0 (n,) [any].
    step
        Between lines [Hz].
    frequency
        Of the tone [Hz].
    half_width
        How far to each side the tone's own lines reach: what the window and a sweep make of it [Hz].
    others
        Frequencies of further tones (k,) [Hz], of the same half width: they are no noise either.

    Returns
    -------
    tuple of float
        Tone and noise [unit of power]: what lies in the band without the tones, scaled up to the whole band, and the
        tone without the noise below it. NaN where tones leave less than a tenth of the band.

    Source
    ------
    [ECMA418], clause 11: Wn = (Wtot - Wt) dfc/(dftot - dft), and the noise below the tone taken out.

    Examples
    --------
    >>> noise = np.ones(2000)
    >>> noise[1000] += 99.0
    >>> tone, floor = tone_and_noise(noise, 1.0, 1000.0, 2.0)
    >>> f"{tone:.1f} {floor:.1f}"
    '99.0 162.2'
    """
    lines = floats(power)
    scale = np.arange(lines.size) * step
    low, high = critical_band(frequency)
    band = band_sums(scale, [low], [high])[:, 0]
    own = band_sums(scale, [frequency - half_width], [frequency + half_width])[:, 0]
    kept = band * (1.0 - own)
    for other in floats(others).ravel():
        kept = kept * (1.0 - band_sums(scale, [other - half_width], [other + half_width])[:, 0])
    width = float(kept.sum()) * step
    whole = float(high - low)
    if width < 0.1 * whole:
        return float("nan"), float("nan")
    density = float(lines @ kept) / width
    tone = float(lines @ own) - density * float(own.sum()) * step
    return max(tone, 0.0), density * whole


def prominence_ratio(power: ArrayLike, step: float, frequency: float) -> float:
    """Return how far the critical band about a tone stands above its two neighbours.

    Parameters
    ----------
    power
        Power of each line at even steps from 0 (n,) [any].
    step
        Between lines [Hz].
    frequency
        Of the tone, 89.1 Hz to 11.2 kHz [Hz].

    Returns
    -------
    float
        [dB]; NaN outside that range.

    Source
    ------
    [ECMA418], clause 12, with its scaling of the lower band where 20 Hz cuts it (below 171.4 Hz).

    Examples
    --------
    >>> f"{prominence_ratio(np.ones(6000), 1.0, 1000.0):.1f}"
    '0.1'
    """
    lines = floats(power)
    if not 89.1 <= frequency <= min(11200.0, 0.8 * lines.size * step):
        return float("nan")
    low, high = (float(edge) for edge in critical_band(frequency))
    f = floats(frequency)
    below, above = float(_band_below(f)), float(_band_above(f))
    edges = np.array([below, low, high, above])
    lower, middle, upper = lines @ band_sums(np.arange(lines.size) * step, edges[:3], edges[1:])
    if frequency <= 171.4:
        lower *= 100.0 / (low - below)
    return float(10.0 * np.log10(middle / (0.5 * (lower + upper))))


def tone_to_noise_criterion(frequency: ArrayLike) -> Floats:
    """Return the tone-to-noise ratio from which a tone is prominent.

    Parameters
    ----------
    frequency
        Any shape, 89.1 Hz and above [Hz].

    Returns
    -------
    numpy.ndarray
        Same shape [dB].

    Source
    ------
    [ECMA418], clause 11.

    Examples
    --------
    >>> f"{tone_to_noise_criterion(500.0):.2f}"
    '10.51'
    """
    return floats(8.0 + 8.33 * np.log10(np.maximum(1000.0 / floats(frequency), 1.0)))


def prominence_criterion(frequency: ArrayLike) -> Floats:
    """Return the prominence ratio from which a tone is prominent.

    Parameters
    ----------
    frequency
        Any shape, 89.1 Hz and above [Hz].

    Returns
    -------
    numpy.ndarray
        Same shape [dB].

    Source
    ------
    [ECMA418], clause 12.

    Examples
    --------
    >>> f"{prominence_criterion(500.0):.2f}"
    '12.01'
    """
    return floats(9.0 + 10.0 * np.log10(np.maximum(1000.0 / floats(frequency), 1.0)))
