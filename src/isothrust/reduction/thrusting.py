"""Thrust coefficient over speed, with the thrust channel's lag found and taken out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.fitting import CurveFit, first_gain, fit_curve
from isothrust.reduction.lagging import lag_from_legs, lag_from_transients, lag_unknown
from isothrust.reduction.site import Site
from isothrust.reduction.transients import Transients
from isothrust.science.alignment import fit_delay
from isothrust.science.splines import basis_matrix

__all__ = ["ThrustFit", "fit_thrust", "within"]


@dataclass(frozen=True, slots=True)
class ThrustFit:
    """T / (rho omega^2) over speed."""

    curve: CurveFit
    size: Floats
    """rho omega^2 at the bins (n,)."""
    slope: Floats
    """dT/dt at the bins (n,) [N/s]: what an error of the lag acts on."""
    lag: Estimate
    findings: tuple[Finding, ...]


def fit_thrust(site: Site, thrust: Floats, slope: Floats, density: float, transients: Transients | None) -> ThrustFit:
    """Return the curve through bin means of thrust (n,) whose rate of change is `slope` (n,)."""
    size = density * site.x**2
    lag = _lag(site, first_gain(site, thrust, size) @ (thrust / size), density, transients)
    if lag is None:
        lag = lag_from_legs(site, thrust, size, slope)
    findings: tuple[Finding, ...] = ()
    if lag is None:
        lag, findings = lag_unknown("thrust", slope)
    # a reading that is late by `lag` stands for what was lag * dT/dt less
    curve = fit_curve(site, thrust + lag.value * slope, size)
    return ThrustFit(curve, size, slope, lag, findings)


def _lag(site: Site, coefficients: Floats, density: float, transients: Transients | None) -> Estimate | None:
    """Return the lag by the run's own transients, against the loosest curve through thrust that is still late."""
    if transients is None:
        return None
    inside = transients.only(within(transients.values["speed"], site))
    if inside.time.size < 8:
        return None
    w = inside.values["speed"]
    expected = basis_matrix(w, site.knots) @ coefficients * density * w**2
    fit = fit_delay(inside.time, inside.values["thrust"], expected, inside.segment, half_width=inside.half_width)
    return lag_from_transients(fit, inside.interval, origin="own transients")


def within(speed: Floats, site: Site) -> np.ndarray:
    """Return where speeds (n,) lie in the range that was measured, a hundredth of it allowed."""
    low, high = float(site.knots[0]), float(site.knots[-1])
    margin = 0.01 * high
    return np.asarray((speed >= low - margin) & (speed <= high + margin))
