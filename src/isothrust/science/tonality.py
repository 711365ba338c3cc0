"""How far a tone stands out: tone-to-noise ratio and prominence ratio about a known frequency.

The frequency is given, so that a tone of a propeller is judged at its order; the procedure of the standard looks for
the greatest line first, and then does the same.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats
from isothrust.science.sound import power_between

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
_LEAST, _GREATEST = 89.1, 11200.0
"""Range of tones that the standard judges [Hz]."""
_CUT = 171.4
"""Up to here the lower neighbour is cut at 20 Hz [Hz]."""
_LEAST_LEFT = 0.1
"""Share of a critical band that must be free of tones for its noise to be known [1]."""


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
    return np.where(frequency <= _CUT, 20.0, np.where(frequency <= 1600.0, middle, high))


def _band_above(frequency: Floats) -> Floats:
    """Upper edge of the critical band that begins where the tone's ends [Hz]: [ECMA418], clause 12."""
    low = 149.5 + 1.035 * frequency + 7.70e-5 * frequency**2
    high = 3.3 + 1.215 * frequency + 2.16e-5 * frequency**2
    return np.where(frequency <= 1600.0, low, high)


def tone_and_noise(
    running: ArrayLike, step: float, frequency: ArrayLike, half_width: ArrayLike, others: ArrayLike | None = None
) -> tuple[Floats, Floats]:
    """Return the power of a tone and of the noise in the critical band about it.

    Parameters
    ----------
    running
        From `sound.running_power`, of several spectra (m, n + 1) [any].
    step
        Between lines [Hz].
    frequency
        Of the tone in each of them (m,) [Hz].
    half_width
        How far to each side the tone's own lines reach: what the window and a sweep make of it (m,) [Hz].
    others
        Frequencies of further tones (m, k) [Hz], of the same half width: they are no noise either.

    Returns
    -------
    tuple of numpy.ndarray
        Tone and noise (m,) [unit of running]: what lies in the band without the tones, scaled up to the whole band,
        and the tone without the noise below it, which may so come out below nothing. NaN where tones leave less than
        a tenth of the band.

    Source
    ------
    [ECMA418], clause 11: Wn = (Wtot - Wt) dfc/(dftot - dft), and the noise below the tone taken out.

    Examples
    --------
    >>> from isothrust.science.sound import running_power
    >>> lines = np.ones((1, 2000))
    >>> lines[0, 1000] += 99.0
    >>> tone, noise = tone_and_noise(running_power(lines), 1.0, [1000.0], [2.0])
    >>> f"{tone[0]:.1f} {noise[0]:.1f}"
    '99.0 162.2'
    """
    total, f, half = floats(running), floats(frequency)[:, None], floats(half_width)[:, None]
    low, high = critical_band(f)
    centres = f if others is None else np.concatenate([f, floats(others)], axis=1)
    # tones that overlap are cut where they meet, so that nothing is taken out twice
    order = np.sort(centres, axis=1)
    first, last = np.clip(order - half, low, high), np.clip(order + half, low, high)
    first[:, 1:] = np.maximum(first[:, 1:], np.maximum.accumulate(last, axis=1)[:, :-1])
    last = np.maximum(last, first)
    band = power_between(total, step, low, high)[:, 0]
    tones = power_between(total, step, first, last).sum(axis=1)
    whole = (high - low)[:, 0]
    left = whole - (last - first).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        density = np.where(left >= _LEAST_LEFT * whole, (band - tones) / left, np.nan)
    own = power_between(total, step, f - half, f + half)[:, 0]
    return floats(own - density * 2.0 * half[:, 0]), floats(density * whole)


def prominence_ratio(running: ArrayLike, step: float, frequency: ArrayLike) -> Floats:
    """Return how far the critical band about a tone stands above its two neighbours.

    Parameters
    ----------
    running
        From `sound.running_power`, of several spectra (m, n + 1) [any].
    step
        Between lines [Hz].
    frequency
        Of the tone in each of them, 89.1 Hz to 11.2 kHz (m,) [Hz].

    Returns
    -------
    numpy.ndarray
        (m,) [dB]; NaN outside that range, and where the upper neighbour ends beyond the spectrum.

    Source
    ------
    [ECMA418], clause 12, with its scaling of the lower band where 20 Hz cuts it (below 171.4 Hz).

    Examples
    --------
    >>> from isothrust.science.sound import running_power
    >>> f"{prominence_ratio(running_power(np.ones((1, 6000))), 1.0, [1000.0])[0]:.1f}"
    '0.0'
    """
    total, f = floats(running), floats(frequency)
    low, high = critical_band(f)
    edges = np.stack([_band_below(f), low, high, _band_above(f)], axis=1)
    lower, middle, upper = power_between(total, step, edges[:, :3], edges[:, 1:]).T
    lower = lower * np.where(f <= _CUT, 100.0 / (low - edges[:, 0]), 1.0)
    known = (f >= _LEAST) & (f <= _GREATEST) & (edges[:, 3] <= (total.shape[-1] - 2) * step)
    with np.errstate(divide="ignore", invalid="ignore"):
        return floats(np.where(known, 10.0 * np.log10(middle / (0.5 * (lower + upper))), np.nan))


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
