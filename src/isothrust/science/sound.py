"""Sound from its power spectrum: frequency weighting, one-third octave bands, levels, background, distance.

Weighting is done in the spectrum: a digital filter made from the analogue poles is 2.7 dB off at 12.5 kHz.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = [
    "BAND_CENTRES",
    "BAND_NUMBERS",
    "LEAST_ABOVE_BACKGROUND",
    "REFERENCE_PRESSURE",
    "a_weighting",
    "band_edges",
    "blade_passing_frequency",
    "c_weighting",
    "level",
    "level_at_distance",
    "power_between",
    "power_of_level",
    "running_power",
    "sound_power_level",
    "without_background",
]

REFERENCE_PRESSURE: Final = 20e-6
"""[Pa], ISO 1683 for gases."""
BAND_NUMBERS: Final = tuple(range(-17, 14))
"""x of the bands from 20 Hz to 20 kHz, counted from 1 kHz."""
BAND_CENTRES: Final = tuple(1000.0 * 10.0 ** (0.1 * x) for x in BAND_NUMBERS)
"""Exact mid-band frequencies [Hz], IEC 61260-1:2014 eq. (2) with G = 10^0.3."""
LEAST_ABOVE_BACKGROUND: Final = 3.0
"""How far a level must lie above the background for the difference of powers to mean anything [dB]."""

# Poles of the analogue network, IEC 61672-1:2013 Annex E [Hz]: doubled at f1 and f4.
_F1, _F2, _F3, _F4 = 20.598997, 107.65265, 737.86223, 12194.217
_A_AT_1000: Final = -2.0
"""Gain of the A network at 1 kHz, which the weighting takes out [dB]."""
_C_AT_1000: Final = -0.062


def c_weighting(frequency: ArrayLike) -> Floats:
    """Return the frequency weighting C.

    Parameters
    ----------
    frequency
        Any shape, above 0 [Hz].

    Returns
    -------
    numpy.ndarray
        Same shape [dB].

    Source
    ------
    [IEC61672], Annex E, eq. (E.1).

    Examples
    --------
    >>> f"{c_weighting(8000.0):.1f}"
    '-3.0'
    """
    squared = floats(frequency) ** 2
    with np.errstate(divide="ignore"):
        gain = _F4**2 * squared / ((squared + _F1**2) * (squared + _F4**2))
        return floats(20.0 * np.log10(gain) - _C_AT_1000)


def a_weighting(frequency: ArrayLike) -> Floats:
    """Return the frequency weighting A.

    Parameters
    ----------
    frequency
        Any shape, above 0 [Hz].

    Returns
    -------
    numpy.ndarray
        Same shape [dB].

    Source
    ------
    [IEC61672], Annex E, eq. (E.6).

    Examples
    --------
    >>> f"{a_weighting(125.0):.1f}", f"{a_weighting(1000.0):.2f}"
    ('-16.2', '-0.00')
    """
    squared = floats(frequency) ** 2
    lower = np.sqrt((squared + _F2**2) * (squared + _F3**2))
    with np.errstate(divide="ignore"):
        gain = _F4**2 * squared**2 / ((squared + _F1**2) * lower * (squared + _F4**2))
        return floats(20.0 * np.log10(gain) - _A_AT_1000)


def band_edges(number: ArrayLike) -> tuple[Floats, Floats]:
    """Return the edges of one-third octave bands.

    Parameters
    ----------
    number
        x, counted from the band at 1 kHz, any shape [1].

    Returns
    -------
    tuple of numpy.ndarray
        Lower and upper edge [Hz].

    Source
    ------
    [IEC61260], clause 5, eq. (2), (4) and (5), G = 10^0.3.

    Examples
    --------
    >>> [f"{edge:.4f}" for edge in band_edges(0)]
    ['891.2509', '1122.0185']
    """
    centre = 1000.0 * 10.0 ** (0.1 * floats(number))
    return floats(centre * 10.0**-0.05), floats(centre * 10.0**0.05)


def running_power(power: ArrayLike) -> Floats:
    """Return the power of all lines up to each: what `power_between` takes differences of.

    Parameters
    ----------
    power
        Power of lines at even steps from 0 (…, n) [any].

    Returns
    -------
    numpy.ndarray
        (…, n + 1), 0 first [unit of power].

    Source
    ------
    Definition.

    Examples
    --------
    >>> running_power([1.0, 2.0]).tolist()
    [0.0, 1.0, 3.0]
    """
    lines = floats(power)
    out = np.zeros((*lines.shape[:-1], lines.shape[-1] + 1))
    np.cumsum(lines, axis=-1, out=out[..., 1:])
    return out


def power_between(running: ArrayLike, step: float, low: ArrayLike, high: ArrayLike) -> Floats:
    """Return the power between two frequencies: a line counts by the share of it that lies between them.

    Parameters
    ----------
    running
        From `running_power`, of one spectrum (n + 1,) or of several (m, n + 1) [any].
    step
        Between lines; each line stands for one step, half of it to each side [Hz].
    low, high
        (m, k) or what broadcasts to it; of one spectrum (k,) [Hz].

    Returns
    -------
    numpy.ndarray
        (m, k) or (k,) [unit of running]; nothing lies outside the spectrum.

    Source
    ------
    Definition of a rectangular band; inside the limits of class 1 of [IEC61260], Table 1, wherever the band holds
    several lines.

    Examples
    --------
    >>> power_between(running_power([1.0, 1.0, 1.0]), 10.0, [8.0, 0.0], [20.0, 99.0]).tolist()
    [1.2, 2.5]
    """
    total = floats(running)
    ends = [_up_to(total, floats(edge) / step + 0.5) for edge in (low, high)]
    return floats(ends[1] - ends[0])


def _up_to(running: Floats, place: Floats) -> Floats:
    """Return the running power at a place between lines, counted in lines: straight within a line."""
    inside = np.clip(place, 0.0, running.shape[-1] - 1.0)
    first = np.minimum(inside.astype(np.intp), running.shape[-1] - 2)
    if running.ndim == 1:
        lower, upper = running[first], running[first + 1]
    else:
        first = np.broadcast_to(first, (running.shape[0], first.shape[-1]))
        lower = np.take_along_axis(running, first, axis=-1)
        upper = np.take_along_axis(running, first + 1, axis=-1)
    return floats(lower + (upper - lower) * (inside - first))


def level(power: ArrayLike) -> Floats:
    """Return the level of a mean square pressure.

    Parameters
    ----------
    power
        Mean square pressure, any shape [Pa2].

    Returns
    -------
    numpy.ndarray
        Same shape [dB re 20 uPa]; minus infinity for no power.

    Source
    ------
    Definition, p0 = 20 uPa: [IEC61672], clause 3.

    Examples
    --------
    >>> f"{level(1.0):.4f}"
    '93.9794'
    """
    with np.errstate(divide="ignore"):
        return floats(10.0 * np.log10(floats(power) / REFERENCE_PRESSURE**2))


def power_of_level(value: ArrayLike) -> Floats:
    """Return the mean square pressure of a level.

    Parameters
    ----------
    value
        Any shape [dB re 20 uPa].

    Returns
    -------
    numpy.ndarray
        Same shape [Pa2].

    Source
    ------
    Definition, p0 = 20 uPa: [IEC61672], clause 3.

    Examples
    --------
    >>> f"{power_of_level(94.0):.4f}"
    '1.0048'
    """
    return floats(REFERENCE_PRESSURE**2 * 10.0 ** (0.1 * floats(value)))


def without_background(power: ArrayLike, background: ArrayLike) -> Floats:
    """Return the power that is left once the background's is taken out; NaN where it hides what is asked for.

    Parameters
    ----------
    power, background
        Mean square pressures, shapes that broadcast [any, both the same].

    Returns
    -------
    numpy.ndarray
        Their difference; NaN where the total is less than 3 dB above the background.

    Source
    ------
    [ISO3744], clause 8.2.3: K1 = -10 lg(1 - 10^(-0.1 dL)), with the limit of 3 dB below which more than half of the
    power measured is background.

    Examples
    --------
    >>> without_background([10.0, 1.5], 1.0).tolist()
    [9.0, nan]
    """
    total, noise = np.broadcast_arrays(floats(power), floats(background))
    clear = total >= noise * 10.0 ** (0.1 * LEAST_ABOVE_BACKGROUND)
    return floats(np.where(clear, total - noise, np.nan))


def level_at_distance(value: ArrayLike, distance: ArrayLike, other: ArrayLike) -> Floats:
    """Return a level measured at one distance as it would be at another, in a free field without air absorption.

    Parameters
    ----------
    value
        Level at `distance` [dB].
    distance, other
        From the source [m].

    Returns
    -------
    numpy.ndarray
        Level at `other` [dB].

    Source
    ------
    Spherical spreading, definition; [ISO3744].

    Examples
    --------
    >>> f"{level_at_distance(80.0, 1.0, 2.0):.4f}"
    '73.9794'
    """
    return floats(floats(value) - 20.0 * np.log10(floats(other) / floats(distance)))


def sound_power_level(value: ArrayLike, distance: ArrayLike, *, hemisphere: bool) -> Floats:
    """Return the sound power level of a source that radiates alike in all directions.

    Parameters
    ----------
    value
        Level at `distance` [dB re 20 uPa].
    distance
        From the source [m].
    hemisphere
        True where it stands on a reflecting floor, False in free space.

    Returns
    -------
    numpy.ndarray
        [dB re 1 pW]

    Source
    ------
    [ISO3744], eq. for the surface of a hemisphere; a sphere has twice the area. Air at about 20 degC and 101 kPa.

    Examples
    --------
    >>> f"{sound_power_level(0.0, 1.0, hemisphere=False):.4f}", f"{sound_power_level(0.0, 1.0, hemisphere=True):.4f}"
    ('10.9921', '7.9818')
    """
    area = (2.0 if hemisphere else 4.0) * np.pi * floats(distance) ** 2
    return floats(floats(value) + 10.0 * np.log10(area))


def blade_passing_frequency(speed: ArrayLike, blades: ArrayLike) -> Floats:
    """Return how often a blade passes.

    Parameters
    ----------
    speed
        [rad/s]
    blades
        Number of blades [1].

    Returns
    -------
    numpy.ndarray
        [Hz]

    Source
    ------
    Definition.

    Examples
    --------
    >>> f"{blade_passing_frequency(20000 * 2 * np.pi / 60, 2):.3f}"
    '666.667'
    """
    return floats(floats(speed) * floats(blades) / (2.0 * np.pi))
