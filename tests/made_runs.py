"""Hand-made reduced runs whose figures are known in closed form."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from isothrust.records.curve import Influence, SmoothCurve
from isothrust.records.finding import Finding
from isothrust.records.reduced import Contribution, Figure, ReducedRun
from isothrust.reduction.figures_lines import HEARD_SYMBOLS

DIAMETER = 0.1778
DENSITY0 = 1.225
LOW, HIGH = 200.0, 1700.0
"""Measured speeds [rad/s]."""

KT = 1.1e-5
"""T/(rho omega^2) [m4]: about what a 7 inch propeller has."""
KQ = 1.5e-7
KE = 2.1e-7
KI = 7.0e-6

COEFFICIENTS = 9
KNOTS = np.concatenate([[LOW] * 3, np.linspace(LOW, HIGH, COEFFICIENTS - 2), [HIGH] * 3])

Floats = NDArray[np.float64]


def greville(knots: Floats = KNOTS) -> Floats:
    """Abscissae at which a straight line's ordinates are its coefficients (exact for a line)."""
    return np.array([knots[k + 1 : k + 4].mean() for k in range(knots.size - 4)])


def curve(
    name: str,
    ordinate: float | Callable[[Floats], Floats],
    *,
    noise: float = 0.0,
    low: float = LOW,
    high: float = HIGH,
    dof: float = 300.0,
) -> SmoothCurve:
    """A curve that is exactly a constant or a straight line; `noise` relative to the mean coefficient, correlated."""
    knots = np.concatenate([[low] * 3, np.linspace(low, high, COEFFICIENTS - 2), [high] * 3])
    sites = greville(knots)
    values = ordinate(sites) if callable(ordinate) else np.full(sites.shape, float(ordinate))
    lag = np.abs(np.subtract.outer(np.arange(COEFFICIENTS), np.arange(COEFFICIENTS)))
    covariance = (noise * np.abs(values).mean()) ** 2 * 0.5**lag
    return SmoothCurve(name, knots, values, covariance, low, high, dof, 0.0, 1.0)


def standard_curves(*, noise: float = 0.0, scale: float = 1.0) -> dict[str, SmoothCurve]:
    """All curves of a fully equipped rig; `scale` multiplies the thrust curve."""
    return {
        "thrust": curve("thrust", lambda w: scale * KT * (0.9 + 1e-4 * w), noise=noise),
        "torque": curve("torque", lambda w: KQ * (1.1 - 5e-5 * w), noise=noise),
        "electrical-power": curve("electrical-power", lambda w: KE * (1.2 - 1e-4 * w), noise=noise),
        "current": curve("current", KI, noise=noise),
        "voltage": curve("voltage", 24.0, noise=noise),
        "throttle": curve("throttle", lambda w: w / 2000.0, noise=noise),
    }


def heard_curves(*, noise: float = 0.0, low: float = LOW, high: float = HIGH) -> dict[str, SmoothCurve]:
    """Every curve of sound and that of vibration, each a straight line of its own."""
    shaken = curve("vibration", lambda w: 0.0005 * w - 24.0, noise=noise, low=low, high=high)
    return {"vibration": shaken} | {
        name: curve(name, lambda w, k=k: 10.0 + k + 0.01 * (1 + k) * w, noise=noise, low=low, high=high)
        for k, name in enumerate(HEARD_SYMBOLS)
    }


def scale_influence(name: str, curves: Mapping[str, SmoothCurve], relative: float, *, key: str = "") -> Influence:
    """A scale error common to the rig: every coefficient of one curve in proportion."""
    return Influence(
        f"{name} scale", key or f"rig loft {name} scale", "rig", math.inf, {name: relative * curves[name].coefficients}
    )


def run(
    name: str = "r01",
    *,
    design: str = "Auk",
    sample: str = "1",
    mounting: str | None = None,
    campaign: str = "spring",
    kind: str = "ramp",
    curves: Mapping[str, SmoothCurve] | None = None,
    influences: tuple[Influence, ...] = (),
    **others: object,
) -> ReducedRun:
    """A reduced run; what is not said is a plain one."""
    values: dict[str, object] = {
        "abscissa": "speed",
        "density": 1.19,
        "standard_density": DENSITY0,
        "figures": (),
        "lags": {},
        "inertia": None,
        "zeros": {},
        "holds": (),
        "findings": (),
        "date": "2026-03-01",
        "rig": "loft",
        "method_version": 1,
    } | others
    return ReducedRun(
        run=name,
        campaign=campaign,
        design=design,
        sample=sample,
        mounting=mounting if mounting is not None else name,
        kind=kind,
        curves=standard_curves() if curves is None else curves,
        influences=influences,
        **values,  # type: ignore[arg-type]
    )


def peak(measurand: str, value: float, uncertainty: float, key: str) -> Figure:
    """A single figure with one source of error."""
    return Figure(measurand, value, (Contribution("noise", key, "run", uncertainty, 40.0),))


def failed(name: str, message: str = "the propeller slipped on its hub") -> Finding:
    """A finding that sets its run aside."""
    return Finding("rotor-slipped", "fail", message, name)
