"""Vibration that belongs to no order, and where it begins to grow faster than the air's own noise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Floats
from isothrust.records.vibration import FixedLine, OffOrders
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.vibrating_frames import Frames

__all__ = ["off_orders"]

_LEAST_BAND = 60.0
"""Frequencies between the orders that a frame must have to be counted [Hz]."""
_FEWEST = 24
"""Frames from which a growth can be told from scatter."""
_RANGE = (0.45, 0.94)
"""Where an onset is looked for, of the greatest speed [1]."""
_RISE = 2.0
"""Mean square at the top over what the growth below leads to, from which it is a growth of its own [1]: 3 dB."""
_SURE = 7.0
"""Its logarithm over its own standard uncertainty [1]: the onset was looked for, so chance has many tries."""
_STEPS = 45
_WIDTH = 0.12
"""Share of the onset's speed over which the growth saturates, tried beside one that goes on [1]."""


@dataclass(frozen=True, slots=True)
class _Hinge:
    onset: float
    rise: float
    """Of the logarithm at the top."""
    u_rise: float
    misfit: float
    u_onset: float


def off_orders(frames: Frames, prepared: Prepared, lines: tuple[FixedLine, ...]) -> OffOrders | None:
    """Return the energy off the orders against speed; None without a speed.

    Lines within what an order sweeps in a frame belong to it; so does all beyond the frequency above which the orders'
    sweeps meet. Lines of the mains are left out.
    """
    if prepared.abscissa != "speed":
        return None
    square, known = _between(frames, lines)
    x = frames.x[known]
    y = square[known]
    order = np.argsort(x, kind="stable")
    x, y = x[order], y[order]
    if x.size < _FEWEST:
        return _nothing(x, y, f"{x.size} stretches of 0.2 s are too few to tell a growth from scatter")
    log_x, log_y = np.log(x), np.log(np.maximum(y / x**4, 1e-300))
    found = _search(log_x, log_y)
    u = y * _scatter(log_y)
    if found is None:
        return _nothing(x, y, "the range of speed is too narrow to tell a growth from a slope", u)
    rise = float(np.exp(found.rise))
    sure = rise >= _RISE and found.rise > _SURE * found.u_rise
    if not sure:
        why = f"off the orders it grows with the air's noise up to the top, within a factor {max(rise, 1 / rise):.2f}"
        return OffOrders(x, y, u, None, None, rise, why)
    rpm = found.onset * 30.0 / np.pi
    why = f"off the orders it grows from {rpm:.0f} rpm on, to {rise:.1f} times what the growth below leads to"
    return OffOrders(x, y, u, found.onset, found.u_onset, rise, why)


def _nothing(x: Floats, y: Floats, why: str, u: Floats | None = None) -> OffOrders:
    return OffOrders(x, y, np.full(x.size, np.nan) if u is None else u, None, None, None, why)


def _between(frames: Frames, lines: tuple[FixedLine, ...]) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the mean square between the orders, brought to the whole band (m,), and where enough is left."""
    frequency = frames.spectra[0].frequency
    step = float(frequency[1])
    band = (frequency >= frames.low) & (frequency <= frames.high)
    for line in lines:
        if line.kind == "mains":
            band &= np.abs(frequency - line.frequency) > 3.0 * step
    turning = frames.x / (2.0 * np.pi)
    place = frequency[None, :] / turning[:, None]
    nearest = np.rint(place)
    sweep = nearest * np.abs(frames.slope[:, None]) / (2.0 * np.pi) * 0.5 * frames.window
    free = (np.abs(place - nearest) * turning[:, None] > sweep + 3.0 * step) & band[None, :]
    total = np.sum([each.density for each in frames.spectra], axis=0)
    width = free.sum(axis=1) * step
    with np.errstate(invalid="ignore", divide="ignore"):
        square = (total * free).sum(axis=1) * step * (band.sum() * step / width)
    known = (width >= _LEAST_BAND) & (square > 0.0)
    return np.where(known, square, np.nan), known


def _scatter(log_y: Floats) -> float:
    """Return the scatter of neighbours about each other."""
    bend = log_y[2:] - 2.0 * log_y[1:-1] + log_y[:-2]
    return float(1.4826 * np.median(np.abs(bend)) / np.sqrt(6.0))


def _search(log_x: Floats, log_y: Floats) -> _Hinge | None:
    """Return the onset that fits best: a straight line in logarithms that bends up there and stays up."""
    low, high = np.log(_RANGE[0]) + log_x[-1], np.log(_RANGE[1]) + log_x[-1]
    low = max(low, float(log_x[8]))
    if high - low < 0.15:
        return None
    scatter = max(_scatter(log_y), 0.01)
    fits: list[_Hinge] = []
    for at in np.linspace(low, high, _STEPS):
        if np.count_nonzero(log_x > at) < 5:
            continue
        fits += [_fit(log_x, log_y, at, width, scatter) for width in (np.log1p(_WIDTH), np.inf)]
    if not fits:
        return None
    best = min(fits, key=lambda fit: fit.misfit)
    # where the misfit is within one of the least, in units of the scatter: one standard uncertainty of the onset
    near = [fit.onset for fit in fits if fit.misfit < best.misfit + max(1.0, best.misfit / log_x.size) * scatter**2]
    step = best.onset * (high - low) / _STEPS
    half = max(0.5 * (max(near) - min(near)), step)
    return _Hinge(best.onset, best.rise, best.u_rise, best.misfit, half)


def _fit(log_x: Floats, log_y: Floats, at: float, width: float, scatter: float) -> _Hinge:
    hinge = np.minimum(np.maximum(log_x - at, 0.0), width)
    columns = np.stack([np.ones_like(log_x), log_x - log_x.mean(), hinge], axis=1)
    normal = np.linalg.inv(columns.T @ columns + 1e-9 * np.eye(3))
    values = normal @ (columns.T @ log_y)
    left = log_y - columns @ values
    misfit = float(left @ left)
    size = max(scatter, float(np.sqrt(misfit / max(log_x.size - 4, 1))))
    top = float(hinge[-1])
    return _Hinge(
        float(np.exp(at)), float(values[2]) * top, 1.2 * size * float(np.sqrt(normal[2, 2])) * top, misfit, 0.0
    )
