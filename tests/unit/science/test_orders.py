"""Order tracking on sweeps whose orders are known."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.orders import angle_from_marks, frame_orders, revolution_vectors, rotor_angle

RATE = 25_600.0


def sweep(noise: float = 0.05) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return time, angle and samples of a sweep from 50 to 350 rev/s in 20 s with orders 1, 2, 3 and 4.5."""
    time = np.arange(int(20.0 * RATE)) / RATE
    angle = 2.0 * np.pi * (50.0 * time + 0.5 * 15.0 * time**2)
    random = np.random.default_rng(3)
    values = np.cos(angle + 0.3) + 0.5 * np.cos(2 * angle) + 0.2 * np.cos(3 * angle) + 0.1 * np.cos(4.5 * angle)
    return time, angle, values + noise * random.standard_normal(time.size)


def test_orders_of_a_sweep_have_their_amplitudes_and_phase() -> None:
    _, angle, values = sweep()
    turned = revolution_vectors(values[:, None], angle, (1, 2, 3))
    assert turned.starts.size == pytest.approx(4000, abs=2)
    frames = frame_orders(turned, 64, locked=True)
    means = np.abs(frames.vectors[:, :, 0]).mean(axis=0)
    np.testing.assert_allclose(means, [1.0, 0.5, 0.2], rtol=5e-3)
    assert np.abs(np.abs(frames.vectors[:, 0, 0]) - 1.0).max() < 0.006
    assert float(np.angle(frames.vectors[:, 0, 0].mean())) == pytest.approx(0.3, abs=0.01)


def test_an_angle_that_is_half_a_per_cent_slow_costs_no_amplitude() -> None:
    _, angle, values = sweep()
    frames = frame_orders(revolution_vectors(values[:, None], angle / 1.005, (1, 2, 3)), 16)
    means = np.sqrt((np.abs(frames.vectors[:, :, 0]) ** 2 - frames.variance[:, :, 0]).mean(axis=0))
    np.testing.assert_allclose(means, [1.0, 0.5, 0.2], rtol=1e-2)
    assert float(np.median(frames.slip)) == pytest.approx(0.005, rel=0.05)


def test_noise_alone_has_the_variance_that_is_stated() -> None:
    random = np.random.default_rng(8)
    angle = 2.0 * np.pi * 200.0 * np.arange(400_000) / RATE
    frames = frame_orders(revolution_vectors(random.standard_normal((angle.size, 1)), angle, (1, 4)), 16)
    assert np.mean(np.abs(frames.vectors) ** 2) == pytest.approx(float(np.mean(frames.variance)), rel=0.1)


def test_angle_from_speed_and_from_marks_agree() -> None:
    time = np.linspace(0.0, 2.0, 20_001)
    speed = 300.0 + 100.0 * time
    angle = rotor_angle(time, time, speed)
    assert angle[-1] == pytest.approx(800.0, rel=1e-9)
    turns = np.arange(1, int(angle[-1] / (2.0 * np.pi)))
    marks = np.interp(2.0 * np.pi * turns, angle, time)
    marked = angle_from_marks(time, marks)
    inside = np.isfinite(marked)
    assert inside[5000]
    assert not inside[0]
    np.testing.assert_allclose(marked[inside], angle[inside] - 2.0 * np.pi, atol=0.02)


def test_too_few_revolutions_give_no_frame() -> None:
    angle = np.linspace(0.0, 2.0 * np.pi * 5.5, 1000)
    assert frame_orders(revolution_vectors(np.cos(angle)[:, None], angle, (1,)), 16).vectors.shape == (0, 1, 1)
