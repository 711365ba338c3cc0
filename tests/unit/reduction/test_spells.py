"""Which bins are under power and near steady, and where the transients are."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.bins import Bins
from isothrust.reduction.spells import Spells, find_spells, number_spells

W = 0.02
TOP = 1500.0


def coasting(t: np.ndarray, start: float, w0: float) -> np.ndarray:
    return w0 / (1.0 + np.maximum(t - start, 0.0) / (0.17 * TOP / w0))


def bins_of(**channels: np.ndarray) -> Bins:
    size = next(iter(channels.values())).size
    return Bins(W * (np.arange(size) + 0.5), W, channels)


def times(duration: float) -> np.ndarray:
    return np.asarray(W * (np.arange(round(duration / W)) + 0.5))


def ramp(rise: float = 10.0) -> tuple[np.ndarray, np.ndarray]:
    """Throttle and speed: 2 s rest, rise, 0.3 s plateau, cut, coast."""
    t = times(rise + 6.0)
    cut = 2.3 + rise
    throttle = np.where(t < cut, np.clip((t - 2.0) / rise, 0.0, 1.0), 0.0)
    return throttle, np.where(t < cut, TOP * throttle, coasting(t, cut, TOP))


def found(throttle: np.ndarray | None, speed: np.ndarray, kind: str = "ramp", **others: np.ndarray) -> Spells:
    named = {"speed": speed, **others} if throttle is None else {"throttle": throttle, "speed": speed, **others}
    return find_spells(bins_of(**named), speed, kind=kind)


def test_a_ramp_is_one_steady_spell_up_to_the_cut() -> None:
    throttle, speed = ramp()
    spells = found(throttle, speed)
    t = times(16.0)
    assert np.unique(spells.segment).tolist() == [0, 1]
    assert t[spells.steady][0] == pytest.approx(2.6, abs=0.35)
    assert t[spells.steady][-1] == pytest.approx(12.25, abs=0.05)
    assert not spells.falling.any()
    assert spells.top == pytest.approx(TOP, rel=1e-3)


def test_the_coast_after_a_ramp_is_one_transient_followed_to_a_third_of_its_start() -> None:
    throttle, speed = ramp()
    ((start, end),) = found(throttle, speed).transients
    assert 12.1 < start < 12.3
    fallen = np.interp(end, times(16.0), speed)
    assert 0.3 * TOP < fallen < 0.45 * TOP


def test_a_down_leg_under_power_counts_as_steady_and_falling_and_not_as_a_transient() -> None:
    t = times(20.0)
    throttle = np.clip(np.minimum((t - 2.0) / 7.0, (16.5 - t) / 7.0), 0.0, 1.0)
    spells = found(throttle, TOP * throttle)
    down = (t > 9.7) & (t < 15.8)
    assert spells.steady[down].all()
    assert spells.falling[down].all()
    assert not spells.falling[t < 9.0].any()
    assert spells.transients == ()


def test_a_drop_faster_than_a_fifth_of_top_a_second_is_no_leg() -> None:
    t = times(12.0)
    throttle = np.clip(np.minimum((t - 2.0) / 6.0, (10.5 - t) / 2.0), 0.0, 1.0)  # 0.5 of top a second
    spells = found(throttle, TOP * throttle)
    assert not spells.steady[t > 8.6].any()
    assert len(spells.transients) == 1


def test_a_log_without_throttle_ends_power_where_the_fast_fall_begins() -> None:
    throttle, speed = ramp()
    blind, seeing = found(None, speed), found(throttle, speed)
    assert np.count_nonzero(blind.steady ^ seeing.steady) <= 8
    assert not blind.powered[times(16.0) > 12.5].any()


def test_steps_keep_their_levels_and_give_a_transient_each() -> None:
    t = times(14.0)
    high = ((t - 2.0) // 1.5) % 2 > 0
    target = np.where(t < 2.0, 0.0, np.where(high, 0.6, 0.25)) * (t < 12.5)
    speed = np.zeros(t.size)
    for i in range(1, t.size):
        speed[i] = speed[i - 1] + W / 0.06 * (TOP * target[i] - speed[i - 1])
    spells = found(target, speed, "steps")
    levels = np.unique(np.round(speed[spells.steady] / TOP, 2))
    assert levels.tolist() == [0.25, 0.6]
    assert len(spells.transients) == 8


def test_holds_are_as_many_spells_as_levels_and_begin_once_the_cells_have_arrived() -> None:
    t = times(14.0)
    level = np.array([0.0, 0.3, 0.5, 0.7, 0.9, 0.0])[np.minimum(((t - 2.0) // 2.5 + 1).clip(0).astype(int), 5)]
    speed = np.where(t < 12.0, TOP * level, coasting(t, 12.0, 0.9 * TOP))
    thrust = np.zeros(t.size)
    for i in range(1, t.size):  # a cell far slower than the rotor: 0.25 s
        thrust[i] = thrust[i - 1] + W / 0.25 * (20.0 * (speed[i] / TOP) ** 2 - thrust[i - 1])
    spells = found(level, speed, "holds", thrust=thrust)
    assert int(spells.segment.max()) == 4
    for number, share in enumerate((0.3, 0.5, 0.7, 0.9), start=1):
        settled = thrust[spells.segment == number]
        assert settled.size > 40
        assert np.allclose(settled, 20.0 * share**2, rtol=0.05)


def test_a_coast_run_is_steady_on_its_level_alone() -> None:
    t = times(10.0)
    throttle = np.where(t < 5.0, 0.7 * np.clip((t - 2.0) / 1.5, 0.0, 1.0), 0.0)
    speed = np.where(t < 5.0, TOP * throttle, coasting(t, 5.0, 0.7 * TOP))
    spells = found(throttle, speed, "coast")
    assert np.allclose(speed[spells.steady], 0.7 * TOP)
    assert len(spells.transients) == 2  # the quick rise and the drop
    assert spells.transients[-1][0] == pytest.approx(4.9, abs=0.06)


def test_rows_half_a_second_apart_are_working_points() -> None:
    t = 0.5 * np.arange(40)
    throttle = np.where((t > 1.0) & (t < 18.0), 0.1 + 0.05 * (t // 1.0), 0.0).clip(0.0, 1.0)
    speed = TOP * throttle
    bins = Bins(t, 0.5, {"throttle": throttle, "speed": speed})
    spells = find_spells(bins, speed, kind="holds")
    assert spells.transients == ()
    assert np.count_nonzero(spells.steady) >= np.count_nonzero(throttle > 0.1) - 2


def test_without_a_speed_channel_thrust_under_power_is_steady_enough() -> None:
    throttle, speed = ramp()
    thrust = 20.0 * (speed / TOP) ** 2
    spells = find_spells(bins_of(throttle=throttle, thrust=thrust), np.sqrt(thrust), kind="ramp")
    assert np.count_nonzero(spells.steady) > 400


def test_noise_of_the_tachometer_does_not_break_a_ramp() -> None:
    throttle, speed = ramp()
    noisy = speed + 3.0 * np.random.default_rng(1).standard_normal(speed.size)
    assert np.unique(found(throttle, noisy).segment).size == 2


def test_a_rotor_at_rest_all_the_time_is_never_steady() -> None:
    spells = found(np.zeros(500), np.zeros(500))
    assert not spells.steady.any()
    assert spells.transients == ()


def test_bins_without_a_reading_are_not_steady() -> None:
    throttle, speed = ramp()
    gappy = speed.copy()
    gappy[300:350] = np.nan
    spells = found(throttle, gappy)
    assert not spells.steady[300:350].any()
    assert int(spells.segment.max()) == 2


def test_spells_are_numbered_from_one_in_order() -> None:
    mask = np.array([True, True, False, True, False, False, True])
    assert number_spells(mask).tolist() == [1, 1, 0, 2, 0, 0, 3]
    assert number_spells(~mask).tolist() == [0, 0, 1, 0, 2, 2, 0]
