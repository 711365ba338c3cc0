"""Where a recording lies in the time of another: known offsets, uncertainties that hold, and what fits nowhere."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from isothrust.science.registration import edge_registration, level_registration, rising_edges, short_time_level

Floats = NDArray[np.float64]
STEP = 0.02


def course(kind: str, time: Floats) -> Floats:
    """Return a speed over time that stands at both ends."""
    if kind == "ramp":
        up = np.where(time > 2.0, 200.0 + 150.0 * np.clip(time - 2.0, 0.0, 10.0), 0.0)
        return np.where(time > 13.0, up * np.exp(-(time - 13.0) / 0.4), up)
    if kind == "sine":
        return 900.0 + 300.0 * np.sin(np.pi * time)
    return np.interp(time, [0, 1, 1.2, 4, 4.3, 7, 7.3, 13, 14], [0, 0, 500, 500, 900, 900, 1500, 1500, 0])


def heard(kind: str, offset: float, seconds: float, seed: int) -> Floats:
    """Return the level, every 20 ms, of noise that grows as a power of the speed, recorded from `offset` on."""
    rng = np.random.default_rng(seed)
    rate = 4000
    time = offset + np.arange(int(seconds * rate)) / rate
    loud = 0.003 + 0.3 * (course(kind, time) / 1500.0) ** 2.5
    return np.sqrt(short_time_level(rng.normal(size=time.size) * loud, frame=int(STEP * rate)))


def logged(kind: str, seconds: float, seed: int) -> Floats:
    rng = np.random.default_rng(seed + 10_000)
    speed = course(kind, STEP * (np.arange(int(seconds / STEP)) + 0.5))
    return speed + rng.normal(0.0, 5.0, speed.size)


@pytest.mark.parametrize("kind", ["ramp", "staircase"])
def test_a_known_offset_is_found_within_what_is_said_of_it(kind: str) -> None:
    off = []
    for seed in range(40):
        offset = float(np.random.default_rng(seed).uniform(-1.5, 1.5))
        found = level_registration(heard(kind, offset, 16.0, seed), logged(kind, 16.0, seed), step=STEP)
        assert found.explained > 0.9
        assert found.rival > 2.5
        assert found.u_offset < 0.03
        off.append((found.offset - offset) / found.u_offset)
    assert np.sqrt(np.mean(np.square(off))) < 1.0
    assert np.abs(off).max() < 3.0


def test_neither_gain_nor_the_law_of_loudness_moves_the_offset() -> None:
    level, speed = heard("ramp", 0.7, 16.0, 1), logged("ramp", 16.0, 1)
    plain = level_registration(level, speed, step=STEP)
    louder = level_registration(40.0 * level, speed, step=STEP)
    assert louder.offset == pytest.approx(plain.offset, abs=1e-9)
    assert level_registration(level**2, speed, step=STEP).offset == pytest.approx(plain.offset, abs=0.02)
    assert level_registration(level, 3.0 * speed - 7.0, step=STEP).offset == pytest.approx(plain.offset, abs=1e-6)


def test_a_course_that_repeats_itself_has_a_rival() -> None:
    inside = np.sqrt(heard("sine", 3.0, 6.0, 2))
    assert level_registration(inside, logged("sine", 16.0, 2), step=STEP).rival < 1.5


def test_a_level_of_something_else_explains_nothing() -> None:
    noise = np.random.default_rng(3).normal(1.0, 0.1, 800)
    assert level_registration(noise, logged("ramp", 16.0, 3), step=STEP).explained < 0.3


@pytest.mark.parametrize(("level", "reference"), [(np.ones(200), np.arange(200.0)), (np.arange(200.0), np.ones(200))])
def test_what_never_moves_cannot_be_laid_over_anything(level: Floats, reference: Floats) -> None:
    with pytest.raises(ValueError, match="stands still"):
        level_registration(level, reference, step=STEP)


def test_too_short_a_level_is_refused() -> None:
    with pytest.raises(ValueError, match="too short"):
        level_registration(np.arange(20.0), np.arange(200.0), step=STEP)


def test_a_level_leaves_the_mean_of_each_frame_out() -> None:
    rng = np.random.default_rng(4)
    wave = rng.normal(size=1000)
    np.testing.assert_allclose(short_time_level(wave + 5.0, frame=100), wave.reshape(10, 100).std(axis=1), rtol=1e-9)
    assert short_time_level(wave, frame=300).size == 3
    assert np.isnan(short_time_level([1.0, np.nan, 1.0, -1.0], frame=2)).tolist() == [True, False]


def test_edges_are_the_first_samples_after_a_rise_and_noise_makes_none() -> None:
    rng = np.random.default_rng(5)
    signal = np.repeat([0.0, 5.0, 0.0, 5.0, 0.0], 100) + rng.normal(0.0, 0.2, 500)
    signal[150] = np.nan
    assert rising_edges(signal).tolist() == [100, 300]
    assert rising_edges(np.ones(9)).size == 0
    assert rising_edges([]).size == 0
    assert rising_edges([5.0, 5.0, 0.0]).size == 0


def test_edges_that_both_recorded_give_the_offset() -> None:
    for seed in range(50):
        rng = np.random.default_rng(seed)
        true, offset, step = np.sort(rng.uniform(0.0, 60.0, 4)), float(rng.uniform(-5.0, 5.0)), 0.01
        in_log = np.ceil(true / step) * step
        found = edge_registration(true - offset, in_log, step=step)
        assert found is not None
        assert abs(found.offset - offset) < 3.0 * found.u_offset
        assert found.u_offset == pytest.approx(step / np.sqrt(12.0), rel=0.3)


def test_an_edge_that_one_of_them_missed_does_no_harm() -> None:
    true = np.array([1.0, 2.5, 7.0, 9.2, 15.0])
    found = edge_registration(true[[0, 1, 3, 4]] + 3.0, true, step=0.01)
    assert found is not None
    assert found.offset == pytest.approx(-3.0, abs=0.01)
    assert found.explained == 1.0


def test_edges_that_meet_in_several_ways_or_nowhere_give_none() -> None:
    even = np.arange(5.0)
    assert edge_registration(even, np.arange(8.0), step=0.01) is None
    assert edge_registration([1.0, 2.0, 4.0], [1.0, 5.0, 20.0, 50.0], step=0.01) is None
    assert edge_registration([], [1.0], step=0.01) is None
