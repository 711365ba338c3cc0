"""Where holds begin and end: commands, slow cells, overshoots, drifting loads."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.bins import Bins
from isothrust.reduction.settling import keep_settled, level_changes
from isothrust.reduction.spells import find_spells, number_spells

WIDTH = 0.02


def stairs(levels: list[float], stay: float) -> np.ndarray:
    return np.repeat(np.array(levels, dtype=float), round(stay / WIDTH))


def bins(**values: np.ndarray) -> Bins:
    count = next(iter(values.values())).size
    return Bins(WIDTH * np.arange(count), WIDTH, values)


def late(load: np.ndarray, time_constant: float, dead: float = 0.0) -> np.ndarray:
    """The load as a slow cell reads it."""
    shifted = np.concatenate([np.full(round(dead / WIDTH), load[0]), load])[: load.size]
    out = np.empty_like(shifted)
    out[0] = shifted[0]
    for k in range(1, shifted.size):
        out[k] = out[k - 1] + (shifted[k] - out[k - 1]) * WIDTH / time_constant
    return out


def test_the_command_marks_where_one_hold_ends_and_another_begins() -> None:
    made = bins(throttle=stairs([0.3, 0.5, 0.7], 2.0))
    assert np.flatnonzero(level_changes(made)).tolist() == [99, 100, 199, 200]


def test_a_command_that_moves_slowly_from_hold_to_hold_marks_the_way() -> None:
    throttle = np.concatenate([np.full(100, 0.3), np.linspace(0.3, 0.5, 100), np.full(100, 0.5)])
    jitter = 0.001 * np.random.default_rng(4).standard_normal(300)
    marked = level_changes(bins(throttle=throttle + jitter))
    assert marked[105:195].all()
    assert not marked[:90].any()
    assert not marked[210:].any()


def test_without_a_command_speed_does_even_for_small_steps() -> None:
    made = bins(speed=stairs([1000.0, 1012.0, 1400.0], 2.0))
    marked = level_changes(made)
    assert marked[99:101].all()
    assert marked[199:201].all()
    assert not marked[20:80].any()


def test_a_slow_sag_of_speed_is_no_new_level() -> None:
    time = WIDTH * np.arange(300)
    assert not level_changes(bins(speed=1000.0 * (1.0 - 0.015 * time))).any()


def test_a_cell_slower_than_the_rotor_is_waited_for() -> None:
    thrust = late(stairs([1.0, 5.0], 4.0), 0.3, dead=0.4)
    steady = np.zeros(thrust.size, dtype=bool)
    steady[15:195] = steady[215:] = True
    kept = keep_settled(bins(thrust=thrust), steady, number_spells(steady))
    second = np.flatnonzero(kept & (np.arange(thrust.size) > 200))
    assert kept[15:195].all()
    assert abs(thrust[second[0]] / 5.0 - 1.0) < 0.05
    assert second[0] * WIDTH - 4.0 == pytest.approx(0.4 + 0.3 * np.log(0.8 / 0.02), abs=0.3)
    assert second.size >= 90


def test_a_load_that_wanders_for_good_makes_no_new_holds() -> None:
    random = np.random.default_rng(3)
    wander = np.convolve(random.standard_normal(500), np.ones(25) / 5.0, mode="same")
    torque = 0.06 * (1.0 + 0.05 * wander)
    steady = np.ones(500, dtype=bool)
    steady[:15] = False
    kept = keep_settled(bins(torque=torque), steady, number_spells(steady))
    assert int(number_spells(kept).max()) == 1
    assert kept.sum() >= 240


def test_a_hold_shorter_than_a_quarter_of_a_second_is_none() -> None:
    steady = np.zeros(100, dtype=bool)
    steady[10:20] = steady[40:80] = True
    kept = keep_settled(bins(thrust=np.full(100, 2.0)), steady, number_spells(steady))
    assert np.flatnonzero(kept).tolist() == list(range(40, 80))


def test_a_negative_load_settles_as_a_positive_one() -> None:
    thrust = late(stairs([1.0, 5.0], 3.0), 0.2)
    steady = np.ones(thrust.size, dtype=bool)
    steady[140:160] = False
    segment = number_spells(steady)
    up = keep_settled(bins(torque=thrust), steady, segment)
    down = keep_settled(bins(torque=-thrust), steady, segment)
    assert (up == down).all()


def test_a_rotor_that_overshoots_its_level_is_not_cut_off() -> None:
    # No command in the log: a fast fall to half and less is a cut, a fall back from an overshoot is none.
    rise = np.concatenate([np.linspace(0.0, 1000.0, 5), np.linspace(1000.0, 850.0, 10), np.full(150, 850.0)])
    held = find_spells(bins(speed=rise, thrust=rise**2 * 1e-6), rise, kind="holds")
    assert held.powered[20:160].all()
    assert held.steady[60:150].all()
    cut = np.concatenate([rise, np.linspace(850.0, 0.0, 25), np.zeros(50)])
    ended = find_spells(bins(speed=cut, thrust=cut**2 * 1e-6), cut, kind="holds")
    assert not ended.powered[170:].any()


def test_only_a_ramp_has_a_leg_down() -> None:
    speed = np.concatenate([np.linspace(300.0, 1000.0, 300), np.linspace(1000.0, 300.0, 300)])
    made = bins(speed=speed, throttle=speed / 1000.0, thrust=speed**2 * 1e-6)
    assert find_spells(made, speed, kind="ramp").falling.any()
    assert not find_spells(made, speed, kind="holds").falling.any()
