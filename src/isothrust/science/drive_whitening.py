"""Misfits of readings whose errors hang together within a run, made independent, and how large those errors are."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["MisfitSet", "Spreads", "estimate_spreads", "whitened"]

_STEPS: Final = (0.5, 0.7, 0.85, 1.18, 1.43, 2.0)
_ROUNDS: Final = 4
_LEAST: Final = (0.02, 1e-6, 1e-4)
"""Of each spread: no voltmeter and tachometer agree to better than 0.01 %."""


class Spreads(NamedTuple):
    """Sizes of what is random in the misfits."""

    noise: float = 1.0
    """Of the readings, as a multiple of what is expected of each."""
    misfit: float = 1e-3
    """Of one run's power balance as a whole, relative."""
    voltage: float = 1e-3
    """Of the voltage balance at full duty, relative."""


class MisfitSet(NamedTuple):
    """Misfits of N readings and what they depend on, linearised."""

    values: Floats
    """(N,)"""
    slopes: Floats
    """(N, p)"""
    effects: Floats
    """What one standard uncertainty of each run's own known errors does (N, k)."""
    expected: Floats
    """Expected noise of each, to be multiplied by `Spreads.noise`; 0 where it is a voltage (N,)."""
    whole: Floats
    """Electrical power where it is a power, 0 elsewhere (N,)."""
    level: Floats
    """Voltage where it is a voltage, 0 elsewhere (N,)."""
    places: NDArray[np.int64]
    """Readings of each run, filled up with -1 (runs, m)."""


def whitened(misfits: MisfitSet, spreads: Spreads) -> tuple[Floats, Floats, float]:
    """Return misfits and slopes with independent errors of unit size.

    Parameters
    ----------
    misfits
        N readings of several runs.
    spreads
        Sizes of what is random.

    Returns
    -------
    numpy.ndarray
        (N,) [1].
    numpy.ndarray
        (N, p) [1 per unit].
    float
        Logarithm of the determinant of the covariance.

    Raises
    ------
    numpy.linalg.LinAlgError
        If a reading has no error at all.

    Source
    ------
    Generalised least squares: the Cholesky factor of each run's covariance, diag(noise) + sum of z z'.
    """
    there = misfits.places >= 0
    at = np.where(there, misfits.places, 0)
    own = np.concatenate([misfits.effects, spreads.misfit * misfits.whole[:, None]], axis=1)
    z = np.where(there[:, :, None], own[at], 0.0)
    variance = (spreads.noise * misfits.expected) ** 2 + (spreads.voltage * misfits.level) ** 2
    covariance = z @ np.swapaxes(z, 1, 2)
    rows = np.arange(at.shape[1])
    covariance[:, rows, rows] += np.where(there, variance[at], 1.0)
    factor = np.linalg.cholesky(covariance)
    joined = np.concatenate([misfits.values[:, None], misfits.slopes], axis=1)
    solved = np.linalg.solve(factor, np.where(there[:, :, None], joined[at], 0.0))[there]
    return floats(solved[:, 0]), floats(solved[:, 1:]), float(2.0 * np.sum(np.log(factor[:, rows, rows])))


def estimate_spreads(misfits: MisfitSet, prior: Floats, start: Spreads) -> Spreads:
    """Return the spreads under which what is left of the misfits is most likely.

    Parameters
    ----------
    misfits
        At the parameters' values so far.
    prior
        Inverse standard uncertainty that each parameter has beforehand; 0 for none (p,) [1 per unit].
    start
        Where the search begins.

    Returns
    -------
    Spreads
        Of greatest restricted likelihood, each to about a tenth.

    Source
    ------
    [PattersonThompson1971].
    """
    best, least = start, _deviance(misfits, prior, start)
    for _ in range(_ROUNDS):
        moved = False
        for name, low in zip(Spreads._fields, _LEAST, strict=True):
            if not _matters(misfits, name):
                continue
            for factor in _STEPS:
                tried = best._replace(**{name: float(np.clip(getattr(best, name) * factor, low, 1e3))})
                deviance = _deviance(misfits, prior, tried)
                if deviance < least - 1e-3:
                    best, least, moved = tried, deviance, True
        if not moved:
            break
    return best


def _matters(misfits: MisfitSet, name: str) -> bool:
    of = {"noise": misfits.expected, "misfit": misfits.whole, "voltage": misfits.level}[name]
    return bool(np.any(of > 0.0))


def _deviance(misfits: MisfitSet, prior: Floats, spreads: Spreads) -> float:
    """Twice the negative logarithm of the restricted likelihood, but for a constant."""
    values, slopes, determinant = whitened(misfits, spreads)
    normal = slopes.T @ slopes + np.diag(prior**2)
    sign, information = np.linalg.slogdet(normal)
    if sign <= 0.0:
        return np.inf
    against = slopes.T @ values
    return float(values @ values - against @ np.linalg.solve(normal, against) + determinant + information)
