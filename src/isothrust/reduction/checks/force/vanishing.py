"""Torque that does not vanish with the square of speed: a part that is there as soon as the rotor turns, and stays."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence
from isothrust.reduction.torquing import TorqueFit
from isothrust.reduction.words import said_reading

__all__ = ["check_vanishing"]

_FAR = 4.5
"""Multiple of what the rig states and the fit leaves open."""
_KNEE = 0.005
"""Share of the greatest torque that a coefficient's bend at low Reynolds numbers may pass for."""
_LOW, _FEWEST = 0.35, 40
"""The run must reach down to this share of its top speed, in so many bins."""
_GRAIN = 0.02
"""Noise of a bin in proportion to its reading, as least squares weigh it; and the same of the usual reading."""


def check_vanishing(evidence: Evidence) -> list[Finding]:
    """Return a finding where torque keeps a constant part under power, beyond what the rig states as its fixed part.

    The coefficient's own course with Reynolds number is a line over the logarithm of speed; a constant grows against it
    as one over the square of speed. Inertial torque on a ramp is as constant, so the run must know its inertia.
    """
    fit, prepared = evidence.mechanics.torque, evidence.prepared
    x = prepared.site.x
    if fit is None or fit.inertia is None or x.size < _FEWEST or float(x.min()) > _LOW * float(x.max()):
        return []
    plan = prepared.job.rig.channels.get("torque")
    stated = plan.uncertainty.absolute if plan is not None and plan.uncertainty is not None else 0.0
    zero = prepared.loads.zeros.get("torque")
    if zero is None or zero.before is None:
        return []
    constant, error, greatest = _constant_part(evidence, fit)
    open_still = [
        error,
        max(stated, zero.uncertainty),
        fit.inertia.uncertainty * float(np.median(np.abs(fit.given.acceleration))),
        fit.lag.uncertainty * float(np.median(np.abs(fit.given.slope))),
    ]
    doubt = float(np.sqrt(np.sum(np.square(open_still))))
    if abs(constant) <= _KNEE * greatest + _FAR * doubt:
        return []
    share = 100.0 * constant / greatest
    said, usual = said_reading("torque", constant, digits=3), said_reading("torque", doubt, digits=2)
    return [
        Finding(
            code="torque-crosstalk",
            severity="warning",
            message=f"torque does not vanish with the square of speed: {said} of it stays whatever the speed, "
            f"{abs(share):.1f} % of its greatest, where {usual} would be usual",
            channel="torque",
            start=float(prepared.bins.time[prepared.spells.steady][0]),
            end=float(prepared.bins.time[prepared.spells.steady][-1]),
            count=int(x.size),
            effect=f"torque and shaft power {share:+.1f} % at the top of the run, twice that at half of its torque",
            done="nothing",
        )
    ]


def _constant_part(evidence: Evidence, fit: TorqueFit) -> tuple[float, float, float]:
    """Return the constant part of torque, its standard error, and the greatest torque [N m]."""
    site = evidence.prepared.site
    torque = fit.curve.residuals + fit.size * (site.basis @ fit.curve.fit.coefficients)
    terms = np.stack([fit.size, fit.size * np.log(site.x / site.x.max()), np.ones(site.x.size)], axis=1)
    noise = _GRAIN * np.hypot(torque, np.median(np.abs(torque)))
    solution, *_ = np.linalg.lstsq(terms / noise[:, None], torque / noise, rcond=None)
    residual = (torque - terms @ solution) / noise
    normal = (terms / noise[:, None]).T @ (terms / noise[:, None])
    scatter = float(residual @ residual) / (residual.size - 3) * fit.curve.correlation
    return float(solution[2]), float(np.sqrt(scatter * np.linalg.inv(normal)[2, 2])), float(np.max(torque))
