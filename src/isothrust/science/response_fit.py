"""One shape fitted to all repeats of a step together, each with a start of its own between two samples."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.science.response_model import StepShape, passage_times, seen_through, step_response

__all__ = ["FAMILIES", "Passages", "ShapeFit", "StepSamples", "fit_shape", "passages_of", "weighed_passages"]

Floats = NDArray[np.float64]

_ROUNDS = 30
_ENOUGH = 1e-5
"""Relative gain of a round below which the fit has arrived."""
_SEEN = 1e-3
"""A family that weighs less than this counts for nothing [1]."""
FAMILIES = (
    ("lag",),
    ("lag", "bend"),
    ("lag", "ramp"),
    ("lag", "ramp", "bend"),
    ("lag", "ramp", "most"),
    ("lag", "most", "bend"),
)
"""Families of shapes by the parameters that they leave free, from the plainest on."""


@dataclass(frozen=True, slots=True)
class StepSamples:
    """One repeat about its step."""

    time: Floats
    """(n,) [s]"""
    share: Floats
    """Of the way from the level before to the level after (n,) [1]."""
    start: float
    """First guess of when it began [s]."""


@dataclass(frozen=True, slots=True)
class ShapeFit:
    """What fits all repeats best."""

    parameters: Floats
    """Log of lag, ramp over `guess`, log of most, bend: those named; then the gain (p,)."""
    names: tuple[str, ...]
    guess: float
    starts: Floats
    """When each repeat began (k,) [s]."""
    residual_sd: float
    """[1]"""
    samples: int
    free: int
    """Parameters fitted."""
    sum_of_squares: float
    covariance: Floats
    """Of the parameters (p, p), for the residuals' scatter."""

    @property
    def shape(self) -> StepShape:
        """The step's shape."""
        return _shape(self.names, self.parameters, self.guess)

    @property
    def gain(self) -> float:
        """Level that the course makes for, in proportion to the step: 1 where nothing drifts on afterwards."""
        return float(self.parameters[-1])

    @property
    def criterion(self) -> float:
        """Corrected information criterion: the least is the best of several fits to the same samples."""
        n, p = max(self.samples, 1), self.free + 1
        return n * float(np.log(max(self.sum_of_squares, 1e-300) / n)) + 2.0 * p + 2.0 * p * (p + 1) / max(n - p - 1, 1)


def fit_shape(steps: Sequence[StepSamples], *, window: float, guess: float, free: tuple[str, ...]) -> ShapeFit:
    """Return the shape of one family that fits all repeats of a step together.

    Parameters
    ----------
    steps
        The repeats.
    window
        Over which the sensor takes its mean [s].
    guess
        About how long the step takes from 10 to 90 % [s].
    free
        Which of the shape's parameters are fitted: 'lag' and any of 'ramp', 'most', 'bend'.

    Returns
    -------
    ShapeFit
        By least squares (Levenberg's and Marquardt's damping), every repeat weighed alike.

    Source
    ------
    Nonlinear least squares [JCGM100] H.3; [HurvichTsai1989] for the criterion.
    """
    problem = _Problem(steps, window, guess, free)
    at = problem.first()
    residual, slope = problem.linear(at)
    cost, damping = float(residual @ residual), 1e-3
    for _ in range(_ROUNDS):
        normal, pull = slope.T @ slope, slope.T @ residual
        trial = at + np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-12), pull)
        trial = problem.inside(trial)
        ahead = problem.residual(trial)
        better = float(ahead @ ahead)
        if better < cost:
            gain, at, cost = (cost - better) / cost, trial, better
            residual, slope = problem.linear(at)
            damping = max(damping / 6.0, 1e-9)
            if gain < _ENOUGH:
                break
        elif damping > 1e6:
            break
        else:
            damping *= 5.0
    return problem.found(at, residual, slope)


class _Problem:
    """Parameters: log of lag, ramp over guess, log of most, bend (those that are free), gain, starts."""

    def __init__(self, steps: Sequence[StepSamples], window: float, guess: float, free: tuple[str, ...]) -> None:
        self.steps, self.window, self.guess, self.free = steps, window, guess, free
        self.time = np.concatenate([step.time for step in steps])
        self.share = np.concatenate([step.share for step in steps])
        self.of = np.repeat(np.arange(len(steps)), [step.time.size for step in steps])
        self.shapes = len(free) + 1

    def first(self) -> Floats:
        begin = {"lag": np.log(self.guess / 2.2), "ramp": 0.5, "most": np.log(1.2 / self.guess), "bend": 0.0}
        starts = [step.start for step in self.steps]
        return np.array([*(begin[name] for name in self.free), 1.0, *starts])

    def inside(self, at: Floats) -> Floats:
        """Keep a trial where the shape means something."""
        out = at.copy()
        for place, name in enumerate(self.free):
            low, high = {
                "lag": (np.log(self.guess / 60.0), np.log(4.0 * self.guess)),
                "ramp": (0.0, 3.0),
                "most": (np.log(0.3 / self.guess), np.log(60.0 / self.guess)),
                "bend": (-0.95, 8.0),
            }[name]
            out[place] = min(max(out[place], low), high)
        out[self.shapes - 1] = min(max(out[self.shapes - 1], 0.8), 1.2)
        return out

    def _curve(self, at: Floats) -> tuple[Floats, Floats]:
        return _course(self.free, at[: self.shapes], self.guess, self.window)

    def _since(self, at: Floats) -> Floats:
        return np.asarray(self.time - at[self.shapes :][self.of])

    def residual(self, at: Floats) -> Floats:
        time, curve = self._curve(at)
        return np.asarray(self.share - np.interp(self._since(at), time, curve))

    def linear(self, at: Floats) -> tuple[Floats, Floats]:
        """Return the residuals (n,) and the slope of the model over the parameters (n, p)."""
        time, curve = self._curve(at)
        since = self._since(at)
        here = np.interp(since, time, curve)
        slope = np.zeros((since.size, at.size))
        for place in range(self.shapes):
            step = 1e-4 if place < self.shapes - 1 else 1e-3
            moved = at.copy()
            moved[place] += step
            _, other = self._curve(moved)
            slope[:, place] = (np.interp(since, time, other) - here) / step
        rate = np.gradient(curve, time)
        slope[np.arange(since.size), self.shapes + self.of] = -np.interp(since, time, rate, left=0.0, right=0.0)
        return np.asarray(self.share - here), slope

    def found(self, at: Floats, residual: Floats, slope: Floats) -> ShapeFit:
        n, p = residual.size, at.size
        variance = float(residual @ residual) / max(n - p, 1)
        covariance = np.linalg.pinv(slope.T @ slope, rcond=1e-12)[: self.shapes, : self.shapes] * variance
        return ShapeFit(
            parameters=at[: self.shapes],
            names=self.free,
            guess=self.guess,
            starts=at[self.shapes :],
            residual_sd=float(np.sqrt(variance)),
            samples=n,
            free=p,
            sum_of_squares=float(residual @ residual),
            covariance=np.asarray(covariance),
        )


def _shape(names: tuple[str, ...], parameters: Floats, guess: float) -> StepShape:
    given = dict(zip(names, parameters.tolist(), strict=False))
    return StepShape(
        lag=float(np.exp(given["lag"])),
        ramp=float(given.get("ramp", 0.0)) * guess,
        most=float(np.exp(given["most"])) if "most" in given else np.inf,
        bend=given.get("bend", 0.0),
    )


def _course(names: tuple[str, ...], parameters: Floats, guess: float, window: float) -> tuple[Floats, Floats]:
    time, share = step_response(_shape(names, parameters, guess), reach=8.0 * guess + 2.0 * window)
    return time, parameters[-1] * seen_through(time, share, window=window)


@dataclass(frozen=True, slots=True)
class Passages:
    """When a step passes given shares of its way, from its beginning."""

    times: Floats
    """(m,) [s]"""
    covariance: Floats
    """(m, m) [s2]"""


def passages_of(fit: ShapeFit, marks: Sequence[float], *, window: float = 0.0) -> Passages:
    """Return when the fitted step passes shares of the way between its levels, seen through a window or without one.

    Parameters
    ----------
    fit
        From `fit_shape`.
    marks
        Shares (m,) [1].
    window
        Of a moving mean that it is seen through [s].

    Returns
    -------
    Passages
        Not a number where the course does not get there.

    Source
    ------
    Propagation of uncertainty [JCGM100] 5.2.
    """
    asked = np.asarray(marks, dtype=np.float64)

    def times(parameters: Floats) -> Floats:
        return passage_times(*_course(fit.names, parameters, fit.guess, window), asked)

    here = times(fit.parameters)
    slope = np.empty((asked.size, fit.parameters.size))
    for place in range(fit.parameters.size):
        moved = fit.parameters.copy()
        moved[place] += 1e-4
        slope[:, place] = (times(moved) - here) / 1e-4
    return Passages(here, np.asarray(slope @ fit.covariance @ slope.T))


def weighed_passages(fits: Sequence[ShapeFit], marks: Sequence[float], *, window: float = 0.0) -> Passages:
    """Return the passages that several fits to the same samples agree on, each weighed by how well it explains them.

    Parameters
    ----------
    fits
        Of different families (k,).
    marks, window
        As in `passages_of`.

    Returns
    -------
    Passages
        Their covariance holds what the families differ by.

    Source
    ------
    Weights exp(-(criterion - least)/2) and the variance between models: [BurnhamAnderson2002] 2.9 and 4.3.
    """
    least = min(fit.criterion for fit in fits)
    weights = np.array([np.exp(-0.5 * (fit.criterion - least)) for fit in fits])
    weights /= weights.sum()
    found = [
        passages_of(fit, marks, window=window) for fit, weight in zip(fits, weights, strict=True) if weight > _SEEN
    ]
    kept = weights[weights > _SEEN] / weights[weights > _SEEN].sum()
    mean = np.asarray(sum(w * one.times for w, one in zip(kept, found, strict=True)))
    spread = [
        w * (one.covariance + np.outer(one.times - mean, one.times - mean)) for w, one in zip(kept, found, strict=True)
    ]
    return Passages(mean, np.asarray(sum(spread)))
