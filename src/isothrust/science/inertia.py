"""Moment of inertia of everything that turns, from the balance of angular momentum over transients."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.science.alignment import cumulative_integral, smoothed_slope

__all__ = ["MomentumFit", "PartInertia", "TransientSeries", "fit_momentum", "inertia_of_parts"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MomentumFit:
    """Inertia and torque delay that close the balance."""

    inertia: float
    """[kg m2]"""
    u_inertia: float
    """Standard uncertainty [kg m2], infinite where the data do not fix it."""
    delay: float
    """Mean delay of the torque channel against the speed channel [s]."""
    u_delay: float
    """[s]"""
    correlation: float
    """Between the two estimates [1]."""
    residual_sd: float
    """Of the momentum, about the fit [kg m2/s]."""


@dataclass(frozen=True, slots=True)
class TransientSeries:
    """Transients, one after another, all arrays (n,)."""

    time: Floats
    """Rising within a segment [s]."""
    speed: Floats
    """[rad/s]"""
    torque: Floats
    """As the cell reads it, zero and scale done [N m]."""
    aero: Floats
    """Aerodynamic torque at the speed, found without taking any inertial part out [N m]."""
    aero_per_inertia: Floats
    """How much of `aero` is inertial per unit of inertia [N m per kg m2]."""
    segment: NDArray[np.int64]
    """Number of the transient that each sample belongs to."""


def fit_momentum(series: TransientSeries, *, half_width: int, nuisance: Floats | None = None) -> MomentumFit:
    """Return rotor inertia and the torque channel's own delay from steps, drops under power, open-circuit coasts.

    A reaction-torque cell reads Q = Q_aero + I w' (in an open-circuit coast that is the friction alone, with its sign).
    With a mean delay m1 of the cell, Q = q + m1 q' + m2 q'', so over a transient from its start

        int(q - Q_aero) dt = I (w - w_start) - m1 (q - q_start) - m2 (q' - q'_start).

    Leaving m1 out biases I by (tau_torque - tau_speed) dQ/dw, the same sign up and down. Q_aero itself was found from
    torque less I w': `aero_per_inertia` says by how much it falls per unit of I, which makes the balance linear in I.

    Parameters
    ----------
    series
        The transients.
    half_width
        Neighbours on each side for q' [samples].
    nuisance
        Shapes of aerodynamic torques of unknown size that are fitted along (n,) or (n, k), for runs that know Q_aero
        at a few speeds only [N m].

    Returns
    -------
    MomentumFit
        Both estimates; each transient counts as ten independent stretches, because integrals of noise wander.

    Source
    ------
    Conservation of angular momentum; moments of a linear filter; [JCGM100] H.3 for the uncertainties.
    """
    rows = _balance_rows(series, half_width, nuisance)
    if not rows:
        return MomentumFit(np.nan, np.inf, 0.0, np.inf, 0.0, np.nan)
    return _solve(
        np.concatenate([row.columns for row in rows], axis=1).T, np.concatenate([row.right for row in rows]), len(rows)
    )


@dataclass(frozen=True, slots=True)
class PartInertia:
    """Inertia by some of the transients, everything else as all of them together have it."""

    inertia: float
    """[kg m2]"""
    u_inertia: float
    """Standard uncertainty by the residuals of these transients [kg m2]."""


def inertia_of_parts(
    series: TransientSeries, parts: NDArray[np.int64], *, half_width: int, nuisance: Floats | None = None
) -> dict[int, PartInertia]:
    """Return the inertia that each kind of transient shows by itself, the cell's delay shared by all of them.

    A balance over all transients fixes inertia, delay and what else is fitted along. What it leaves over is laid to
    the inertia of each kind alone: where friction, delay or the torque curve is wrong in one kind and not in another,
    they disagree.

    Parameters
    ----------
    series
        The transients.
    parts
        Kind of transient that each sample belongs to (n,).
    half_width, nuisance
        As in `fit_momentum`.

    Returns
    -------
    dict
        Kind -> its inertia; empty where the balance fixes nothing.

    Source
    ------
    As `fit_momentum`; regression of the residuals, [JCGM100] H.3.
    """
    rows = _balance_rows(series, half_width, nuisance)
    if not rows:
        return {}
    design = np.concatenate([row.columns for row in rows], axis=1).T
    right = np.concatenate([row.right for row in rows])
    scale = np.sqrt(np.mean(design**2, axis=0))
    if not np.all(scale > 0.0):
        return {}
    solution, _, rank, _ = np.linalg.lstsq(design / scale, right, rcond=1e-9)
    if rank < scale.size:
        return {}
    whole = solution / scale
    out: dict[int, PartInertia] = {}
    kinds = {number: int(parts[series.segment == number][0]) for number in (row.number for row in rows)}
    for kind in sorted(set(kinds.values())):
        own = [row for row in rows if kinds[row.number] == kind]
        over = np.concatenate([row.right - row.columns.T @ whole for row in own])
        turned = np.concatenate([row.columns[0] for row in own])
        power = float(turned @ turned)
        more = float(turned @ over) / power
        variance = float(np.mean((over - more * turned) ** 2)) * over.size / max(1.0, 10.0 * len(own) - 1.0)
        out[kind] = PartInertia(float(whole[0]) + more, float(np.sqrt(variance / power)))
    return out


@dataclass(frozen=True, slots=True)
class _Row:
    number: int
    columns: Floats
    """(p, n)"""
    right: Floats
    """(n,)"""


def _balance_rows(series: TransientSeries, half_width: int, nuisance: Floats | None) -> list[_Row]:
    """Return the balance of each transient, its mean taken out: what an integral begins with is not known."""
    t, w, q = series.time, series.speed, series.torque
    aero_torque, inertial, spell = series.aero, series.aero_per_inertia, series.segment
    rows: list[_Row] = []
    for number in np.unique(spell):
        of = spell == number
        if np.count_nonzero(of) < 8:
            continue
        slope = smoothed_slope(t[of], q[of], half_width=half_width)
        columns = np.stack(
            [
                w[of] - w[of][0] - cumulative_integral(t[of], inertial[of]),
                -(q[of] - q[of][0]),
                -(slope - slope[0]),
            ]
        )
        if nuisance is not None:
            shapes = cumulative_integral(t[of], nuisance[of].reshape(columns.shape[1], -1))
            columns = np.concatenate([columns, shapes.T])
        lhs = cumulative_integral(t[of], q[of] - aero_torque[of])
        middled = columns - columns.mean(axis=1, keepdims=True)
        rows.append(_Row(int(number), middled, lhs - lhs.mean()))
    return rows


def _solve(design: Floats, right: Floats, transients: int) -> MomentumFit:
    scale = np.sqrt(np.mean(design**2, axis=0))
    if not np.all(scale > 0.0):
        return MomentumFit(np.nan, np.inf, 0.0, np.inf, 0.0, np.nan)
    scaled = design / scale
    solution, _, rank, _ = np.linalg.lstsq(scaled, right, rcond=1e-9)
    if rank < scaled.shape[1]:
        return MomentumFit(np.nan, np.inf, 0.0, np.inf, 0.0, np.nan)
    residual = right - scaled @ solution
    sd = float(np.sqrt(np.mean(residual**2)))
    inverse = np.linalg.inv(scaled.T @ scaled / right.size) * sd**2 / max(1.0, 10.0 * transients - 3.0)
    spread = np.sqrt(np.diag(inverse)) / scale
    return MomentumFit(
        inertia=float(solution[0] / scale[0]),
        u_inertia=float(spread[0]),
        delay=float(solution[1] / scale[1]),
        u_delay=float(spread[1]),
        correlation=float(inverse[0, 1] / np.sqrt(inverse[0, 0] * inverse[1, 1])),
        residual_sd=sd,
    )
