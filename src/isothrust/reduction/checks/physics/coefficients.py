"""Coefficients of a run at speed: the mean over the upper part of its range, where zeros and friction weigh least."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.airstate import AirState
from isothrust.reduction.mechanics import Mechanics
from isothrust.reduction.prepare import Prepared
from isothrust.science.rotor import figure_of_merit_from_coefficients

__all__ = ["UPPER", "Coefficients", "coefficients_at_speed"]

UPPER = 0.6
"""Share of the top speed from which a run's coefficients are taken [1]."""


@dataclass(frozen=True, slots=True)
class Coefficients:
    """Means over the upper part of a run's speeds; None where a channel is missing."""

    thrust: float | None
    """CT [1]"""
    power: float | None
    """CP [1]"""
    merit: float | None
    """Figure of merit [1]."""
    speed: float
    """Top of the range [rad/s]."""
    diameter: float
    """[m]"""


def coefficients_at_speed(prepared: Prepared, air: AirState, mechanics: Mechanics) -> Coefficients | None:
    """Return the run's CT, CP and figure of merit; None without speed, air or diameter."""
    diameter = prepared.job.design.diameter
    if diameter is None or diameter <= 0.0 or air.density is None or prepared.abscissa != "speed":
        return None
    site = prepared.site
    top = float(site.x.max())
    upper = site.basis[site.x >= UPPER * top]
    thrust = _mean(upper, None if mechanics.thrust is None else mechanics.thrust.curve.fit.coefficients)
    torque = _mean(upper, None if mechanics.torque is None else mechanics.torque.curve.fit.coefficients)
    # curves are T/(rho w2) and Q/(rho w2); coefficients go by revolutions, and P = w Q
    ct = None if thrust is None else 4.0 * math.pi**2 * thrust / diameter**4
    cp = None if torque is None else 8.0 * math.pi**3 * torque / diameter**5
    merit = None
    if ct is not None and cp is not None and ct > 0.0 and cp > 0.0:
        merit = float(figure_of_merit_from_coefficients(ct, cp))
    return Coefficients(ct, cp, merit, top, diameter)


def _mean(basis: Floats, coefficients: Floats | None) -> float | None:
    return None if coefficients is None else float(np.mean(basis @ coefficients))
