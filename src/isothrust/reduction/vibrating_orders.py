"""Orders of rotation against speed: amplitudes, their share of the vibration, and once per revolution as a vector."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isothrust.records.recording import Channel, Floats
from isothrust.records.vibration import OrderCurve, TurningVector
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.vibrating_frames import Frames
from isothrust.reduction.vibrating_marks import Marks
from isothrust.science.orders import angle_from_marks, frame_orders, revolution_vectors, rotor_angle
from isothrust.science.spectra import hann_window

__all__ = ["OrderPoints", "order_curves", "order_points", "speed_windows", "tracked_orders", "turning_vector"]

REVOLUTIONS = 16
"""That make a frame of orders."""
_ENOUGH = 12_000.0
"""Samples a second [Hz] that are enough to follow orders up to 2 kHz."""
_STEP = 1.025
"""Ratio of neighbouring speeds of the windows: the same speeds for every run, so that runs can be set side by side."""
_FIRST = 20.0
"""Least speed of a window [rad/s]."""
_HALF_WIDTH = 0.035
"""Of a window of speed, of its middle [1]."""
_LEAST_WEIGHT = 0.6
"""Frames in a window, weighted, from which it says anything."""
_HARMONICS = 3
_LEAST = 0.003
"""No amplitude is better known than this share of itself [1]: the tachometer tells the speed of a moment ago."""
_OVERLAP = 1.4
"""Frames that overlap by half under the Hann window hold so much less than as many apart [1]."""


@dataclass(frozen=True, slots=True)
class OrderPoints:
    """Orders over frames of revolutions, all steady stretches together."""

    orders: tuple[int, ...]
    x: Floats
    """Speed in the mean of its square under the window (m,) [rad/s]."""
    vectors: NDArray[np.complex128]
    """(m, orders, axes) [m/s2]"""
    variance: Floats
    """(m, orders, axes) [m2/s4]"""
    marked: bool


def tracked_orders(blades: int | None) -> tuple[int, ...]:
    """Return the orders that are followed: once and twice a revolution, blade passing and two harmonics of it.

    Examples
    --------
    >>> tracked_orders(3), tracked_orders(2), tracked_orders(None)
    ((1, 2, 3, 6, 9), (1, 2, 4, 6), (1, 2))
    """
    passing = [] if not blades else [blades * k for k in range(1, _HARMONICS + 1)]
    return tuple(sorted({1, 2, *passing}))


def order_points(channel: Channel, frames: Frames, prepared: Prepared, marks: Marks | None) -> OrderPoints | None:
    """Return the orders of the steady stretches; None where no stretch holds enough revolutions."""
    orders = tracked_orders(prepared.job.design.blades)
    marked = marks is not None and marks.time.size > 1
    speeds, vectors, variances = [], [], []
    every = max(1, int(frames.sampling.rate / _ENOUGH))
    for first, last in _stretches(frames):
        time, values = _thinned(channel.time[first:last], channel.values[first:last], every)
        if marked and marks is not None:
            angle = angle_from_marks(time, marks.time)
            known = np.isfinite(angle)
            time, values, angle = time[known], values[known], angle[known]
        else:
            angle = rotor_angle(time, prepared.bins.time, prepared.spells.drive)
        if time.size < REVOLUTIONS or angle[-1] - angle[0] < 2.0 * np.pi * (REVOLUTIONS + 2):
            continue
        turned = revolution_vectors(values - values.mean(axis=0), angle, orders)
        framed = frame_orders(turned, REVOLUTIONS, locked=marked)
        if framed.first.size == 0:
            continue
        middle = 0.5 * (time[turned.starts] + time[np.minimum(turned.ends, time.size - 1)])
        x = _speeds(np.interp(middle, prepared.bins.time, prepared.spells.drive), framed.first)
        # what the mean over `every` samples takes off an order is known
        kept = np.sinc(np.outer(x, orders) * every / (2.0 * np.pi * frames.sampling.rate))[..., None]
        speeds.append(x)
        vectors.append(framed.vectors / kept)
        variances.append(framed.variance / kept**2)
    if not speeds:
        return None
    return OrderPoints(orders, np.concatenate(speeds), np.concatenate(vectors), np.concatenate(variances), marked)


def _thinned(time: Floats, values: Floats, every: int) -> tuple[Floats, Floats]:
    """Return means over so many samples, at the middle of their times."""
    if every == 1:
        return time, values
    whole = time.size // every
    middle = time[: whole * every].reshape(whole, every).mean(axis=1)
    return middle, values[: whole * every].reshape(whole, every, -1).mean(axis=1)


def _stretches(frames: Frames) -> list[tuple[int, int]]:
    """Return first sample and end of each unbroken row of steady frames."""
    starts, length = frames.spectra[0].starts, frames.spectra[0].length
    breaks = np.flatnonzero((np.diff(starts) > length) | (np.diff(frames.segment) != 0)) + 1
    return [(int(part[0]), int(part[-1]) + length) for part in np.split(starts, breaks) if part.size]


def _speeds(speed: Floats, first: NDArray[np.intp]) -> Floats:
    weight = hann_window(REVOLUTIONS + 1)[1:]
    weight = weight / weight.sum()
    rows = first[:, None] + np.arange(REVOLUTIONS)[None, :]
    return np.asarray(np.sqrt(speed[rows] ** 2 @ weight))


def speed_windows(x: Floats) -> Floats:
    """Return the middles of the windows that lie within the speeds (m,) [rad/s]."""
    low = int(np.ceil(np.log(max(float(x.min()), _FIRST) / _FIRST) / np.log(_STEP) - 1e-9))
    high = int(np.floor(np.log(max(float(x.max()), _FIRST) / _FIRST) / np.log(_STEP) + 1e-9))
    return np.asarray(_FIRST * _STEP ** np.arange(low, high + 1, dtype=np.float64))


@dataclass(frozen=True, slots=True)
class _Windows:
    middle: Floats
    weight: Floats
    """(windows, m), rows sum to 1."""
    count: Floats
    """Frames that a window is worth (windows,)."""


def _windows(x: Floats, allowed: NDArray[np.bool_]) -> _Windows:
    middle = speed_windows(x)
    weight = np.maximum(0.0, 1.0 - np.abs(x[None, :] / middle[:, None] - 1.0) / _HALF_WIDTH) * allowed[None, :]
    total = weight.sum(axis=1)
    told = total >= _LEAST_WEIGHT
    middle, weight = middle[told], weight[told] / total[told, None]
    return _Windows(middle, weight, 1.0 / np.sum(weight**2, axis=1))


def order_curves(points: OrderPoints, frames: Frames, blades: int | None) -> tuple[OrderCurve, ...]:
    """Return the amplitude of each order in windows of speed, with its share of the mean square there."""
    curves = []
    for place, order in enumerate(points.orders):
        allowed = order * points.x / (2.0 * np.pi) <= frames.high
        windows = _windows(points.x, allowed)
        if windows.middle.size == 0:
            continue
        squares = np.abs(points.vectors[:, place]) ** 2
        noise = points.variance[:, place]
        middle, total = windows.middle, (squares - noise).sum(axis=1)
        of_axes = (windows.weight * (middle[:, None] / points.x[None, :]) ** 4) @ (squares - noise)
        scaled = total[None, :] * (middle[:, None] / points.x[None, :]) ** 4
        mean = (windows.weight * scaled).sum(axis=1)
        scatter = (windows.weight * (scaled - mean[:, None]) ** 2).sum(axis=1)
        # |A + noise|^2 scatters by 2 A^2 v + v^2
        of_noise = (2.0 * np.maximum(squares - noise, 0.0) * noise + noise**2).sum(axis=1)
        expected = (windows.weight * of_noise[None, :]).sum(axis=1)
        worth = np.maximum(windows.count / _OVERLAP, 1.0)
        u_square = np.sqrt(np.maximum(scatter / np.maximum(worth - 1.0, 1.0), expected / worth))
        amplitude = np.sqrt(np.maximum(mean, 0.0))
        u_square = np.hypot(u_square, 2.0 * _LEAST * np.maximum(mean, 0.0))
        u = u_square / np.maximum(2.0 * amplitude, np.sqrt(np.maximum(u_square, 1e-300)))
        whole = np.array([_mean_square(frames, each) for each in middle])
        share = np.clip(0.5 * np.maximum(mean, 0.0) / np.maximum(whole, 1e-300), 0.0, 1.0)
        axes = np.sqrt(np.maximum(of_axes, 0.0))
        curves.append(OrderCurve(order, _label(order, blades), middle, amplitude, u, share, axes))
    return tuple(curves)


def _mean_square(frames: Frames, speed: float) -> float:
    """Return the mean square of all axes in the window about a speed, the nearest frames' where it holds none."""
    distance = np.abs(frames.x / speed - 1.0)
    weight = np.maximum(0.0, 1.0 - distance / _HALF_WIDTH)
    if weight.sum() < _LEAST_WEIGHT:
        weight = (distance <= np.sort(distance)[min(1, distance.size - 1)]).astype(np.float64)
    scaled = frames.mean_square.sum(axis=1) * (speed / frames.x) ** 4
    return float(weight @ scaled / weight.sum())


def _label(order: int, blades: int | None) -> str:
    if blades and order % blades == 0:
        harmonic = order // blades
        return "blade passing" if harmonic == 1 else f"{harmonic} x blade passing"
    return f"{order}/rev"


def turning_vector(points: OrderPoints) -> TurningVector | None:
    """Return once per revolution against the mark in windows of speed; its size alone where there is no mark."""
    place = points.orders.index(1)
    windows = _windows(points.x, np.ones(points.x.size, dtype=bool))
    if windows.middle.size == 0:
        return None
    z, noise = points.vectors[:, place], points.variance[:, place]
    scale = (windows.middle[:, None] / points.x[None, :]) ** 2
    worth = np.maximum(windows.count / _OVERLAP, 1.0)[:, None]
    v = np.einsum("wm,ma->wa", windows.weight * scale**2, noise)
    if points.marked:
        mean = np.einsum("wm,ma->wa", windows.weight * scale, z)
        left = np.abs(z[None] * scale[..., None] - mean[:, None]) ** 2
        scatter = np.einsum("wm,wma->wa", windows.weight, left)
        u = np.sqrt(0.5 * np.maximum(v / worth, scatter / np.maximum(worth - 1.0, 1.0)))
    else:
        square = np.einsum("wm,ma->wa", windows.weight * scale**2, np.abs(z) ** 2 - noise)
        mean = np.sqrt(np.maximum(square, 0.0)).astype(np.complex128)
        u = np.sqrt(0.5 * v / worth)
    return TurningVector(windows.middle, mean.real.copy(), mean.imag.copy(), u, points.marked)
