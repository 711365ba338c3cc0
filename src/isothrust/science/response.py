"""Response of one step in time: when it passed given shares of the way, how far it overshot, when it had settled."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["crossing_times", "overshoot_of", "settling_time", "spin_up_speed", "time_between_speeds"]

Floats = NDArray[np.float64]


def crossing_times(time: ArrayLike, share: ArrayLike, marks: ArrayLike) -> Floats:
    """Return the times at which a step passed given shares of its way, straight between samples.

    Where noise crosses a mark to and fro, the middle between the first and the last passage counts: each of them alone
    is early or late by what the noise is wide.

    Parameters
    ----------
    time
        Rising times (n,), from before the step to after it [s].
    share
        Of the way from the level before to the level after (n,) [1].
    marks
        Shares asked for (m,) [1].

    Returns
    -------
    ndarray
        (m,) [s]; not a number where the step never passed the mark, or stood beyond it from the start.

    Source
    ------
    Linear interpolation, definition.

    Examples
    --------
    >>> crossing_times([0.0, 1.0, 2.0, 3.0], [0.0, 0.0, 0.5, 1.0], [0.1, 0.9]).round(3).tolist()
    [1.2, 2.8]
    """
    t, y = np.asarray(time, dtype=np.float64), np.asarray(share, dtype=np.float64)
    asked = np.atleast_1d(np.asarray(marks, dtype=np.float64))
    out = np.full(asked.shape, np.nan)
    for place, mark in enumerate(asked.tolist()):
        beyond = np.flatnonzero(y >= mark)
        if beyond.size == 0 or beyond[0] == 0:
            continue
        first = int(beyond[0])
        # noise comes back to the mark from nearby only: what falls short again after half the way more is another event
        clear = np.flatnonzero(y >= min(1.0, mark + 0.5 * (1.0 - mark)))
        until = int(clear[0]) if clear.size else y.size - 1
        short = np.flatnonzero(y[: until + 1] < mark)
        last = int(short[-1]) + 1 if short.size and short[-1] + 1 < y.size else first
        out[place] = 0.5 * (_between(t, y, first, mark) + _between(t, y, max(first, last), mark))
    return out


def _between(t: Floats, y: Floats, after: int, mark: float) -> float:
    rise = float(y[after] - y[after - 1])
    part = (mark - float(y[after - 1])) / rise if rise > 0.0 else 1.0
    return float(t[after - 1] + part * (t[after] - t[after - 1]))


def overshoot_of(share: ArrayLike) -> float:
    """Return how far a step went beyond the level at which it settled, nil where it never passed it.

    Parameters
    ----------
    share
        Of the way from the level before to the level after, mean of the repeats (n,) [1].

    Returns
    -------
    float
        In proportion to the step [1].

    Source
    ------
    Definition.

    Examples
    --------
    >>> round(overshoot_of([0.0, 0.6, 1.1, 0.98, 1.0]), 3), overshoot_of([0.0, 0.5, 0.9])
    (0.1, 0.0)
    """
    return max(0.0, float(np.max(np.asarray(share, dtype=np.float64))) - 1.0)


def settling_time(time: ArrayLike, share: ArrayLike, *, band: float) -> float:
    """Return the time from which on a step stays within a band about the level at which it settled.

    Parameters
    ----------
    time
        Rising times (n,) from the command [s].
    share
        Of the way from the level before to the level after (n,) [1].
    band
        Half its width, in proportion to the step [1].

    Returns
    -------
    float
        Straight between samples [s]; not a number where the step ends outside the band or was never outside it.

    Source
    ------
    Definition.

    Examples
    --------
    >>> settling_time([0.0, 1.0, 2.0, 3.0], [0.0, 0.9, 1.0, 1.0], band=0.05)
    1.5
    """
    t, away = np.asarray(time, dtype=np.float64), np.abs(np.asarray(share, dtype=np.float64) - 1.0)
    outside = np.flatnonzero(away > band)
    if outside.size == 0 or outside[-1] == t.size - 1:
        return float("nan")
    last = int(outside[-1])
    part = (away[last] - band) / max(away[last] - away[last + 1], 1e-300)
    return float(t[last] + min(part, 1.0) * (t[last + 1] - t[last]))


def spin_up_speed(time: ArrayLike, *, torque: float, load: float, inertia: float) -> Floats:
    """Return the speed of a rotor that a constant torque spins up from rest against a load that goes as speed squared.

    Parameters
    ----------
    time
        Since the torque set in, any shape [s].
    torque
        Of the drive, constant [N m].
    load
        Aerodynamic torque over speed squared [N m s2].
    inertia
        Of everything that turns [kg m2].

    Returns
    -------
    ndarray
        Shape of `time` [rad/s].

    Source
    ------
    J dw/dt = Q0 - k w^2, w(0) = 0: w = sqrt(Q0/k) tanh(t sqrt(Q0 k)/J); separation of variables.

    Examples
    --------
    >>> float(spin_up_speed(0.06324555320, torque=0.1, load=1e-6, inertia=2e-5).round(4))
    240.8372
    """
    rate = np.sqrt(torque * load) / inertia
    return np.asarray(np.sqrt(torque / load) * np.tanh(rate * np.asarray(time, dtype=np.float64)))


def time_between_speeds(speed: ArrayLike, spare: ArrayLike, *, inertia: float) -> float:
    """Return the time that a rotor takes from one speed to another with the torque that is left to accelerate it.

    Parameters
    ----------
    speed
        From the first speed to the last, rising (n,) [rad/s].
    spare
        Torque of the drive less that of the air at each (n,) [N m].
    inertia
        Of everything that turns [kg m2].

    Returns
    -------
    float
        [s]; infinite where nothing is left somewhere on the way.

    Source
    ------
    J dw/dt = Q_drive - Q_aero: t = int J dw/(Q_drive - Q_aero); trapezoidal rule.

    Examples
    --------
    >>> round(time_between_speeds([100.0, 200.0, 300.0], [0.1, 0.1, 0.1], inertia=2e-5), 6)
    0.04
    """
    w, q = np.asarray(speed, dtype=np.float64), np.asarray(spare, dtype=np.float64)
    if not np.all(q > 0.0):
        return float("inf")
    pace = inertia / q
    return float(np.sum(0.5 * (pace[1:] + pace[:-1]) * np.diff(w)))
