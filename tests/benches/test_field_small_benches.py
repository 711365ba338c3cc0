"""Small benches of ../shared/field, reduced: headline answers of LOG.md, and what each log lacks said."""

from __future__ import annotations

import numpy as np
import pytest

from support.field import (
    GF,
    codes,
    level,
    message,
    needs_field,
    peak,
    read_field,
    reduce_field,
    rows_at,
    why_absent,
)

pytestmark = needs_field


@pytest.mark.parametrize(
    ("file", "median", "drift", "volts"),
    [
        # LOG (mine): thrust at 100 %: motor A 68.0, 78.7, 115.9, 169.3 gf; motor B 62.9, 71.1: the median of all rows
        # at 100 %, the six on the way up among them. Ours is the mean of the settled part, in which thrust falls on by
        # the share named (the supply sags: 8.4 -> 7.13 V for 4.9 inch, 8.27 -> 6.84 V at 11.8 A for motor B).
        ("datura-2.5", 68.0, 0.003, None),
        ("datura-3.0", 78.7, 0.003, None),
        ("datura-3.5", 115.9, 0.003, None),
        ("datura-4.9", 169.3, 0.005, 7.13),
        ("robo-2.5", 62.9, 0.005, 6.84),
        ("robo-3", 71.1, 0.005, None),
    ],
)
def test_thrust_at_full_throttle_of_a_thesis_bench(file: str, median: float, drift: float, volts: float | None) -> None:
    name = f"thesis-minibench/{file}.csv"
    reduced, recording = reduce_field(name, "thesis-minibench"), read_field(name, "thesis-minibench")
    zero = reduced.zeros["thrust"].before
    assert zero is not None
    assert (np.median(rows_at(recording, "thrust", 1.0)) - zero) / GF == pytest.approx(median, abs=0.15)
    assert level(reduced, "thrust", 1.0) / GF == pytest.approx(median, rel=drift)
    assert peak(reduced) == pytest.approx(level(reduced, "thrust", 1.0), rel=0.006)
    # Steps of 0, 33, 66, 100 %: one hold each under power, whatever the torque cell does meanwhile.
    assert [round(100 * hold.throttle) for hold in reduced.holds if hold.throttle] == [33, 66, 100]
    if volts is not None:
        assert recording.channels["voltage"].values.min() == pytest.approx(volts, abs=0.005)
        assert volts < level(reduced, "voltage", 1.0) < volts + 0.03


def test_a_thesis_bench_that_turns_either_way_has_torque_of_one_sign_and_no_coefficients() -> None:
    left = reduce_field("thesis-minibench/datura-3.5.csv", "thesis-minibench", diameter=3.5 * 0.0254)
    right = reduce_field("thesis-minibench/robo-3.csv", "thesis-minibench", diameter=3.0 * 0.0254)
    # LOG: the sign of torque flips with the direction of rotation.
    assert "torque-turned" in codes(left)
    assert "torque-turned" not in codes(right)
    assert level(left, "torque", 1.0) > 0.0
    assert level(right, "torque", 1.0) > 0.0
    for reduced in (left, right):
        # The diameter is known here, the speed is not: no coefficient, and the reason names the channel.
        assert set(reduced.curves) == {"electrical-power", "current", "voltage", "throttle"}
        assert reduced.absent["torque"] == reduced.absent["thrust"] == "the speed channel of run r is not in its log"
        assert "zero-one-sided" in codes(reduced)


def test_motor_map_whose_input_was_never_measured() -> None:
    reduced = reduce_field("motor-map-270kv/odrive_data.csv", "motor-map-270kv")
    # LOG: input current and power are 0 throughout; 344 rows, each a working point.
    assert message(reduced, "channel-dead").startswith("current reads zero in all 344 samples")
    assert set(reduced.curves) == {"torque", "voltage"}
    assert set(reduced.absent) == {"thrust", "electrical-power", "current", "throttle"}
    assert reduced.absent["thrust"] == "rig motor-map-270kv has no thrust channel"
    assert "current" in reduced.absent["electrical-power"]
    assert why_absent(reduced, "peak-current")
    # Rows a second apart are settled by themselves: none is averaged with its neighbours, none is differentiated.
    recording = read_field("motor-map-270kv/odrive_data.csv", "motor-map-270kv")
    speed, torque = (recording.channels[name].values for name in ("speed", "torque"))
    fast = speed > 0.06 * np.quantile(speed, 0.995)
    assert len(reduced.holds) == np.count_nonzero(fast) > 320
    assert [hold.speed for hold in reduced.holds] == pytest.approx(speed[fast])
    assert [hold.torque for hold in reduced.holds] == pytest.approx(torque[fast])
    assert reduced.inertia is None


def test_staircase_of_a_step_bench() -> None:
    file = "dshot-steps/increasing_thrust_response.csv"
    reduced, recording = reduce_field(file, "dshot-steps"), read_field(file, "dshot-steps")
    thrust, zero = recording.channels["thrust"].values, reduced.zeros["thrust"]
    assert zero.before is not None
    assert zero.after is not None
    # LOG: staircase of 35 s, reading 0.82 -> 0.057 (greatest single reading; thrust lowers the reading).
    assert -zero.before == pytest.approx(0.82, abs=0.005)
    assert -thrust.max() == pytest.approx(0.057)
    # Ours is the level of the top step, less a zero that moved by 0.011 meanwhile: the single reading stands above it.
    top = reduced.holds[-1].thrust
    assert top is not None
    assert 0.95 * (thrust.max() - zero.before) < top < thrust.max() - zero.after
    assert peak(reduced) == pytest.approx(top, rel=0.02)
    assert "zero-drift" in codes(reduced)
    # Steps of a second each, upwards only.
    levels = [hold.thrust for hold in reduced.holds if hold.thrust is not None]
    assert len(levels) >= 12
    assert levels == sorted(levels)
    assert all(hold.end - hold.start < 1.0 for hold in reduced.holds)
    assert {"no-speed-channel", "air-unknown"} <= set(reduced.flags)
    assert set(reduced.absent) == {"thrust", "torque", "electrical-power", "current", "voltage", "throttle"}


def test_a_single_step_of_that_bench_has_the_height_that_its_source_states() -> None:
    reduced = reduce_field("dshot-steps/0500_thrust_response.csv", "dshot-steps")
    # LOG: scale in the source: 0.093 for a command of 500.
    assert reduced.holds[-1].thrust == pytest.approx(0.093, abs=0.003)


def test_a_controllers_own_telemetry_gives_its_electrical_figures_and_no_others() -> None:
    reduced = reduce_field("esc-log/f40_steps_5-2.csv", "esc-log", "steps")
    # LOG: peak 16 224 rpm, 26.7 A, least voltage 15.07 V: greatest single readings of two files. Ours is the mean over
    # the settled part of the highest step.
    assert peak(reduced, "peak-current") == pytest.approx(26.0, abs=0.8)
    assert peak(reduced, "peak-electrical-power") < 26.8 * 16.3
    assert why_absent(reduced, "peak-thrust") == "the run has no thrust channel"
    assert reduced.absent == {
        "thrust": "rig esc-log has no thrust channel",
        "torque": "rig esc-log has no torque channel",
    }
    # LOG: 7-8 % identical stamps.
    repeated = next(finding for finding in reduced.findings if finding.code == "clock-repeated")
    assert 0.065 < (repeated.count or 0) / 11487 < 0.085
