"""Single-plane balancing: the correction from trial masses, with a once-per-revolution mark or without, and grades."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = [
    "GRADES",
    "LEAST_CHANGE",
    "Correction",
    "balance_grade",
    "correction_from_amplitudes",
    "correction_from_vectors",
    "grade_name",
    "permissible_unbalance",
    "split_by_turning",
    "vector_change",
]

Complexes = NDArray[np.complex128]

LEAST_CHANGE = 0.25
"""A trial mass must change the vector by at least so much of itself [1]; less drowns in what mounting changes."""
GRADES = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0)
"""Balance quality grades of ISO 21940-11 [mm/s]."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What to add, and where, so that the rotor is balanced; the trial mass taken off."""

    unbalance: complex
    """Mass times radius at its angle [kg m]; the rotor's own unbalance is its negative."""
    covariance: Floats
    """(2, 2) of its real and imaginary part [kg2 m2]."""
    change: float
    """By how much the trial changed the vector, of itself [1]; below `LEAST_CHANGE` nothing can be said."""

    @property
    def size(self) -> float:
        """Mass times radius [kg m]."""
        return abs(self.unbalance)

    @property
    def angle(self) -> float:
        """From the mark, in the direction in which the trial's angle was counted [rad], 0 to 2 pi."""
        return float(np.angle(self.unbalance) % (2.0 * np.pi))

    @property
    def u_size(self) -> float:
        """Standard uncertainty of the size [kg m]."""
        along = np.array([self.unbalance.real, self.unbalance.imag]) / max(self.size, 1e-300)
        return float(np.sqrt(along @ self.covariance @ along))

    @property
    def u_angle(self) -> float:
        """Standard uncertainty of the angle [rad]."""
        across = np.array([-self.unbalance.imag, self.unbalance.real]) / max(self.size, 1e-300)
        return float(np.sqrt(across @ self.covariance @ across)) / max(self.size, 1e-300)


def vector_change(initial: ArrayLike, trial: ArrayLike) -> Floats:
    """Return by how much a trial mass changed the vectors, over all of them.

    Parameters
    ----------
    initial, trial
        Complex amplitudes without and with the trial mass (n,) [any unit, the same].

    Returns
    -------
    ndarray
        Root of the summed squares of the change over that of the initial vectors () [1].

    Source
    ------
    Definition; the limit of a quarter is common practice of field balancing.
    """
    before, after = np.asarray(initial, dtype=complex), np.asarray(trial, dtype=complex)
    whole = np.sum(np.abs(before) ** 2)
    return np.asarray(np.sqrt(np.sum(np.abs(after - before) ** 2) / whole))


def correction_from_vectors(
    initial: ArrayLike, trial: ArrayLike, u_initial: ArrayLike, u_trial: ArrayLike, trial_unbalance: complex
) -> Correction:
    """Return the correction by influence coefficients in one plane.

    Parameters
    ----------
    initial, trial
        Complex once-per-revolution amplitudes without and with the trial mass, at the same speeds and axes (n,) [any].
    u_initial, u_trial
        Standard uncertainty of each of their parts, real and imaginary (n,) [as those].
    trial_unbalance
        Trial mass times radius at its angle [kg m].

    Returns
    -------
    Correction
        The w that makes `initial + alpha w` least, alpha = (trial - initial)/trial unbalance, weighted over speeds and
        axes by what is left uncertain.

    Source
    ------
    [Goodman1964], eq. (1) to (4) for one plane: least squares over several speeds.
    """
    before, after = np.asarray(initial, dtype=complex), np.asarray(trial, dtype=complex)
    u0, u1 = floats(u_initial), floats(u_trial)
    change = float(vector_change(before, after))
    step = after - before
    # -before/step is the same ratio everywhere; of its two errors that of `before` moves both ends
    estimate = _weighted_ratio(-before, step, np.ones_like(u0))
    for _ in range(3):
        variance = np.abs(1.0 - estimate) ** 2 * u0**2 + np.abs(estimate) ** 2 * u1**2
        estimate = _weighted_ratio(-before, step, 1.0 / np.maximum(variance, 1e-300))
    variance = np.abs(1.0 - estimate) ** 2 * u0**2 + np.abs(estimate) ** 2 * u1**2
    known = np.sum(np.abs(step) ** 2 / np.maximum(variance, 1e-300))
    part = float(1.0 / max(float(known), 1e-300)) * abs(trial_unbalance) ** 2
    return Correction(complex(estimate * trial_unbalance), np.eye(2) * part, change)


def _weighted_ratio(numerator: Complexes, denominator: Complexes, weight: Floats) -> complex:
    whole = np.sum(weight * np.abs(denominator) ** 2)
    return complex(np.sum(weight * denominator.conj() * numerator) / max(float(whole), 1e-300))


def correction_from_amplitudes(
    initial: ArrayLike, trials: ArrayLike, u_initial: ArrayLike, u_trials: ArrayLike, unbalances: ArrayLike
) -> Correction:
    """Return the correction from amplitudes alone: one run without and at least three with a trial mass.

    Parameters
    ----------
    initial
        Amplitudes without a trial mass, at several speeds and axes (n,) [any].
    trials
        Amplitudes with the trial mass at each of its angles (t, n), t at least 3 [as those].
    u_initial, u_trials
        Standard uncertainties (n,), (t, n) [as those].
    unbalances
        Trial mass times radius at each angle, complex (t,) [kg m].

    Returns
    -------
    Correction
        The w of |1 - u_k/w| = trial amplitude over initial amplitude in the least squares of all trials; angles count
        as the trial's do. `change` is the trial's effect on the vector, |u/w|.

    Raises
    ------
    ValueError
        With fewer than three trials, or angles that lie on one line through the shaft.

    Source
    ------
    The circles of the four-run method of field balancing, common practice, solved here as least squares.

    Examples
    --------
    A rotor with 2 at 90 degrees and trials of 1 at 0, 120 and 240 degrees is corrected by 2 at 270 degrees:

    >>> put = np.exp(2j * np.pi * np.arange(3) / 3)
    >>> seen = np.abs(2j + put)[:, None]
    >>> found = correction_from_amplitudes([2.0], seen, [0.01], 0.01 + 0.0 * seen, put)
    >>> round(found.size, 6), round(float(np.degrees(found.angle)), 6)
    (2.0, 270.0)
    """
    a0, a, u0 = floats(initial), floats(trials), floats(u_initial)
    put = np.asarray(unbalances, dtype=complex)
    u = floats(u_trials)
    if put.size < 3:
        message = f"at least three trials are needed, not {put.size}"
        raise ValueError(message)
    squared = (a / a0) ** 2
    u_squared = 2.0 * squared * np.hypot(u / np.maximum(a, 1e-300), u0 / a0)
    weight = 1.0 / np.maximum(u_squared, 1e-9) ** 2
    ratio = np.sum(weight * squared, axis=1) / np.sum(weight, axis=1)
    u_ratio = np.sqrt(1.0 / np.sum(weight, axis=1))
    # |1 + q u|^2 = 1 + |q|^2 |u|^2 + 2 Re(q u): linear in |q|^2 and the two parts of q, the start of the iteration
    rows = np.stack([np.abs(put) ** 2, 2.0 * put.real, -2.0 * put.imag], axis=1)
    size = float(np.abs(put).max())
    scaled = rows / np.array([size**2, size, size])
    if np.linalg.matrix_rank(scaled, tol=1e-3) < 3:
        message = "the trials' angles lie on one line through the shaft"
        raise ValueError(message)
    start = np.linalg.lstsq(scaled / u_ratio[:, None], (ratio - 1.0) / u_ratio, rcond=None)[0]
    q = np.array([start[1], start[2]]) / size
    q, covariance = _refined(q, put, ratio, u_ratio)
    value = complex(q[0], q[1])
    # w = -1/q: both parts turn and stretch by |dw/dq| = 1/|q|^2
    turn = 1.0 / value**2
    jacobian = np.array([[turn.real, -turn.imag], [turn.imag, turn.real]])
    return Correction(-1.0 / value, jacobian @ covariance @ jacobian.T, abs(value) * float(np.mean(np.abs(put))))


def _refined(q: Floats, put: Complexes, ratio: Floats, u_ratio: Floats) -> tuple[Floats, Floats]:
    """Return q (2,) in least squares of |1 + q u|^2 = ratio, and its covariance, by Gauss and Newton."""
    normal = np.eye(2)
    for _ in range(20):
        whole = 1.0 + complex(q[0], q[1]) * put
        slope = 2.0 * (whole.conj() * put)
        jacobian = np.stack([slope.real, -slope.imag], axis=1) / u_ratio[:, None]
        left = (ratio - np.abs(whole) ** 2) / u_ratio
        normal = jacobian.T @ jacobian + 1e-12 * np.eye(2) * np.trace(jacobian.T @ jacobian)
        q = q + np.linalg.solve(normal, jacobian.T @ left)
    return q, np.asarray(np.linalg.inv(normal), dtype=np.float64)


def split_by_turning(as_mounted: ArrayLike, turned: ArrayLike) -> tuple[Complexes, Complexes]:
    """Return the parts of hub and motor and of the propeller, from the propeller remounted at 180 degrees.

    Parameters
    ----------
    as_mounted, turned
        Complex amplitudes against a mark that stays with the motor (n,) [any].

    Returns
    -------
    tuple of ndarray
        Of hub and motor, which turned with the mark, and of the propeller as first mounted, both (n,) [any].

    Source
    ------
    [ISO21940], part 14, clause 5 (index balancing): half the sum and half the difference.

    Examples
    --------
    >>> hub, blade = split_by_turning([3.0 + 1.0j], [1.0 - 1.0j])
    >>> hub.tolist(), blade.tolist()
    ([(2+0j)], [(1+1j)])
    """
    one, other = np.asarray(as_mounted, dtype=complex), np.asarray(turned, dtype=complex)
    return 0.5 * (one + other), 0.5 * (one - other)


def balance_grade(unbalance: ArrayLike, mass: ArrayLike, speed: ArrayLike) -> Floats:
    """Return the balance quality grade G of a rotor.

    Parameters
    ----------
    unbalance
        Mass times radius (…) [kg m].
    mass
        Of the rotor (…) [kg].
    speed
        Greatest service speed (…) [rad/s].

    Returns
    -------
    ndarray
        Eccentricity times speed (…) [mm/s].

    Source
    ------
    [ISO21940], part 11, G = e_per Omega in mm/s; the edition from memory.

    Examples
    --------
    >>> round(float(balance_grade(6.3e-3 / 314.159265 * 2.0, 2.0, 314.159265)), 6)
    6.3
    """
    return np.asarray(1e3 * floats(unbalance) / floats(mass) * floats(speed))


def permissible_unbalance(grade: ArrayLike, mass: ArrayLike, speed: ArrayLike) -> Floats:
    """Return the unbalance that a grade permits.

    Parameters
    ----------
    grade
        G (…) [mm/s].
    mass
        Of the rotor (…) [kg].
    speed
        Greatest service speed (…) [rad/s].

    Returns
    -------
    ndarray
        Mass times radius (…) [kg m].

    Source
    ------
    [ISO21940], part 11, U_per = e_per m with e_per = G/Omega; the edition from memory.
    """
    return np.asarray(1e-3 * floats(grade) * floats(mass) / floats(speed))


def grade_name(grade: float) -> str:
    """Return the least of the standard's grades that a rotor keeps.

    Parameters
    ----------
    grade
        Eccentricity times speed [mm/s].

    Returns
    -------
    str
        'G 6.3'; above the greatest of them 'beyond G 4000'.

    Source
    ------
    [ISO21940], part 11, table 1; grades a factor 2.5 apart.

    Examples
    --------
    >>> grade_name(5.1), grade_name(16.0), grade_name(9000.0)
    ('G 6.3', 'G 16', 'beyond G 4000')
    """
    kept = next((step for step in GRADES if grade <= step * (1.0 + 1e-9)), None)
    return f"beyond G {GRADES[-1]:g}" if kept is None else f"G {kept:g}"
