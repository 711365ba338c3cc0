"""A slow sensor in a fast log, told from digits that turn over slowly."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.records.recording import Recording
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.channels.held import check_held
from unit.reduction.bench import changed, curve, recorded, reduced, simulated
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)
SPEED = 1500.0 * ramped(T, 1.0) + 0.8 * np.random.default_rng(1).standard_normal(T.size) * (T > 2.0)


def held(values: np.ndarray, rows: int) -> np.ndarray:
    return values[(np.arange(values.size) // rows) * rows]


@pytest.mark.parametrize("rows", [5, 12, 20, 100, 200])
def test_a_held_channel_gets_its_sensors_own_clock(rows: int) -> None:
    found, (finding,) = check_held(channel("speed", T, held(SPEED, rows)))
    assert finding.code == "channel-held"
    assert f"{rows} ms" in finding.message
    assert np.median(np.diff(found.time)) == pytest.approx(rows * 1e-3)
    fresh = np.isin(found.time, T[::rows])
    assert fresh.mean() > 0.99
    assert found.time.size == pytest.approx(T.size / rows, rel=0.03)
    assert np.array_equal(found.values[fresh], SPEED[np.searchsorted(T, found.time[fresh])])


def test_a_reading_that_comes_again_counts_again() -> None:
    still = held(np.where(T < 5.0, 0.0, SPEED), 50)
    found, _ = check_held(channel("speed", T, still))
    assert np.count_nonzero(found.time < 5.0) == pytest.approx(100, abs=2)


def test_a_channel_that_is_new_in_every_row_is_passed_on() -> None:
    given = channel("speed", T, SPEED)
    assert check_held(given) == (given, [])


@pytest.mark.parametrize("share", [0.3, 0.5, 0.7])
def test_a_coarse_reading_that_often_comes_again_is_not_held(share: float) -> None:
    random = np.random.default_rng(4)
    again = random.random(T.size) < share
    given = channel("speed", T, SPEED[np.maximum.accumulate(np.where(again, 0, np.arange(T.size)))])
    assert check_held(given) == (given, [])


def test_two_rows_a_reading_with_a_few_that_slip_are_held_all_the_same() -> None:
    values = held(SPEED, 2)
    for slip in range(501, T.size, 997):
        values[slip:] = np.append(values[slip - 1], values[slip:-1])
    given = channel("speed", T, values)
    found, (finding,) = check_held(given)
    assert found is given
    assert "every 2 ms, in one row of 2" in finding.message


@pytest.mark.parametrize("rows", [2, 3, 4])
def test_a_reading_that_stands_for_a_few_rows_is_told_and_left_as_it_is(rows: int) -> None:
    given = channel("speed", T, held(SPEED, rows))
    found, (finding,) = check_held(given)
    assert found is given
    assert finding.effect is not None
    assert f"{rows / 2:g} ms late" in finding.effect


@pytest.mark.parametrize("step", [0.5, 10.0, 60.0])
def test_digits_that_turn_over_slowly_are_not_held(step: float) -> None:
    slow = np.round(1500.0 * ramped(T, 1.0) / step) * step
    given = channel("speed", T, slow)
    assert check_held(given) == (given, [])


def test_steps_of_throttle_and_a_stuck_sensor_are_not_held() -> None:
    levels = channel("speed", T, np.where((T // 0.9) % 2 > 0, 1200.0, 300.0))
    stuck = channel("speed", T, np.full(T.size, 800.0))
    assert check_held(levels) == (levels, [])
    assert check_held(stuck) == (stuck, [])


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds"])
@pytest.mark.parametrize("rows", [20, 100])
def test_a_run_with_a_held_tachometer_gives_the_same_coefficients(kind: str, rows: int) -> None:
    recording, job = recorded(kind)
    slow: Recording = changed(recording, "speed", lambda _, v: held(v, rows))
    run = reduce_run(slow, job)
    x = np.array([0.4, 0.6, 0.8, 0.95]) * reduced(kind).curves["thrust"].high
    truth = simulated(kind).truth.mounting
    for name, true in (("thrust", truth.thrust(x)), ("torque", truth.torque(x))):
        assert np.abs(curve(run, name, x) * 1.225 * x**2 / true - 1.0).max() < 0.009, name
