"""Fitted curves of one run, and what else may have moved them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from isothrust.records.recording import Floats

__all__ = ["Abscissa", "CurveName", "Influence", "Scope", "SmoothCurve"]

Scope = Literal["run", "mounting", "sample", "campaign", "rig"]
CurveName = Literal[
    "thrust",
    "torque",
    "electrical-power",
    "current",
    "voltage",
    "throttle",
    "vibration",
    "vibration-x",
    "vibration-y",
    "vibration-z",
    "sound-level",
    "c-weighted-level",
    "blade-passing-level",
    "tonal-balance",
    "tone-to-noise-ratio",
    "prominence-ratio",
    "loudness",
    "sharpness",
]
Abscissa = Literal["speed", "root-thrust"]


@dataclass(frozen=True, slots=True)
class SmoothCurve:
    """A cubic B-spline y(x) = sum c_k B_k(x) fitted to one run.

    With abscissa 'speed', x is omega [rad/s] and the ordinates are, by name: thrust T/(rho omega^2) [m4]; torque
    Q/(rho omega^2) [m5], aerodynamic, the inertial part taken out; electrical-power P/(rho0 omega^3) [m5], steady state
    and standard density; current i/omega^2 [A s2/rad2]; voltage [V]; throttle [1]; vibration, the mean square of all
    axes within the band, and vibration-x and so on of each, over omega^4 [m2/rad4], in the air of
    the day; every level of sound [dB], loudness [sone] and sharpness [acum], likewise.

    With abscissa 'root-thrust' (no speed channel), x = sqrt(T) [N^0.5] in the air of the day; there is no thrust and no
    torque curve, and electrical-power is P/x^3, current i/x^2, voltage [V], throttle [1], vibration ln(a^2/x^4), all as
    recorded.
    """

    name: CurveName
    knots: Floats
    """Full knot vector (p + 4,), ends repeated four times."""
    coefficients: Floats
    """(p,)"""
    covariance: Floats
    """(p, p): what the run's own noise leaves; autocorrelation honoured."""
    low: float
    """Least x at which the run measured."""
    high: float
    """Greatest x at which the run measured."""
    degrees_of_freedom: float
    """Of the noise estimate behind `covariance`."""
    residual_sd: float
    """Standard deviation of the residuals, in the unit of the reading that was fitted (N, N m, W, …)."""
    correlation: float
    """Samples per independent sample (1: white), from the residuals' autocorrelation."""


@dataclass(frozen=True, slots=True)
class Influence:
    """One source of error: what one standard uncertainty of it, upwards, does to every curve it touches.

    `shifts` maps a curve's name to the change of its coefficients (p,). Signs are kept, so that what is common
    cancels in a difference.
    """

    source: str
    """In words: 'thrust scale', 'torque zero', 'air temperature', 'thrust lag', 'rotor inertia', …"""
    key: str
    """What the error is common to: 'rig loft thrust scale', 'run r07 thrust zero'. Equal keys mean the same error."""
    scope: Scope
    degrees_of_freedom: float
    """numpy.inf for a stated (type B) uncertainty."""
    shifts: Mapping[str, Floats]
