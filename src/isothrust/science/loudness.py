"""Loudness of a stationary sound (Zwicker) and its sharpness, from one-third octave levels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = ["LOUDNESS_BANDS", "Loudness", "filter_sums", "sharpness", "stationary_loudness"]

LOUDNESS_BANDS: Final = tuple(range(-16, 12))
"""One-third octave bands that loudness is computed from, 25 Hz to 12.5 kHz, counted from 1 kHz."""

# [ISO532], Table A.3: ranges of level, and what equal loudness takes off the bands from 25 to 250 Hz in each of them.
_RANGE: Final = (45.0, 55.0, 65.0, 71.0, 80.0, 90.0, 100.0, 120.0)
_LOW: Final = (
    (-32.0, -24.0, -16.0, -10.0, -5.0, 0.0, -7.0, -3.0, 0.0, -2.0, 0.0),
    (-29.0, -22.0, -15.0, -10.0, -4.0, 0.0, -7.0, -2.0, 0.0, -2.0, 0.0),
    (-27.0, -19.0, -14.0, -9.0, -4.0, 0.0, -6.0, -2.0, 0.0, -2.0, 0.0),
    (-25.0, -17.0, -12.0, -9.0, -3.0, 0.0, -5.0, -2.0, 0.0, -2.0, 0.0),
    (-23.0, -16.0, -11.0, -7.0, -3.0, 0.0, -4.0, -1.0, 0.0, -1.0, 0.0),
    (-20.0, -14.0, -10.0, -6.0, -3.0, 0.0, -4.0, -1.0, 0.0, -1.0, 0.0),
    (-18.0, -12.0, -9.0, -6.0, -2.0, 0.0, -3.0, -1.0, 0.0, -1.0, 0.0),
    (-15.0, -10.0, -8.0, -4.0, -2.0, 0.0, -3.0, -1.0, 0.0, -1.0, 0.0),
)
_LOW_GROUPS: Final = ((0, 6), (6, 9), (9, 11))
"""Bands of 25 to 80, 100 to 160, 200 and 250 Hz make one critical band each."""
# Table A.4 to A.7, of the 20 critical bands: threshold, transmission, diffuse field, width.
_QUIET: Final = (30.0, 18.0, 12.0, 8.0, 7.0, 6.0, 5.0, 4.0, *(3.0,) * 12)
_EAR: Final = (*(0.0,) * 10, -0.5, -1.6, -3.2, -5.4, -5.6, -4.0, -1.5, 2.0, 5.0, 12.0)
_DIFFUSE: Final = (
    *(0.0, 0.0, 0.5, 0.9, 1.2, 1.6, 2.3, 2.8, 3.0, 2.0),
    *(0.0, -1.4, -2.0, -1.9, -1.0, 0.5, 3.0, 4.0, 4.3, 4.0),
)
_WIDTH: Final = (
    *(-0.25, -0.6, -0.8, -0.8, -0.5, 0.0, 0.5, 1.1, 1.5, 1.7),
    *(1.8, 1.8, 1.7, 1.6, 1.4, 1.2, 0.8, 0.5, 0.0, -0.5),
)
_UPPER: Final = (
    *(0.9, 1.8, 2.8, 3.5, 4.4, 5.4, 6.6, 7.9, 9.2, 10.6, 12.3),
    *(13.8, 15.2, 16.7, 18.1, 19.3, 20.6, 21.8, 22.7, 23.6, 24.0),
)
"""Upper limits of the critical bands [Bark]; above the last one nothing is excited, and only slopes run out."""
# Table A.8 and A.9: ranges of specific loudness [sone/Bark], and the steepness of the upper slopes in each.
_STEPS: Final = (21.5, 18.0, 15.1, 11.5, 9.0, 6.1, 4.4, 3.1, 2.13, 1.36, 0.82, 0.42, 0.30, 0.22, 0.15, 0.10, 0.035, 0.0)
_SLOPES: Final = (
    (13.00, 8.20, 6.30, 5.50, 5.50, 5.50, 5.50, 5.50),
    (9.00, 7.50, 6.00, 5.10, 4.50, 4.50, 4.50, 4.50),
    (7.80, 6.70, 5.60, 4.90, 4.40, 3.90, 3.90, 3.90),
    (6.20, 5.40, 4.60, 4.00, 3.50, 3.20, 3.20, 3.20),
    (4.50, 3.80, 3.60, 3.20, 2.90, 2.70, 2.70, 2.70),
    (3.70, 3.00, 2.80, 2.35, 2.20, 2.20, 2.20, 2.20),
    (2.90, 2.30, 2.10, 1.90, 1.80, 1.70, 1.70, 1.70),
    (2.40, 1.70, 1.50, 1.35, 1.30, 1.30, 1.30, 1.30),
    (1.95, 1.45, 1.30, 1.15, 1.10, 1.10, 1.10, 1.10),
    (1.50, 1.20, 0.94, 0.86, 0.82, 0.82, 0.82, 0.82),
    (0.72, 0.67, 0.64, 0.63, 0.62, 0.62, 0.62, 0.62),
    (0.59, 0.53, 0.51, 0.50, 0.42, 0.42, 0.42, 0.42),
    (0.40, 0.33, 0.26, 0.24, 0.24, 0.22, 0.22, 0.22),
    (0.27, 0.21, 0.20, 0.18, 0.17, 0.17, 0.17, 0.17),
    (0.16, 0.15, 0.14, 0.12, 0.11, 0.11, 0.11, 0.11),
    (0.12, 0.11, 0.10, 0.08, 0.08, 0.08, 0.08, 0.08),
    (0.09, 0.08, 0.07, 0.06, 0.06, 0.06, 0.06, 0.05),
    (0.06, 0.05, 0.03, 0.02, 0.02, 0.02, 0.02, 0.02),
)
_THRESHOLD: Final = 0.25
"""Factor s of the excitation at threshold."""
_FILTER_ORDER: Final = 3
_GRID: Final = 240
"""Places at which specific loudness is given, every 0.1 Bark."""


@dataclass(frozen=True, slots=True)
class Loudness:
    """Loudness of a stationary sound."""

    total: float
    """[sone]"""
    specific: Floats
    """(240,) [sone/Bark], at 0.1, 0.2 … 24.0 Bark."""


def filter_sums(frequency: ArrayLike) -> Floats:
    """Return the matrix that sums spectral lines as one-third octave filters of the sixth order do, skirts included.

    Loudness was set down for levels of such filters: a tone shows in the bands beside its own, 19 dB lower, and that is
    15 % of its loudness.

    Parameters
    ----------
    frequency
        Lines (n,) [Hz].

    Returns
    -------
    numpy.ndarray
        (n, 28) [1]: powers of lines (…, n) @ matrix are powers of bands (…, 28).

    Source
    ------
    Butterworth's response of the third order on either side, its noise bandwidth that of the band: inside the limits of
    class 1 of [IEC61260], Table 1.

    Examples
    --------
    >>> f"{10 * np.log10(filter_sums([1000.0])[0, 17]):.1f}"
    '-19.5'
    """
    lines = floats(frequency)[:, None]
    centre = 1000.0 * 10.0 ** (0.1 * floats(LOUDNESS_BANDS))[None, :]
    with np.errstate(divide="ignore"):
        detuned = np.abs(lines / centre - centre / lines) / (10.0**0.05 - 10.0**-0.05)
    power = 2.0 * _FILTER_ORDER
    wide = np.pi / power / np.sin(np.pi / power)
    return floats(1.0 / (1.0 + (wide * detuned) ** power))


def stationary_loudness(levels: ArrayLike, *, diffuse: bool = False) -> Loudness:
    """Return the loudness of a stationary sound.

    Parameters
    ----------
    levels
        One-third octave levels (28,), 25 Hz to 12.5 kHz [dB re 20 uPa]; minus infinity for silence.
    diffuse
        True for a diffuse field, False for sound from the front in a free field.

    Returns
    -------
    Loudness
        Total and specific loudness.

    Raises
    ------
    ValueError
        Where there are not 28 levels.

    Validity
    --------
    Levels up to 120 dB; the standard's own uncertainty is 5 % or 0.1 sone.

    Source
    ------
    [ISO532], clause 5 and Annex A (method of Zwicker for stationary sounds). The total is not rounded.

    Examples
    --------
    >>> tone = 40.0 + 10.0 * np.log10(filter_sums([1000.0])[0])
    >>> f"{stationary_loudness(tone).total:.2f}"
    '1.01'
    """
    given = floats(levels)
    if given.shape != (len(LOUDNESS_BANDS),):
        raise ValueError("loudness wants 28 one-third octave levels, 25 Hz to 12.5 kHz")
    return _with_slopes(_main_loudness(_critical_levels(given), diffuse=diffuse))


def _critical_levels(levels: Floats) -> Floats:
    """Return the levels of the 20 critical bands (20,) [dB]."""
    low = levels[:11]
    limits = floats(_RANGE)[:, None] - floats(_LOW)
    place = np.minimum(np.sum(low[None, :] > limits, axis=0), len(_RANGE) - 1)
    power = 10.0 ** (0.1 * (low + floats(_LOW)[place, np.arange(11)]))
    with np.errstate(divide="ignore"):
        grouped = [10.0 * np.log10(power[first:last].sum()) for first, last in _LOW_GROUPS]
    return np.concatenate([grouped, levels[11:]])


def _main_loudness(levels: Floats, *, diffuse: bool) -> Floats:
    """Return the specific loudness of each critical band (21,) [sone/Bark], 0 above the last."""
    quiet = floats(_QUIET)
    excited = levels - floats(_EAR) + (floats(_DIFFUSE) if diffuse else 0.0)
    above = excited - floats(_WIDTH) - quiet
    growth = (1.0 - _THRESHOLD + _THRESHOLD * 10.0 ** (0.1 * above)) ** 0.25 - 1.0
    main = np.where(excited > quiet, np.maximum(0.0635 * 10.0 ** (0.025 * quiet) * growth, 0.0), 0.0)
    # the threshold falls steeply within the lowest band
    main[0] *= min(1.0, 0.4 + 0.32 * main[0] ** 0.2)
    return np.append(main, 0.0)


def _with_slopes(main: Floats) -> Loudness:
    """Return total and specific loudness: each band's own, and the slopes by which it masks those above it."""
    total, z, n, step = 0.0, 0.0, 0.0, 0
    pieces: list[tuple[float, float, float, float]] = []
    for band, (upper, own) in enumerate(zip(_UPPER, main.tolist(), strict=True)):
        column = min(max(band - 1, 0), 7)
        while z < upper:
            if n <= own:
                if n < own:
                    step = _range_of(own, 0)
                following, at = own, upper
                pieces.append((z, at, own, own))
            else:
                following = max(_STEPS[step], own)
                steepness = _SLOPES[step][column]
                at = z + (n - following) / steepness
                if at > upper:
                    at, following = upper, n - (upper - z) * steepness
                pieces.append((z, at, n, following))
            total += 0.5 * (pieces[-1][2] + pieces[-1][3]) * (at - z)
            step = _range_of(following, step, passed=True)
            z, n = at, following
    return Loudness(max(total, 0.0), _on_grid(pieces))


def _range_of(specific: float, first: int, *, passed: bool = False) -> int:
    """Return the first range from `first` on whose lower end lies below the specific loudness (`passed`), or at it."""
    step = first
    while step < len(_STEPS) - 1 and (specific <= _STEPS[step] if passed else specific < _STEPS[step]):
        step += 1
    return step


def _on_grid(pieces: list[tuple[float, float, float, float]]) -> Floats:
    """Return specific loudness every 0.1 Bark; a piece holds up to and with its end."""
    grid = 0.1 * np.arange(1, _GRID + 1)
    start, end, first, last = (np.array(column) for column in zip(*pieces, strict=True))
    at = np.minimum(np.searchsorted(end, grid - 1e-9), end.size - 1)
    width = np.where(end > start, end - start, 1.0)
    share = np.clip((grid - start[at]) / width[at], 0.0, 1.0)
    return floats(first[at] + share * (last[at] - first[at]))


def sharpness(loudness: Loudness) -> float:
    """Return the sharpness of a sound: how far its loudness lies at high frequencies.

    Parameters
    ----------
    loudness
        From `stationary_loudness`.

    Returns
    -------
    float
        [acum]; NaN for a sound that is not heard.

    Source
    ------
    [DIN45692], clause 5, eq. (1) and (2), k = 0.11.

    Examples
    --------
    >>> levels = np.full(28, -60.0)
    >>> levels[16] = 60.0
    >>> 0.9 < sharpness(stationary_loudness(levels)) < 1.1
    True
    """
    z = 0.1 * np.arange(1, _GRID + 1)
    weight = np.where(z <= 15.8, 1.0, 0.15 * np.exp(0.42 * (z - 15.8)) + 0.85)
    sum_of = float(np.sum(loudness.specific)) * 0.1
    if sum_of <= 0.0:
        return float("nan")
    return 0.11 * float(np.sum(loudness.specific * weight * z)) * 0.1 / loudness.total
