"""When the repeats of a step passed shares of their way: between samples, or by a model fitted to all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.response.levels import Passage
from isothrust.science.response import crossing_times
from isothrust.science.response_fit import FAMILIES, ShapeFit, StepSamples, fit_shape, passages_of, weighed_passages
from isothrust.science.response_model import passage_times, seen_through, step_response

__all__ = ["FAST", "Timing", "clear_passages", "rounding_of", "time_steps", "too_few"]

FAST: Final = 0.0055
"""Sampling interval up to which a step is read between its samples [s]: 200 Hz, with what clocks stray."""
_BETWEEN: Final = (0.05, 0.95)
_FEWEST: Final = 3.0
"""Samples that a repeat must have on the way, on the median."""
_SHARP: Final = ("lag", "ramp", "most")
"""Family that tells how round the corners of a step are."""
_QUICK: Final = (("lag", "ramp", "bend"), ("lag", "ramp", "most"), ("lag", "most", "bend"))
_UNSURE: Final = 0.25
"""Of what a window that nobody states does to a time: what may be wrong with it, standard."""
_PHASES: Final = 8
_AFTER: Final = 1.6
"""How far beyond its end a step is fitted, in times from 10 to 90 %."""
_MOST: Final = 120
"""Samples of a repeat that are fitted at most: more tell nothing new of its shape."""


@dataclass(frozen=True, slots=True)
class Timing:
    """The repeats of a step, ready to be asked when they passed a share of the way."""

    passages: tuple[Passage, ...]
    fits: tuple[ShapeFit, ...]
    interval: float
    window: float
    across: float
    """Rough time from 10 to 90 % [s]."""
    jitter: float = 0.0
    """Standard deviation of the clock's intervals [s]: stamps that come in bursts are off by as much."""

    @property
    def method(self) -> Literal["samples", "model"]:
        """How the times are found."""
        return "samples" if self.interval <= FAST else "model"

    def marks(self, shares: Sequence[float]) -> Floats:
        """Return when each repeat passed each share (k, m) [s], the sensor's window and the sampling taken out."""
        true = weighed_passages(self.fits, shares).times
        if self.method == "model":
            best = min(self.fits, key=lambda fit: fit.criterion)
            # families place the beginning differently, not the middle
            middle = passages_of(best, (0.5,)).times[0] - weighed_passages(self.fits, (0.5,)).times[0]
            return np.asarray(best.starts[:, None] + middle + true[None, :])
        read = np.array([crossing_times(one.time, one.share, shares) for one in self.passages])
        return np.asarray(read - self.shift(shares)[None, :])

    def shift(self, shares: Sequence[float]) -> Floats:
        """Return how much later than it happened a share is read (m,) [s], by the sensor's window and by sampling."""
        weights = np.array([np.exp(-0.5 * (fit.criterion - min(f.criterion for f in self.fits))) for fit in self.fits])
        found = [self._shift(fit, shares) for fit in self.fits]
        return np.asarray(np.average(found, axis=0, weights=weights))

    def _shift(self, fit: ShapeFit, shares: Sequence[float]) -> Floats:
        reach = 8.0 * fit.guess + 2.0 * self.window
        time, share = step_response(fit.shape, reach=reach)
        seen = fit.gain * seen_through(time, share, window=self.window)
        true = passage_times(time, fit.gain * share, shares)
        reads = []
        for phase in (np.arange(_PHASES) + 0.5) / _PHASES:
            clock = np.arange(-1.0 + phase, reach / self.interval) * self.interval
            reads.append(passage_times(clock - clock[0], np.interp(clock, time, seen, left=0.0), shares) + clock[0])
        return np.asarray(np.mean(reads, axis=0) - true)

    def u_across(self, marks: Floats, pair: tuple[float, float]) -> float:
        """Return the standard uncertainty of the mean time between two marks (k, 2) that the run itself leaves [s]."""
        spans = marks[:, 1] - marks[:, 0]
        if self.method == "model":
            cov = weighed_passages(self.fits, pair).covariance
            stamps = self.jitter / np.sqrt(spans.size)
            return float(np.sqrt(max(cov[0, 0] + cov[1, 1] - 2.0 * cov[0, 1], 0.0) + stamps**2))
        moved = self.shift(pair)
        sampled = 0.25 * abs(float(moved[1] - moved[0]))
        n = spans.size
        if n > 1:
            return float(np.hypot(_scatter(spans) / np.sqrt(n), sampled))
        noise = max(one.noise for one in self.passages) * self.across
        return float(np.hypot(np.hypot(noise, 0.3 * self.interval), sampled))

    def u_window(self, pair: tuple[float, float]) -> float:
        """Return by how much a window that nobody states may have moved the time between two marks [s]."""
        moved = []
        for fit in self.fits:
            seen = passages_of(fit, pair, window=self.window).times
            true = passages_of(fit, pair).times
            moved.append(abs(float((seen[1] - seen[0]) - (true[1] - true[0]))))
        return _UNSURE * max(moved)


def _scatter(spans: Floats) -> float:
    """Return the standard deviation of the repeats, from four on about a straight line: winding and supply warm up."""
    n = spans.size
    if n < 4:
        return float(np.std(spans, ddof=1))
    order = np.arange(n) - 0.5 * (n - 1)
    left = spans - spans.mean() - order * float(order @ spans) / float(order @ order)
    return float(np.sqrt(np.sum(left**2) / (n - 2)))


def clear_passages(passages: Sequence[Passage]) -> list[Passage]:
    """Return the repeats that count and whose way from 10 to 90 % is not lost in noise."""
    counting = [one for one in passages if not one.why]
    marks = [crossing_times(one.time, one.share, (0.1, 0.9)) for one in counting]
    return [one for one, (low, high) in zip(counting, marks, strict=True) if low < high]


def rough_across(passages: Sequence[Passage]) -> float:
    """Return about how long the repeats take from 10 to 90 % [s]."""
    marks = np.array([crossing_times(one.time, one.share, (0.1, 0.9)) for one in passages])
    return float(np.nanmedian(marks[:, 1] - marks[:, 0]))


def too_few(passages: Sequence[Passage]) -> str:
    """Say why the repeats are too coarsely sampled to be timed; nothing where they are not."""
    counts = [int(np.count_nonzero((p.share > _BETWEEN[0]) & (p.share < _BETWEEN[1]))) for p in passages]
    usual = float(np.median(counts))
    if usual >= _FEWEST:
        return ""
    return (
        f"readings are too far apart: {usual:.3g} of them between 5 and 95 % of a step, and it takes {_FEWEST:.0f} "
        "to tell how steep it is"
    )


def rounding_of(passages: Sequence[Passage], interval: float) -> float:
    """Return how long the beginning of a step is rounded [s]: no window of its sensor can be longer."""
    samples, guess = _samples(passages)
    fit = fit_shape(samples, window=0.0, guess=guess, free=_SHARP)
    return max(fit.shape.ramp, 0.0) if np.isfinite(fit.sum_of_squares) else interval


def time_steps(passages: Sequence[Passage], *, interval: float, window: float, jitter: float = 0.0) -> Timing:
    """Return the repeats with the shapes that fit them."""
    samples, guess = _samples(passages)
    families = _QUICK if interval <= FAST else FAMILIES
    fits = tuple(fit_shape(samples, window=window, guess=guess, free=free) for free in families)
    return Timing(tuple(passages), fits, interval, window, guess, jitter)


def _samples(passages: Sequence[Passage]) -> tuple[list[StepSamples], float]:
    guess = max(rough_across(passages), 1e-3)
    out = []
    for one in passages:
        begin = float(crossing_times(one.time, one.share, (0.1,))[0]) - 0.1 * guess
        inside = (one.time > begin - 0.6 * guess) & (one.time < begin + guess + _AFTER * guess)
        every = max(1, int(np.count_nonzero(inside)) // _MOST)
        out.append(StepSamples(one.time[inside][::every], one.share[inside][::every], begin))
    return out, guess
