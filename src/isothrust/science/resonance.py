"""Lines that stand out of a spectrum: where they lie, how far they stand out and how wide they are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from isothrust.science.arrays import Floats, floats

__all__ = ["SpectralLine", "lines_of_spectrum", "mains_harmonic", "running_background"]

_NEIGHBOURS = 3


@dataclass(frozen=True, slots=True)
class SpectralLine:
    """One peak of a density."""

    frequency: float
    """[Hz]"""
    prominence: float
    """Density over the background [1]."""
    width: float
    """Between the points of half the peak's density [Hz]."""
    mean_square: float
    """Of what stands above the background within the width, twice as wide [unit squared]."""


def running_background(frequency: ArrayLike, density: ArrayLike, *, share: float = 0.35, least: float = 30.0) -> Floats:
    """Return the median of a density about each frequency.

    Parameters
    ----------
    frequency
        Evenly spaced from 0 (k,) [Hz].
    density
        (k,) [any].
    share, least
        Half width: that share of the frequency [1], no less than so much [Hz].

    Returns
    -------
    ndarray
        (k,) [as the density].

    Source
    ------
    A running median, which peaks narrower than half its width do not move; definition.
    """
    line, over = floats(frequency), floats(density)
    # the median changes slowly: it is taken at some frequencies, closer together below, and drawn straight between
    top = float(line[-1])
    at = np.unique(
        np.concatenate([np.arange(0.0, top, max(0.25 * least, top / 400.0))[:80], np.geomspace(least, top, 60)])
    )
    first = np.searchsorted(line, at - np.maximum(share * at, least))
    last = np.searchsorted(line, at + np.maximum(share * at, least), side="right")
    middle = np.array([np.median(over[a:b]) for a, b in zip(first, last, strict=True)])
    return np.asarray(np.interp(line, at, middle))


def lines_of_spectrum(
    frequency: ArrayLike, density: ArrayLike, low: float, high: float, *, factor: float = 4.0
) -> tuple[SpectralLine, ...]:
    """Return the lines that stand out of a spectrum.

    Parameters
    ----------
    frequency
        Evenly spaced from 0 (k,) [Hz].
    density
        Averaged so far that noise alone stays below `factor` (k,) [unit squared per Hz].
    low, high
        Band that is looked at [Hz].
    factor
        Density over the background from which a peak is a line [1].

    Returns
    -------
    tuple of SpectralLine
        Greatest first.

    Source
    ------
    Half-power width as in [Brandt2011], section 5.5; the search is our own.
    """
    line, over = floats(frequency), floats(density)
    ratio = over / np.maximum(running_background(line, over), 1e-300)
    found: list[SpectralLine] = []
    taken = np.zeros(line.size, dtype=bool)
    high_ones = np.flatnonzero((ratio >= factor) & (line >= low) & (line <= high))
    for k in high_ones[np.argsort(-ratio[high_ones])]:
        if taken[k]:
            continue
        k = _summit(over, int(k))
        left, right = _half_power(over, int(k))
        reach = max(right - left, 2.0)
        first, last = max(0, int(k - 2.0 * reach)), min(line.size, int(k + 2.0 * reach) + 1)
        beside = bool(taken[k])
        taken[first:last] = True
        if beside:
            continue
        step = float(line[1])
        above = np.maximum(over[first:last] - over[k] / ratio[k], 0.0)
        found.append(
            SpectralLine(
                float(line[k]) + step * _offset(over, int(k)), float(ratio[k]), reach * step, above.sum() * step
            )
        )
    return tuple(found)


def _summit(over: Floats, k: int) -> int:
    """Return the local maximum that lies uphill from k, a few lines at a time."""
    while True:
        first = max(0, k - _NEIGHBOURS)
        top = first + int(np.argmax(over[first : k + _NEIGHBOURS + 1]))
        if top == k:
            return k
        k = top


def _half_power(over: Floats, k: int) -> tuple[float, float]:
    """Return where a peak has fallen to half, left and right of it, in lines."""
    half = 0.5 * over[k]
    left, right = k, k
    while left > 0 and over[left] > half:
        left -= 1
    while right < over.size - 1 and over[right] > half:
        right += 1
    low = left + (half - over[left]) / max(over[left + 1] - over[left], 1e-300) if over[left] < half else float(left)
    high = right - (half - over[right]) / max(over[right - 1] - over[right], 1e-300) if over[right] < half else right
    return float(low), float(high)


def _offset(over: Floats, k: int) -> float:
    """Return by how many lines a peak lies off its greatest one: the parabola through three logarithms."""
    if not 0 < k < over.size - 1:
        return 0.0
    a, b, c = np.log(np.maximum(over[k - 1 : k + 2], 1e-300))
    bend = a - 2.0 * b + c
    return 0.0 if bend >= 0.0 else float(np.clip(0.5 * (a - c) / bend, -0.5, 0.5))


def mains_harmonic(frequency: float, *, within: float) -> tuple[float, int] | None:
    """Return which mains a frequency is a harmonic of, and which one.

    Parameters
    ----------
    frequency
        [Hz]
    within
        How far off it may lie [Hz].

    Returns
    -------
    tuple or None
        50 or 60 [Hz] and the harmonic [1]; None for any other frequency.

    Source
    ------
    Mains of 50 and 60 Hz.

    Examples
    --------
    >>> mains_harmonic(150.4, within=1.0), mains_harmonic(120.0, within=1.0), mains_harmonic(130.0, within=1.0)
    ((50.0, 3), (60.0, 2), None)
    """
    for mains in (50.0, 60.0):
        harmonic = round(frequency / mains)
        if harmonic >= 1 and abs(frequency - harmonic * mains) <= within:
            return mains, harmonic
    return None
