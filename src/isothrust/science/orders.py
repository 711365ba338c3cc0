"""Amplitude and phase of what turns with the rotor, revolution by revolution."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats
from isothrust.science.spectra import hann_window

__all__ = ["OrderFrames", "RevolutionVectors", "angle_from_marks", "frame_orders", "revolution_vectors", "rotor_angle"]

Complexes = NDArray[np.complex128]
_TURN = 2.0 * np.pi


@dataclass(frozen=True, slots=True)
class RevolutionVectors:
    """Complex amplitude of each order over each whole revolution."""

    orders: tuple[int, ...]
    starts: NDArray[np.intp]
    """First sample of each revolution (r,)."""
    ends: NDArray[np.intp]
    """First sample beyond it (r,)."""
    vectors: Complexes
    """(r, orders, axes) [unit of the values]: the part a of an order is Re(vector e^(i h angle))."""


@dataclass(frozen=True, slots=True)
class OrderFrames:
    """Orders over frames of several revolutions."""

    first: NDArray[np.intp]
    """First revolution of each frame (m,)."""
    revolutions: int
    vectors: Complexes
    """(m, orders, axes): mean over the frame under a Hann window."""
    variance: Floats
    """(m, orders, axes): expected square of what noise adds to a vector."""
    slip: Floats
    """By how much the rotor turned faster than the angle said (m,) [1]."""


def rotor_angle(time: ArrayLike, speed_time: ArrayLike, speed: ArrayLike) -> Floats:
    """Return the angle that the rotor has turned through.

    Parameters
    ----------
    time
        Where it is wanted (n,) [s].
    speed_time, speed
        Rising times and speeds there (m,) [s], [rad/s].

    Returns
    -------
    ndarray
        (n,) [rad], zero at the first time; the speed is straight between its readings.

    Source
    ------
    Trapezoidal rule, definition.

    Examples
    --------
    >>> rotor_angle([0.0, 0.5, 1.0], [0.0, 1.0], [10.0, 10.0]).tolist()
    [0.0, 5.0, 10.0]
    """
    t = floats(time)
    w = np.interp(t, floats(speed_time), floats(speed))
    return np.concatenate(([0.0], np.cumsum(0.5 * (w[1:] + w[:-1]) * np.diff(t))))


def angle_from_marks(time: ArrayLike, marks: ArrayLike) -> Floats:
    """Return the angle since the first mark, a revolution from each mark to the next.

    Parameters
    ----------
    time
        Where it is wanted (n,) [s].
    marks
        Rising times of the once-per-revolution marks (m,), at least two [s].

    Returns
    -------
    ndarray
        (n,) [rad]; NaN before the first and after the last mark. Between them the angle is a straight line.

    Source
    ------
    Definition; [Brandt2011], section 12.3 (order tracking with a tachometer signal).

    Examples
    --------
    >>> (angle_from_marks([0.0, 0.1, 0.15, 0.4], [0.1, 0.2, 0.3]) / np.pi).round(6).tolist()
    [nan, 0.0, 1.0, nan]
    """
    t, edge = floats(time), floats(marks)
    angle = np.interp(t, edge, 2.0 * np.pi * np.arange(edge.size))
    return np.where((t >= edge[0]) & (t <= edge[-1]), angle, np.nan)


def revolution_vectors(values: ArrayLike, angle: ArrayLike, orders: tuple[int, ...]) -> RevolutionVectors:
    """Return the complex amplitude of each order over each whole revolution.

    Parameters
    ----------
    values
        Samples without offset (n, axes) [any].
    angle
        Of the rotor at the samples, rising (n,) [rad].
    orders
        Whole multiples of the speed [1].

    Returns
    -------
    RevolutionVectors
        (2/N) sum of a e^(-i h angle) over the N samples of a revolution, those at its ends in part [unit of the
        values].

    Source
    ------
    [Brandt2011], section 12.3: the discrete Fourier transform over a whole number of revolutions. Deviation: the sum
    runs over the samples as they are, without resampling, so that nothing is interpolated.
    """
    samples, theta = floats(values), floats(angle)
    first, last = int(np.ceil(theta[0] / _TURN)), int(np.floor(theta[-1] / _TURN))
    # where each revolution ends, in samples: a sample reaches half way to its neighbours, and may be parted there
    edges = np.interp(_TURN * np.arange(first, last + 1), theta, np.arange(theta.size)) + 0.5
    edges = edges[(edges >= 0.5) & (edges <= theta.size - 0.5)]
    whole = edges.astype(np.intp)
    starts, ends = whole[:-1], whole[1:]
    vectors = np.zeros((max(edges.size - 1, 0), len(orders), samples.shape[1]), dtype=np.complex128)
    if edges.size < 2:
        return RevolutionVectors(orders, starts[:0], ends[:0], vectors)
    base = np.exp(-1j * theta)
    power, reached = np.ones_like(base), 0
    share = 2.0 / np.diff(edges)
    part = edges - whole
    for place, order in sorted(enumerate(orders), key=lambda pair: pair[1]):
        while reached < order:
            power, reached = power * base, reached + 1
        for axis in range(samples.shape[1]):
            product = power * samples[:, axis]
            until = np.concatenate(([0.0], np.cumsum(product)))
            at_edges = until[whole] + part * product[np.minimum(whole, theta.size - 1)]
            vectors[:, place, axis] = np.diff(at_edges) * share
    return RevolutionVectors(orders, starts, ends, vectors)


def frame_orders(turned: RevolutionVectors, revolutions: int, *, locked: bool = False) -> OrderFrames:
    """Return orders over frames of some revolutions that overlap by half.

    Parameters
    ----------
    turned
        Revolution by revolution, without gaps.
    revolutions
        How many make a frame [1].
    locked
        True where the angle comes from marks; otherwise the slip of the angle is found from the orders themselves and
        taken out.

    Returns
    -------
    OrderFrames
        Hann-weighted means with the variance that noise leaves, from second differences between revolutions.

    Source
    ------
    [Brandt2011], section 12.3; second differences as in [VonNeumann1941].
    """
    z = turned.vectors
    count = z.shape[0] - revolutions + 1
    first = np.arange(0, max(count, 0), max(1, revolutions // 2))
    shape = (first.size, *z.shape[1:])
    if first.size == 0:
        return OrderFrames(first, revolutions, np.zeros(shape, complex), np.zeros(shape), np.zeros(0))
    frames = np.moveaxis(sliding_window_view(z, revolutions, axis=0)[first], -1, 1)  # (m, revolutions, orders, axes)
    h = np.asarray(turned.orders, dtype=np.float64)
    slip = np.zeros(first.size) if locked else _slip(frames, h)
    place = np.arange(revolutions) - 0.5 * (revolutions - 1)
    back = np.exp(-2j * np.pi * slip[:, None, None] * place[None, :, None] * h[None, None, :])
    frames = frames * back[..., None]
    weight = hann_window(revolutions + 1)[1:]
    weight = weight / weight.sum()
    vectors = np.einsum("r,mrha->mha", weight, frames)
    bend = frames[:, 2:] - 2.0 * frames[:, 1:-1] + frames[:, :-2]
    noise = np.mean(np.abs(bend) ** 2, axis=1) / 6.0  # of a second difference: 1 + 4 + 1
    return OrderFrames(first, revolutions, vectors, noise * float(weight @ weight), slip)


def _slip(frames: Complexes, orders: Floats) -> Floats:
    """Return by how much each frame's rotor turns faster than its angle, a running median over five frames."""
    step = np.sum(frames[:, 1:] * frames[:, :-1].conj(), axis=(1, 3))  # (m, orders)
    power = np.sum(np.abs(frames) ** 2, axis=(1, 3))
    coherence = np.abs(step) / np.maximum(power, 1e-300)
    # the phase of an order tells the slip h times as well; noise about it is worth nothing
    weight = np.where(coherence > 0.8, np.abs(step) * orders**2, 0.0)
    told = np.angle(step) / (2.0 * np.pi * orders)
    total = weight.sum(axis=1)
    slip = np.where(total > 0.0, (weight * told).sum(axis=1) / np.maximum(total, 1e-300), 0.0)
    if slip.size < 5:
        return np.asarray(slip)
    padded = np.concatenate([slip[:1], slip[:1], slip, slip[-1:], slip[-1:]])
    return np.asarray(np.median(sliding_window_view(padded, 5), axis=1))
