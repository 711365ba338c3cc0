"""Frequencies that stay where they are while the speed changes: the stand's own resonances, and the mains."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.records.vibration import FixedLine, OrderCurve
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.vibrating_frames import Frames
from isothrust.science.resonance import SpectralLine, lines_of_spectrum, mains_harmonic, running_background
from isothrust.science.spectra import frame_spectra

__all__ = ["fixed_lines"]

_LENGTH = 0.8
"""Of the frames that lines are looked for in [s]."""
_FEWEST = 8
_QUANTILE = 0.35
"""An order passes a frequency in a tenth of the frames or two: what is there in most of them stays where it is."""
_FACTOR = 6.0
"""Of a line over what lies about it [1]: the quantile of eight frames smoothed over three lines stays below."""
_WIDE_ENOUGH = 1.3
"""Greatest over least speed from which an order can be told from a line [1]."""
_BROAD_FACTOR = 4.0
"""The same where the spectrum is smoothed by a share of the frequency besides."""
_SMOOTHING = 0.008
"""Half of that share [1]."""
_MAINS_WITHIN = 1.5
"""[Hz]"""
_MAINS_WIDTH = 3.2
"""Lines of the spectrum that a tone takes under the window, at half its density."""
_HANN_WIDTH = 1.44
"""Lines between the points of half density of a tone under the Hann window."""
_MOST = 6
"""Lines an axis that are kept."""


@dataclass(frozen=True, slots=True)
class _Spectra:
    frequency: Floats
    turning: Floats
    """Low quantile over frames in which the rotor turns (k,)."""
    at_rest: Floats | None
    """Median over frames at rest."""


def fixed_lines(
    channel: Channel, frames: Frames, prepared: Prepared, curves: tuple[OrderCurve, ...]
) -> tuple[FixedLine, ...]:
    """Return the resonances and mains lines of every axis, the most prominent first."""
    if float(frames.x.max()) < _WIDE_ENOUGH * float(frames.x.min()):
        return ()
    length = int(_LENGTH * frames.sampling.rate) // 2 * 2
    turning = _starts(frames.sampling.cuts, channel, prepared, length, at_rest=False)
    if turning.size < _FEWEST:
        return ()
    rest = _starts(frames.sampling.cuts, channel, prepared, length, at_rest=True)
    found: list[FixedLine] = []
    for place, axis in enumerate(frames.axes):
        seen = _spectra(channel.values[:, place], (frames.sampling.rate, length), turning, rest, frames.high)
        band = (2.0 * frames.low, frames.high)
        lines = lines_of_spectrum(seen.frequency, seen.turning, *band, factor=_FACTOR)
        hums = [_mains(line, axis) for line in lines if _is_mains(line, seen)]
        found += hums
        broad = _without([line.frequency for line in hums], seen)
        lines = lines_of_spectrum(seen.frequency, broad, *band, factor=_BROAD_FACTOR)
        found += [_resonance(line, axis, seen, prepared, curves) for line in lines[:_MOST]]
    return tuple(sorted(_once(found), key=lambda line: -line.prominence))


def _starts(
    cuts: NDArray[np.intp], channel: Channel, prepared: Prepared, length: int, *, at_rest: bool
) -> NDArray[np.intp]:
    """Return the frames that lie wholly where the rotor turns under power, or wholly at rest."""
    hop = max(1, length // 2)
    rows = [np.arange(a, b - length + 1, hop, dtype=np.intp) for a, b in pairwise(cuts)]
    starts = np.concatenate(rows)
    begin, end = channel.time[starts], channel.time[starts + length - 1]
    if at_rest:
        inside = np.zeros(starts.size, dtype=bool)
        for first, last in prepared.loads.rests:
            inside |= (begin >= first) & (end <= last)
        return starts[inside]
    bins, spells = prepared.bins, prepared.spells
    counted = np.concatenate([[0.0], np.cumsum(spells.steady)])
    low, high = np.searchsorted(bins.time, begin), np.searchsorted(bins.time, end)
    share = (counted[high] - counted[low]) / np.maximum(high - low, 1)
    return np.asarray(starts[(share > 0.8) & (high > low)], dtype=np.intp)


def _spectra(
    values: Floats, sampled: tuple[float, int], turning: NDArray[np.intp], rest: NDArray[np.intp], high: float
) -> _Spectra:
    rate, length = sampled
    spectra = frame_spectra(values, rate, turning, length)
    kept = spectra.frequency <= 1.4 * high
    low = _smoothed(_quantile(spectra.density[:, kept]))
    still = None
    if rest.size:
        still = _smoothed(np.median(frame_spectra(values, rate, rest, length).density[:, kept], axis=0))
    return _Spectra(spectra.frequency[kept], low, still)


def _quantile(density: Floats) -> Floats:
    """Return the low quantile over frames (k,), by sorting: numpy's own takes three times as long."""
    return np.asarray(np.sort(density, axis=0)[round(_QUANTILE * (density.shape[0] - 1))])


def _smoothed(density: Floats) -> Floats:
    padded = np.concatenate([density[:1], density, density[-1:]])
    return np.asarray((padded[:-2] + padded[1:-1] + padded[2:]) / 3.0)


def _is_mains(line: SpectralLine, seen: _Spectra) -> bool:
    """Whether a line is as narrow as a tone, lies on a harmonic of the mains, and is there with the motor off."""
    step = float(seen.frequency[1])
    # the mean of three lines makes a tone wider
    narrow = line.width <= (_MAINS_WIDTH + 1.0) * step
    return narrow and mains_harmonic(line.frequency, within=_MAINS_WITHIN) is not None and _stands_at_rest(line, seen)


def _mains(line: SpectralLine, axis: str) -> FixedLine:
    return FixedLine("mains", axis, line.frequency, None, line.prominence, level=float(np.sqrt(line.mean_square)))


def _without(mains: list[float], seen: _Spectra) -> Floats:
    """Return the spectrum with the mains drawn over, smoothed by a share of the frequency."""
    frequency, density = seen.frequency, seen.turning.copy()
    for line in mains:
        inside = np.abs(frequency - line) <= 6.0 * frequency[1]
        density[inside] = np.interp(frequency[inside], frequency[~inside], density[~inside])
    half = np.maximum(1, np.rint(_SMOOTHING * np.arange(frequency.size))).astype(np.intp)
    total = np.concatenate([[0.0], np.cumsum(density)])
    place = np.arange(frequency.size)
    first, last = np.maximum(place - half, 0), np.minimum(place + half + 1, frequency.size)
    return np.asarray((total[last] - total[first]) / (last - first))


def _resonance(
    line: SpectralLine, axis: str, seen: _Spectra, prepared: Prepared, curves: tuple[OrderCurve, ...]
) -> FixedLine:
    step = float(seen.frequency[1])
    blurred = (_HANN_WIDTH + 1.0) * step + 2.0 * _SMOOTHING * line.frequency
    own = line.width**2 - blurred**2
    damping = 0.5 * float(np.sqrt(own)) / line.frequency if own > (0.3 * line.width) ** 2 else None
    crossings, share = _crossings(line.frequency, prepared, curves)
    return FixedLine("resonance", axis, line.frequency, damping, line.prominence, crossings, share)


def _stands_at_rest(line: SpectralLine, seen: _Spectra) -> bool:
    """Whether the line is there, as strong, with the motor off; taken for granted where no rest was recorded."""
    if seen.at_rest is None:
        return True
    k = int(np.argmin(np.abs(seen.frequency - line.frequency)))
    near = slice(max(0, k - 2), k + 3)
    there = float(seen.at_rest[near].max())
    about = float(running_background(seen.frequency, seen.at_rest)[k])
    return there > _FACTOR * about and there > 0.2 * float(seen.turning[near].max())


def _crossings(frequency: float, prepared: Prepared, curves: tuple[OrderCurve, ...]) -> tuple[tuple[str, ...], float]:
    """Return where orders meet a frequency, and the greatest share that one of them has about there."""
    if prepared.abscissa != "speed":
        return (), 0.0
    met: list[str] = []
    most = 0.0
    for curve in curves:
        speed = 2.0 * np.pi * frequency / curve.order
        if not float(curve.speed.min()) <= speed <= float(curve.speed.max()):
            continue
        met.append(f"{curve.label} at {speed * 30.0 / np.pi:.0f} rpm")
        about = np.abs(curve.speed / speed - 1.0) < 0.08
        if about.any():
            most = max(most, float(curve.share[about].max()))
    return tuple(met), most


def _once(found: list[FixedLine]) -> list[FixedLine]:
    """Keep of the same line on several axes the one that stands out most."""
    kept: list[FixedLine] = []
    for line in sorted(found, key=lambda each: -each.prominence):
        if all(abs(line.frequency / other.frequency - 1.0) > 0.03 for other in kept):
            kept.append(line)
    return kept
