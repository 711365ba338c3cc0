"""Vibration over a third of the thrust range each, and the map of density against speed and frequency."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from isothrust.records.curve import SmoothCurve
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.records.vibration import SpectrumMap, ThrustBand
from isothrust.reduction.figures_sensitive import evaluate_curve
from isothrust.reduction.vibrating_frames import Frames
from isothrust.science.splines import basis_matrix

__all__ = ["spectrum_map", "thrust_bands"]

_POINTS = 41
_NAMES: Final[tuple[Literal["low", "middle", "high"], ...]] = ("low", "middle", "high")
_ROWS = 48
_LINES = 200


def thrust_bands(run: ReducedRun) -> tuple[ThrustBand, ...]:
    """Return the RMS over the low, middle and high third of the thrusts at which vibration was measured.

    Thrust is that of the day; the mean square is even over thrust.
    """
    curve = run.curves.get("vibration")
    if curve is None:
        return ()
    x, thrust = _thrusts(run, curve)
    if x.size < 3 or float(thrust[-1]) <= float(thrust[0]) or np.any(np.diff(thrust) <= 0.0):
        return ()
    edges = np.linspace(float(thrust[0]), float(thrust[-1]), 4)
    return tuple(
        _band(run, name, np.interp(np.linspace(low, high, _POINTS), thrust, x), (float(low), float(high)))
        for name, low, high in zip(_NAMES, edges[:-1], edges[1:], strict=True)
    )


def _thrusts(run: ReducedRun, curve: SmoothCurve) -> tuple[Floats, Floats]:
    """Return abscissae and the thrust there, where it rises."""
    if run.abscissa != "speed":
        x = np.linspace(curve.low, curve.high, 200)
        return x, x**2
    thrust = run.curves.get("thrust")
    if thrust is None:
        return np.zeros(0), np.zeros(0)
    x = np.linspace(max(curve.low, thrust.low), min(curve.high, thrust.high), 400)
    density = run.density if run.density is not None else run.standard_density
    pull = density * evaluate_curve(thrust, x) * x**2
    rising = np.concatenate([[True], pull[1:] > np.maximum.accumulate(pull)[:-1]]) & (pull > 0.0)
    return x[rising], pull[rising]


def _band(
    run: ReducedRun, name: Literal["low", "middle", "high"], x: Floats, limits: tuple[float, float]
) -> ThrustBand:
    curve = run.curves["vibration"]
    square, row = _square(curve, x)
    variance = float(row @ curve.covariance @ row)
    for influence in run.influences:
        if "vibration" in influence.shifts:
            variance += float(row @ influence.shifts["vibration"]) ** 2
    rms = float(np.sqrt(square))
    each = [run.curves[f"vibration-{axis}"] for axis in "xyz" if f"vibration-{axis}" in run.curves] or [curve]
    axes = np.array([np.sqrt(_square(one, x)[0]) for one in each])
    return ThrustBand(name, *limits, rms, float(np.sqrt(variance)) / (2.0 * rms), axes)


def _square(curve: SmoothCurve, x: Floats) -> tuple[float, Floats]:
    """Return the mean square over x, and its derivative by the curve's coefficients (p,)."""
    basis = basis_matrix(x, curve.knots)
    squares = np.exp(basis @ curve.coefficients) * x**4
    return float(squares.mean()), np.asarray((basis * squares[:, None]).mean(axis=0))


def spectrum_map(frames: Frames) -> SpectrumMap:
    """Return the density in windows of speed, root-sum-square of the axes, thinned to what a picture shows."""
    frequency = frames.spectra[0].frequency
    inside = (frequency >= frames.low) & (frequency <= frames.high)
    total = np.sum([each.density for each in frames.spectra], axis=0)[:, inside]
    edges = np.linspace(float(frames.x.min()), float(frames.x.max()) * (1.0 + 1e-9), _ROWS + 1)
    row = np.clip(np.searchsorted(edges, frames.x, side="right") - 1, 0, _ROWS - 1)
    rows = np.unique(row)
    means = np.stack([total[row == k].mean(axis=0) for k in rows])
    speeds = np.array([frames.x[row == k].mean() for k in rows])
    group = max(1, int(np.ceil(means.shape[1] / _LINES)))
    whole = means.shape[1] // group
    level = means[:, : whole * group].reshape(rows.size, whole, group).max(axis=2)
    middle = frequency[inside][: whole * group].reshape(whole, group).mean(axis=1)
    return SpectrumMap(speeds, middle, np.sqrt(level))
