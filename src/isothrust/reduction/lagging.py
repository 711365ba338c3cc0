"""Lags of channels against the speed channel: from transients, else from legs up and down, else unknown and said so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.site import Site
from isothrust.science.alignment import DelayFit
from isothrust.science.smoothing import correlation_length

__all__ = ["from_legs", "lag_from_legs", "lag_from_transients", "lag_unknown"]

_PLAUSIBLE = 0.3
"""A delay longer than this [s] is no filter's."""
_KNOWN = 0.01
"""A delay less well known than this [s] is not worth correcting."""
_ANSWERED = 0.5
_OTHER_WAY = 0.2
"""A down leg's share of the way up, at least [1]."""
_LEG = 0.3
"""A leg leads through this share of top speed at least; less is the drift of a hold."""
_UNKNOWN = 0.02
"""What a delay nobody could estimate may well be [s]."""


def lag_from_transients(fit: DelayFit, interval: float, *, origin: str) -> Estimate | None:
    """Return the delay, its uncertainty raised for sampling and for the filter's unknown shape; None if unknown.

    A cell that showed less than half of what it should have is slower than the transients: they cannot tell how slow.
    """
    if not np.isfinite(fit.u_delay) or fit.u_delay > _KNOWN or abs(fit.delay) > _PLAUSIBLE or fit.share < _ANSWERED:
        return None
    uncertainty = float(np.hypot(np.hypot(fit.u_delay, 0.3 * interval), 0.05 * fit.delay))
    return Estimate(fit.delay, uncertainty, 10.0, origin)


def lag_from_legs(site: Site, reading: Floats, size: Floats, slope: Floats) -> Estimate | None:
    """Return the delay that makes legs up and down agree; a leg up alone cannot tell delay from the slope of the curve.

    `slope` is the reading's rate of change (n,).
    """
    found = from_legs(site, reading, size, (slope,))
    if found is None or found[0].uncertainty > _KNOWN or abs(found[0].value) > _PLAUSIBLE:
        return None
    return replace(found[0], value=-found[0].value)


def from_legs(site: Site, reading: Floats, size: Floats, causes: tuple[Floats, ...]) -> tuple[Estimate, ...] | None:
    """Return how much of each cause (n,) stands in the readings, from what no curve over speed could take up.

    One leg alone cannot tell a cause from the shape of the curve; holds have no legs.
    """
    level = site.by_level or np.ptp(site.x) < _LEG * float(site.x.max())
    if level or not all(_both_ways(cause) for cause in causes):
        return None
    left = np.stack([_beyond_any_curve(site, cause, size) for cause in causes], axis=1)
    beyond = _beyond_any_curve(site, reading, size)
    solution, _, rank, _ = np.linalg.lstsq(left, beyond, rcond=1e-9)
    if rank < left.shape[1]:
        return None
    residual = beyond - left @ solution
    correlation = correlation_length(residual, site.pairs)
    variance = float(np.mean(residual**2)) * correlation * np.diag(np.linalg.inv(left.T @ left))
    freedom = max(2.0, residual.size / correlation - site.basis.shape[1])
    origin = "legs up and down under power"
    return tuple(
        Estimate(float(value), float(max(np.sqrt(square), 1e-300)), freedom, origin)
        for value, square in zip(solution, variance, strict=True)
    )


def _beyond_any_curve(site: Site, reading: Floats, size: Floats) -> Floats:
    return np.asarray(reading - size * (site.basis @ (site.loosest @ (reading / size))))


def _both_ways(cause: Floats) -> bool:
    """Return whether a cause (n,) acts upwards and downwards, neither by noise alone."""
    up, down = float(np.sum(np.maximum(cause, 0.0))), float(np.sum(np.maximum(-cause, 0.0)))
    return min(up, down) > _OTHER_WAY * max(up, down)


def lag_unknown(channel: str, slope: Floats) -> tuple[Estimate, tuple[Finding, ...]]:
    """Return a delay of zero with the uncertainty that ignorance deserves, and say so where it matters."""
    if not np.any(slope != 0.0):
        return Estimate(0.0, 0.0, np.inf, "each row is a settled point"), ()
    finding = Finding(
        code="lag-unknown",
        severity="note",
        message=f"nothing in this run tells how late {channel} is: no drop, no steps, no leg down under power",
        channel=channel,
        effect="on a ten-second ramp 20 ms of delay are 1-2 % of the thrust at middle speed",
        done=f"taken as 0 with a standard uncertainty of {1e3 * _UNKNOWN:.0f} ms",
    )
    return Estimate(0.0, _UNKNOWN, np.inf, "not known"), (finding,)
