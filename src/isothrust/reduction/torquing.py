"""Torque coefficient over speed, rotor inertia and the torque channel's lag: each needs the others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.fitting import CurveFit, first_gain, fit_curve
from isothrust.reduction.lagging import from_legs, lag_from_legs, lag_from_transients, lag_unknown
from isothrust.reduction.site import Site
from isothrust.reduction.thrusting import within
from isothrust.reduction.transients import Transients
from isothrust.science.alignment import DelayFit
from isothrust.science.inertia import MomentumFit, PartInertia, TransientSeries, fit_momentum, inertia_of_parts
from isothrust.science.splines import basis_matrix

__all__ = ["TorqueFit", "TorqueInput", "fit_torque", "inertia_by"]

_ROUNDS = 4
_SETTLED = 5e-4
"""A delay that changes by less than this [s] is found."""
_ENDLESS = 0.3
"""No cell is later than this [s]."""


@dataclass(frozen=True, slots=True)
class TorqueInput:
    """Bin means of torque and what goes with them (n,)."""

    torque: Floats
    """As the cell reads it, zero out [N m]."""
    slope: Floats
    """dQ/dt [N m/s]."""
    acceleration: Floats
    """d omega/dt [rad/s2]."""
    density: float


@dataclass(frozen=True, slots=True)
class TorqueFit:
    """Q_aero / (rho omega^2) over speed."""

    curve: CurveFit
    size: Floats
    given: TorqueInput
    lag: Estimate
    inertia: Estimate | None
    own_inertia: bool
    findings: tuple[Finding, ...]


def fit_torque(site: Site, given: TorqueInput, transients: Transients | None, donor: Estimate | None) -> TorqueFit:
    """Return the curve with inertial torque and lag out; `donor` serves where the run has no inertia of its own."""
    size = given.density * site.x**2
    balance = _settled_balance(site, given, _inside(site, given, transients))
    findings: tuple[Finding, ...] = ()
    own = _own_inertia(site, balance) or _inertia_from_legs(site, size, given)
    inertia = own if own is not None else donor
    steady = given.torque - (inertia.value if inertia is not None else 0.0) * given.acceleration
    lag = _lag(balance, transients)
    if lag is None:
        lag = lag_from_legs(site, steady, size, given.slope)
    if lag is None:
        lag, findings = lag_unknown("torque", given.slope)
    curve = fit_curve(site, steady + lag.value * given.slope, size)
    return TorqueFit(curve, size, given, lag, inertia, own is not None, findings)


def inertia_by(
    site: Site, given: TorqueInput, transients: Transients, parts: Mapping[int, int]
) -> dict[int, PartInertia]:
    """Return the inertia that each kind of transient shows by itself; `parts` names the kind of each transient."""
    inside = _inside(site, given, transients)
    balance = _settled_balance(site, given, inside)
    if inside is None or balance is None:
        return {}
    size = given.density * site.x**2
    gain = first_gain(site, given.torque, size)
    raw, inertial, late = (gain @ (values / size) for values in (given.torque, given.acceleration, given.slope))
    early = replace(inside, transients=inside.transients.advanced("torque", balance.delay))
    series, shape = _series(site, raw + balance.delay * late, inertial, early)
    kinds = np.array([parts[number] for number in series.segment.tolist()], dtype=np.int64)
    return inertia_of_parts(series, kinds, half_width=early.transients.half_width, nuisance=shape)


def _lag(balance: MomentumFit | None, transients: Transients | None) -> Estimate | None:
    if balance is None or transients is None or not balance.inertia > 0.0:
        return None  # with a negative inertia the balance has not understood the torque
    delay = DelayFit(balance.delay, balance.u_delay, balance.residual_sd)
    return lag_from_transients(delay, transients.interval, origin="own transients")


def _inertia_from_legs(site: Site, size: Floats, given: TorqueInput) -> Estimate | None:
    """Return the inertia that makes torque up and torque down agree, the torque's own delay fitted along."""
    found = from_legs(site, given.torque, size, (given.acceleration, given.slope))
    if found is None or not found[0].value > 0.0 or found[0].uncertainty > 0.05 * found[0].value:
        return None
    return replace(found[0], uncertainty=float(np.hypot(found[0].uncertainty, 0.005 * found[0].value)))


@dataclass(frozen=True, slots=True)
class _Inside:
    """Transients within the speeds that were measured."""

    transients: Transients
    per_coefficient: Floats
    """Aerodynamic torque per coefficient of the curve (n, p)."""


def _inside(site: Site, given: TorqueInput, transients: Transients | None) -> _Inside | None:
    if transients is None or "torque" not in transients.values:
        return None
    inside = transients.only(within(transients.values["speed"], site))
    if inside.time.size < 8:
        return None
    w = inside.values["speed"]
    basis = basis_matrix(np.clip(w, site.knots[0], site.knots[-1]), site.knots)
    return _Inside(inside, basis * (given.density * w**2)[:, None])


def _settled_balance(site: Site, given: TorqueInput, inside: _Inside | None) -> MomentumFit | None:
    """Return the balance once lag, curve and inertia agree: the lag moves the curve by a per cent or two."""
    if inside is None:
        return None
    size = given.density * site.x**2
    gain = first_gain(site, given.torque, size)
    raw, inertial, late = (gain @ (values / size) for values in (given.torque, given.acceleration, given.slope))
    total, balance = 0.0, None
    for _ in range(_ROUNDS):  # what is already known of the delay is taken out first: moments serve for what is left
        early = replace(inside, transients=inside.transients.advanced("torque", total)) if total else inside
        found = _balance(site, raw + total * late, inertial, early)
        if found is None or abs(total + found.delay) > _ENDLESS:
            return balance
        total += found.delay
        balance = replace(found, delay=total)
        if abs(found.delay) < _SETTLED:
            break
    return balance


def _balance(site: Site, coefficients: Floats, inertial: Floats, inside: _Inside) -> MomentumFit | None:
    series, shape = _series(site, coefficients, inertial, inside)
    fit = fit_momentum(series, half_width=inside.transients.half_width, nuisance=shape)
    return fit if np.isfinite(fit.u_inertia) else None


def _series(
    site: Site, coefficients: Floats, inertial: Floats, inside: _Inside
) -> tuple[TransientSeries, Floats | None]:
    have, at = inside.transients, inside.per_coefficient
    w = have.values["speed"]
    series = TransientSeries(have.time, w, have.values["torque"], at @ coefficients, at @ inertial, have.segment)
    return series, _unknown_shape(site, at @ coefficients, w)


def _unknown_shape(site: Site, aero: Floats, speed: Floats) -> Floats | None:
    """Return what the torque may lack (n, k) [N m]: away from a single level, or between the outer two of a few."""
    if site.one_level:
        return np.asarray(aero * np.log(speed / site.x.mean()))[:, None]
    if site.by_level and site.sparse:
        low, high = float(site.knots[0]), float(site.knots[-1])
        bump = aero * np.log(speed / low) * np.log(high / speed)
        return np.stack([bump, bump * np.log(speed / np.sqrt(low * high))], axis=1)
    return None


def _own_inertia(site: Site, balance: MomentumFit | None) -> Estimate | None:
    """Return the run's own inertia where its transients fix it to better than a tenth."""
    if balance is None or not balance.inertia > 0.0 or balance.u_inertia > 0.1 * balance.inertia:
        return None
    # torque is known at best to the curve's own quality over the transient: a fair floor, more where levels are few
    floor = 0.008 if site.sparse else 0.003
    uncertainty = float(np.hypot(balance.u_inertia, floor * balance.inertia))
    return Estimate(balance.inertia, uncertainty, 10.0, "own transients")
