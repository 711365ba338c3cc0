"""An accelerometer's samples as frames in which the rotor turns steadily: spectra, mean squares and speeds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.ranges import usual_interval
from isothrust.science.spectra import FrameSpectra, band_mean_square, frame_spectra, hann_window

__all__ = ["HIGHEST", "LOWEST", "SHARE_OF_RATE", "Frames", "Sampling", "make_frames", "sampling_of"]

LOWEST = 5.0
"""Least frequency of the band [Hz]: gravity, drift and the sway of the bench lie below."""
HIGHEST = 2000.0
"""Greatest frequency of the band [Hz]: above, a screwed or glued sensor is no longer to be believed."""
SHARE_OF_RATE = 0.4
"""Of the rate, where the filter ahead of the sampling begins to act [1]."""
_LENGTH = 0.2
"""Of a frame [s]: a cycle of the band's least frequency; a ramp covers a hundredth of its range under the window."""
_UNEVEN = 0.25
"""Share of the usual interval by which two stamps may stand too near or too far [1]."""
_MOST_UNEVEN = 0.02
"""Share of such intervals from which the samples have no rate [1]."""
_STEADY = 0.95
"""Of a frame that must lie where the rotor turns under power and slowly enough [1]."""
_AXES = ("x", "y", "z")
_POWER = 4
"""Power of the speed that mean squares go with: an unbalance pulls with its square."""


@dataclass(frozen=True, slots=True)
class Sampling:
    """How evenly an accelerometer was sampled."""

    rate: float
    """[Hz]; 0 where there is none."""
    cuts: NDArray[np.intp]
    """Where an unbroken stretch begins, and the end of the last (s + 1,)."""
    unusable: str | None
    """Why no spectrum can be made of it."""

    @property
    def high(self) -> float:
        """Greatest frequency of the band [Hz]."""
        return min(HIGHEST, SHARE_OF_RATE * self.rate)


@dataclass(frozen=True, slots=True)
class Frames:
    """Frames in which the rotor turned steadily, in the order of time."""

    sampling: Sampling
    axes: tuple[str, ...]
    low: float
    high: float
    window: float
    """[s]"""
    time: Floats
    """Middle of each frame (m,) [s]."""
    x: Floats
    """Speed [rad/s], or root of thrust, in the mean of its fourth power under the window (m,)."""
    slope: Floats
    """Rate of change of that (m,) [1/s]."""
    segment: NDArray[np.int64]
    """Number of the steady spell (m,)."""
    spectra: tuple[FrameSpectra, ...]
    """One an axis."""
    mean_square: Floats
    """In the band (m, axes) [m2/s4]."""
    left_out: int
    """Steady frames left out because an axis stood at its limit."""
    from_x: float
    """Least x of the frames left out for that; infinite where there are none."""

    def only(self, keep: NDArray[np.bool_]) -> Frames:
        """Return some of the frames."""
        spectra = tuple(
            FrameSpectra(each.frequency, each.density[keep], each.starts[keep], each.length) for each in self.spectra
        )
        return Frames(
            self.sampling,
            self.axes,
            self.low,
            self.high,
            self.window,
            self.time[keep],
            self.x[keep],
            self.slope[keep],
            self.segment[keep],
            spectra,
            self.mean_square[keep],
            self.left_out,
            self.from_x,
        )


def sampling_of(channel: Channel) -> Sampling:
    """Return the rate of an accelerometer and its unbroken stretches, or why it has no usable rate."""
    nothing = np.zeros(0, dtype=np.intp)
    if channel.time.size < 16:
        return Sampling(0.0, nothing, f"it has {channel.time.size} samples")
    usual = usual_interval(channel.time)
    step = np.diff(channel.time)
    broken = step > 1.5 * usual
    # a rate is the mean over what is unbroken: stamps may be rounded, the sum of many is not
    rate = float(np.count_nonzero(~broken) / step[~broken].sum())
    uneven = float(np.mean(np.abs(step[~broken] * rate - 1.0) > _UNEVEN))
    cuts = np.concatenate([[0], np.flatnonzero(broken) + 1, [channel.time.size]]).astype(np.intp)
    if uneven > _MOST_UNEVEN or np.mean(broken) > _MOST_UNEVEN:
        share = max(uneven, float(np.mean(broken)))
        return Sampling(rate, cuts, f"{100.0 * share:.0f} % of its samples are not evenly spaced in time")
    if SHARE_OF_RATE * rate < 2.0 * LOWEST:
        why = f"at {rate:.3g} samples a second nothing is left between {LOWEST:g} Hz and 0.4 of the rate"
        return Sampling(rate, cuts, why)
    return Sampling(rate, cuts, None)


def make_frames(channel: Channel, sampling: Sampling, prepared: Prepared, limits: NDArray[np.bool_]) -> Frames:
    """Return the steady frames; `limits` says which samples of an axis stand at its limit (n, axes)."""
    length = _fast_length(int(_LENGTH * sampling.rate))
    starts = _starts(sampling, length)
    middle = channel.time[starts] + 0.5 * (length - 1) / sampling.rate
    window = length / sampling.rate
    steady, segment = _steady(prepared, middle, window)
    x, slope = _speeds(prepared, middle, window)
    if prepared.abscissa == "speed":  # what turns once must lie in the band
        steady &= x / (2.0 * np.pi) <= sampling.high
    clipped = _clipped(limits, starts, length)
    lost = steady & clipped
    keep = steady & ~clipped
    spectra = tuple(
        frame_spectra(channel.values[:, axis], sampling.rate, starts[keep], length)
        for axis in range(channel.values.shape[1])
    )
    low, high = LOWEST, sampling.high
    squares = [band_mean_square(each.frequency, each.density, low, high) for each in spectra]
    return Frames(
        sampling=sampling,
        axes=_AXES[: len(spectra)],
        low=low,
        high=high,
        window=window,
        time=middle[keep],
        x=x[keep],
        slope=slope[keep],
        segment=segment[keep],
        spectra=spectra,
        mean_square=np.stack(squares, axis=1),
        left_out=int(np.count_nonzero(lost)),
        from_x=float(x[lost].min()) if lost.any() else float("inf"),
    )


def _fast_length(wanted: int) -> int:
    """Return the greatest length up to the wanted one whose transform is quick: 2^a 3^b 5^c, even."""
    best = 2
    five = 1
    while five <= wanted:
        three = five
        while three <= wanted:
            two = 2 * three
            while two <= wanted:
                best = max(best, two)
                two *= 2
            three *= 3
        five *= 5
    return best


def _starts(sampling: Sampling, length: int) -> NDArray[np.intp]:
    hop = max(1, length // 2)
    ends = zip(sampling.cuts[:-1], sampling.cuts[1:], strict=True)
    return np.concatenate([np.arange(a, b - length + 1, hop, dtype=np.intp) for a, b in ends])


def _steady(prepared: Prepared, middle: Floats, window: float) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Return which frames lie in a steady spell, and in which."""
    bins, spells = prepared.bins, prepared.spells
    counted = np.concatenate([[0.0], np.cumsum(spells.steady)])
    first = np.searchsorted(bins.time, middle - 0.5 * window)
    last = np.searchsorted(bins.time, middle + 0.5 * window)
    nearest = np.clip(np.searchsorted(bins.time, middle), 0, bins.time.size - 1)
    before = np.maximum(nearest - 1, 0)
    nearest = np.where(np.abs(bins.time[before] - middle) < np.abs(bins.time[nearest] - middle), before, nearest)
    count = last - first
    share = np.where(count > 0, (counted[last] - counted[first]) / np.maximum(count, 1), 0.0)
    near = np.abs(bins.time[nearest] - middle) <= max(bins.width, window)
    inside = np.where(count > 0, share >= _STEADY, near & spells.steady[nearest])
    return np.asarray(inside & (spells.segment[nearest] > 0)), spells.segment[nearest]


def _speeds(prepared: Prepared, middle: Floats, window: float) -> tuple[Floats, Floats]:
    """Return the drive of each frame in the mean of its fourth power under the squared window, and its slope."""
    points = 9
    place = (np.arange(points) + 0.5) / points - 0.5
    weight = hann_window(2 * points)[1::2] ** 2
    at = middle[:, None] + window * place[None, :]
    drive = np.interp(at, prepared.bins.time, np.maximum(prepared.spells.drive, 0.0))
    x = (drive**_POWER @ (weight / weight.sum())) ** (1.0 / _POWER)
    return np.asarray(x), np.interp(middle, prepared.bins.time, prepared.spells.slope)


def _clipped(limits: NDArray[np.bool_], starts: NDArray[np.intp], length: int) -> NDArray[np.bool_]:
    """Return the frames in which an axis stands at its limit, but for a sample or two."""
    if not limits.any():
        return np.zeros(starts.size, dtype=bool)
    counted = np.concatenate([np.zeros((1, limits.shape[1]), dtype=np.int64), np.cumsum(limits, axis=0)])
    return np.asarray(((counted[starts + length] - counted[starts]) > 2).any(axis=1))
