"""Shape of a driven rotor's step: a lag that a limited drive pulls after its command, seen through a window."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["StepShape", "passage_times", "seen_through", "step_response"]

Floats = NDArray[np.float64]

_POINTS = 240
"""Points of a curve: neighbours differ by a hundredth of the step at most."""


@dataclass(frozen=True, slots=True)
class StepShape:
    """How a step goes, in proportion to its size: y' = min(most, (u - y)(1 + bend (1 - y)) / lag).

    u is the command, straight from 0 to 1 within `ramp`.
    """

    lag: float
    """Time constant near the level where it settles [s]."""
    ramp: float = 0.0
    """Time in which the drive's command gets there [s]."""
    most: float = np.inf
    """Greatest rate that the drive can give [1/s]."""
    bend: float = 0.0
    """How much stronger the pull is where the step begins, above -1 [1]; constant torque on speed squared: -0.5."""


def step_response(shape: StepShape, *, reach: float) -> tuple[Floats, Floats]:
    """Return a step's course from 0 towards 1.

    Parameters
    ----------
    shape
        The step.
    reach
        How far to follow it [s].

    Returns
    -------
    time, share
        Even times from 0 to `reach` (n,) [s], and the course (n,) [1], integrated by Heun's rule.

    Source
    ------
    J dw/dt = Q_drive - Q_aero(w) with the drive's torque straight in speed and the load to second order about the level
    where it settles; Heun's rule.

    Examples
    --------
    >>> time, share = step_response(StepShape(0.05), reach=0.1)
    >>> round(float(share[-1]), 4), round(float(time[-1]), 3)
    (0.8647, 0.1)
    """
    step = reach / (_POINTS - 1)
    ramp, most, bend = float(shape.ramp), float(shape.most), float(shape.bend)
    lag = max(float(shape.lag), (1.0 + max(bend, 0.0)) * step)  # what is faster than a point is at once
    strong, soft, half = (1.0 + bend) / lag, bend / lag, 0.5 * step  # (1 + bend (1 - y))/lag = strong - soft y
    y, pull = 0.0, 0.0 if ramp > 0.0 else min(most, strong)
    out = [0.0]
    for number in range(1, _POINTS):
        t = number * step
        u = 1.0 if t >= ramp else t / ramp
        ahead = y + pull * step
        there = (u - ahead) * (strong - soft * ahead)
        y += half * (pull + (min(most, there)))
        pull = (u - y) * (strong - soft * y)
        pull = min(pull, most)
        out.append(y)
    return np.linspace(0.0, reach, _POINTS), np.array(out)


def seen_through(time: ArrayLike, share: ArrayLike, *, window: float) -> Floats:
    """Return the mean of a course over the `window` up to each time, nil before the first.

    Parameters
    ----------
    time
        Even times from 0 (n,) [s].
    share
        The course (n,) [1].
    window
        Of the moving mean [s]; 0: the course itself.

    Returns
    -------
    ndarray
        (n,) [1].

    Source
    ------
    Definition of a moving mean; trapezoidal rule.

    Examples
    --------
    >>> seen_through([0.0, 1.0, 2.0], [0.0, 1.0, 1.0], window=1.0).tolist()
    [0.0, 0.5, 1.0]
    """
    t, y = np.asarray(time, dtype=np.float64), np.asarray(share, dtype=np.float64)
    if window <= 0.0:
        return y
    area = np.concatenate([[0.0], np.cumsum(0.5 * (y[1:] + y[:-1]) * np.diff(t))])
    before = np.interp(t - window, t, area, left=0.0)
    return np.asarray((area - before) / window)


def passage_times(time: ArrayLike, share: ArrayLike, marks: ArrayLike) -> Floats:
    """Return when a course that only rises passes given shares.

    Parameters
    ----------
    time
        (n,) [s].
    share
        The course (n,) [1].
    marks
        Shares asked for (m,) [1].

    Returns
    -------
    ndarray
        (m,) [s]; not a number where the course does not get there.

    Source
    ------
    Linear interpolation, definition.

    Examples
    --------
    >>> passage_times([0.0, 1.0, 2.0], [0.0, 0.5, 1.0], [0.25, 0.75]).tolist()
    [0.5, 1.5]
    """
    t, y = np.asarray(time, dtype=np.float64), np.maximum.accumulate(np.asarray(share, dtype=np.float64))
    asked = np.atleast_1d(np.asarray(marks, dtype=np.float64))
    rising = np.append(True, np.diff(y) > 0.0)
    found = np.interp(asked, y[rising], t[rising])
    return np.where((asked >= y[0]) & (asked <= y[-1]), found, np.nan)
