"""Fitted curves of one run as arrays in the units of the readings, with the covariance between their points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from isothrust.errors import UsageError
from isothrust.records.curve import Abscissa, SmoothCurve
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.science.smoothing import basis_matrix

__all__ = ["CurveArrays", "curve_arrays"]

POINTS: Final = 101
"""Abscissae where none are named: evenly spaced over the measured range."""
RANGE_TOLERANCE: Final = 1e-9
"""Relative; a limit that was typed counts as measured."""
ABSCISSA_UNITS: Final[Mapping[Abscissa, str]] = MappingProxyType({"speed": "rad/s", "root-thrust": "N^0.5"})


@dataclass(frozen=True, slots=True)
class _Ordinate:
    """What a curve's ordinate is multiplied by to become a reading again."""

    power: int
    """Of the abscissa."""
    unit: str
    over_density: bool = False
    """True where the ordinate is the reading over density, where the abscissa is speed."""
    logarithmic: bool = False
    """True where it is the natural logarithm of that."""


ORDINATES: Final[Mapping[str, _Ordinate]] = MappingProxyType(
    {
        "thrust": _Ordinate(2, "N", over_density=True),
        "torque": _Ordinate(2, "N m", over_density=True),
        "electrical-power": _Ordinate(3, "W", over_density=True),
        "current": _Ordinate(2, "A"),
        "voltage": _Ordinate(0, "V"),
        "throttle": _Ordinate(0, "1"),
        "vibration": _Ordinate(4, "m2/s4", logarithmic=True),
        "vibration-x": _Ordinate(4, "m2/s4", logarithmic=True),
        "vibration-y": _Ordinate(4, "m2/s4", logarithmic=True),
        "vibration-z": _Ordinate(4, "m2/s4", logarithmic=True),
    }
)


@dataclass(frozen=True, slots=True)
class CurveArrays:
    """One curve of one run at n abscissae, everything in SI; NaN where the run did not measure."""

    name: str
    abscissa: Abscissa
    """'speed' [rad/s]; 'root-thrust' [N^0.5], the square root of the thrust, for a run without a speed channel."""
    x: Floats
    """(n,) [`x_unit`]"""
    x_unit: str
    y: Floats
    """(n,) [`unit`]; in standard air where the abscissa is speed, as recorded otherwise."""
    unit: str
    noise: Floats
    """(n, n) [`unit` squared]: what the run's own noise leaves."""
    effects: Mapping[str, Floats]
    """Key of a source of error -> what one standard uncertainty of it, upwards, does to y: (n,) [`unit`].

    Curves of two runs share the sources whose keys are the same: between their points the covariance is the sum of
    `outer(effect of one, effect of the other)` over these.
    """

    @property
    def covariance(self) -> Floats:
        """Covariance matrix of y, (n, n) [`unit` squared]: the noise and every source of error."""
        total = self.noise.copy()
        for effect in self.effects.values():
            total += np.outer(effect, effect)
        return total

    @property
    def uncertainty(self) -> Floats:
        """Standard uncertainty of y, (n,) [`unit`]."""
        return np.asarray(np.sqrt(np.diagonal(self.covariance)))


def curve_arrays(run: ReducedRun, name: str, x: ArrayLike | None = None) -> CurveArrays:
    """Return a fitted curve of a run as arrays.

    Parameters
    ----------
    run
        A reduced run.
    name
        'thrust', 'torque', 'electrical-power', 'current', 'voltage', 'throttle'; 'vibration' or 'vibration-x' and so on
        of one axis: mean squares.
    x
        Abscissae (n,): speeds [rad/s], or the square roots of thrusts [N^0.5] of a run without a speed channel. None:
        101 of them over the range that was measured.

    Returns
    -------
    CurveArrays
        Readings (n,), aerodynamic and steady, with their covariance (n, n). Outside the measured range they are NaN:
        nothing is read there.

    Raises
    ------
    UsageError
        `no-curve`, with the reason why the run has none of this name.

    Examples
    --------
    A run whose thrust is 1.225 kg/m3 times 1e-5 m4 times the square of its speed, to a part in a thousand each way:

    >>> knots, one = np.repeat([200.0, 900.0], 4), np.ones(4)
    >>> curve = SmoothCurve("thrust", knots, 1e-5 * one, 1e-16 * np.eye(4), 200.0, 900.0, 50.0, 0.1, 40.0)
    >>> about = dict(run="r1", campaign="spring", design="Auk", sample="1", mounting="1", kind="ramp", rig="loft",
    ...              date="2026-03-01", abscissa="speed", density=1.19, standard_density=1.225, influences=(),
    ...              figures=(), lags={}, inertia=None, zeros={}, holds=(), findings=())
    >>> thrust = curve_arrays(ReducedRun(curves={"thrust": curve}, **about), "thrust", [400.0, 800.0, 1000.0])
    >>> thrust.y.round(3).tolist(), thrust.unit, thrust.covariance.shape
    ([1.96, 7.84, nan], 'N', (3, 3))
    """
    curve = run.curves.get(name)
    ordinate = ORDINATES.get(name)
    if curve is None or ordinate is None:
        raise _no_curve(run, name)
    sites = np.linspace(curve.low, curve.high, POINTS) if x is None else np.atleast_1d(np.asarray(x, dtype=np.float64))
    density = run.standard_density if ordinate.over_density and run.abscissa == "speed" else 1.0
    # A reading is linear in the curve's coefficients, so this is exact: y = L c, cov(y) = L C L'. A logarithmic one is
    # not, and L is then its derivative.
    linear = _basis(curve, sites) * (density * sites**ordinate.power)[:, None]
    value = linear @ curve.coefficients
    if ordinate.logarithmic:
        value = np.exp(_basis(curve, sites) @ curve.coefficients) * sites**ordinate.power
        linear = _basis(curve, sites) * value[:, None]
    effects: dict[str, Floats] = {}
    for influence in run.influences:
        if name in influence.shifts:
            effect = linear @ influence.shifts[name]
            effects[influence.key] = effects.get(influence.key, 0.0) + effect
    return CurveArrays(
        name,
        run.abscissa,
        sites,
        ABSCISSA_UNITS[run.abscissa],
        value,
        ordinate.unit,
        linear @ curve.covariance @ linear.T,
        MappingProxyType(effects),
    )


def _basis(curve: SmoothCurve, x: Floats) -> Floats:
    """Return the spline's functions at x (n, p), NaN where x is outside the measured range."""
    slack = RANGE_TOLERANCE * max(abs(curve.low), abs(curve.high))
    inside = (x >= curve.low - slack) & (x <= curve.high + slack)
    safe = np.clip(np.where(inside, x, curve.low), curve.low, curve.high)
    return np.where(inside[:, None], basis_matrix(safe, curve.knots), np.nan)


def _no_curve(run: ReducedRun, name: str) -> UsageError:
    reason = run.absent.get(name) if name in ORDINATES else None
    why = f": {reason}" if reason else ""
    return UsageError(
        f'run {run.campaign}/{run.run} has no curve "{name}"{why}',
        code="no-curve",
        expected=", ".join(run.curves) or "a run that was reduced: this one has no curve at all",
        fix="name a curve that the run has" if run.curves else "isothrust check  tells what is wrong with the run",
    )
