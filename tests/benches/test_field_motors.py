"""Motors of other people's benches in ../shared/field: what their logs tell, and what they cannot and why."""

from __future__ import annotations

import pytest

from isothrust.records.motor import CONSTANTS
from isothrust.reduction.motor_found import MotorRuns, find_motor
from support.field import needs_field, reduce_field

pytestmark = needs_field

SWEEPS = {
    "robbe": (("robbe10.8", "uni-voltage-sweep-robbe10.8"), ("robbe12.6", "uni-voltage-sweep-robbe12.6")),
    "tiger": (("tiger10.8", "uni-voltage-sweep"), ("tiger12.6", "uni-voltage-sweep-tiger12.6")),
}


def test_a_lever_bench_whose_shaft_power_leaves_no_loss_is_given_no_motor() -> None:
    """Torque 0.152 N m (LOG, C_tau times thrust) at 8400 rpm is 134 W of 154 W, and the loss falls as load grows."""
    run = reduce_field("uni-lever-14v8/test_V_14.8.txt", "uni-lever-14v8-torque")
    assert run.drive is not None
    assert run.drive.torque is not None
    assert run.drive.torque.max() == pytest.approx(0.152, abs=0.004)
    found = find_motor(MotorRuns("t", [run], {}, None))
    assert all(getattr(found, name) is None for name in CONSTANTS)
    assert "leaves no loss" in found.unidentified["resistance"]
    assert "scale or zero" in found.unidentified["kv"]
    assert found.supply is not None
    assert found.supply.voltage == pytest.approx(14.95, abs=0.1)  # LOG: 14.9 -> 14.2 V


@pytest.mark.parametrize("motor", SWEEPS)
def test_one_propeller_at_two_voltages_without_torque_tells_no_kv(motor: str) -> None:
    """Speed comes in steps of 56 rpm and current of 0.1 A: two readings would give any KV between 600 and 1000."""
    runs = [reduce_field(f"uni-voltage-sweep/{name}.txt", rig) for name, rig in SWEEPS[motor]]
    found = find_motor(MotorRuns(motor, runs, {}, None))
    assert found.kv is None
    assert "twice" in found.unidentified["kv"]
    assert "without torque sensing" in found.unidentified["friction"]
    assert {"torque-not-measured", "calibration-not-stated"} <= set(found.flags)


def test_telemetry_of_a_controller_tells_no_motor_from_one_spell_at_full_throttle() -> None:
    found = find_motor(MotorRuns("f40", [reduce_field("esc-log/f40_steps_5-2.csv", "esc-log")], {}, None))
    assert found.kv is None
    assert "once" in found.unidentified["kv"]


def test_a_dynamometer_whose_current_column_is_dead_is_told_by_that_channel() -> None:
    run = reduce_field("motor-map-270kv/odrive_data.csv", "motor-map-270kv")
    found = find_motor(MotorRuns("m270", [run], {}, None))
    assert found.unidentified["kv"] == "no run has a current channel"
    assert set(found.unidentified) == set(CONSTANTS)
