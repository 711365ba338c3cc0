"""Logs of ../shared/field without a propeller figure in them: read or refused with the true reason, never a crash."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import IsothrustError, ReductionError
from isothrust.ingest import read_recording
from isothrust.records.book import Design, Run
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from support.field import FIELD, GF, codes, message, needs_field, peak, reduce_field, why_absent

pytestmark = needs_field

MAKER = "arduino-2830/thrust setup 27_02_2020 "
SERIAL = """
[channels.time]
column = 1
unit = "s"
[channels.thrust]
column = 2
unit = "count"
scale = "1 gf/count"
"""
MS_VOLTS = '[channels.time]\ncolumn = 1\nunit = "ms"\n[channels.voltage]\ncolumn = 2\nunit = "V"\n'
DUTY = """
[channels.time]
column = "time_s"
unit = "s"
[channels.current]
column = "current_A"
unit = "A"
[channels.throttle]
column = "duty_pct"
unit = "%"
"""
AXES = """
[channels.time]
column = "timestamp(ms)"
unit = "ms"
[channels.acceleration]
columns = ["IMU[0].AccX", "IMU[0].AccY", "IMU[0].AccZ"]
unit = "m/s2"
"""


def attempt(tmp_path: Path, file: str, rig: str, kind: str = "ramp") -> Recording | IsothrustError:
    """Read with a rig written for the occasion; then reduce. What was read, or the error that says why not."""
    path = tmp_path / "rig.toml"
    path.write_text(rig, encoding="utf-8")
    run = Run("r", "c", "d", "", "r", kind, {"log": file}, "", None)  # type: ignore[arg-type]
    try:
        plan, _ = parse_rig(path)
        recording = read_recording("r", {"log": str(FIELD / file)}, plan)
    except IsothrustError as error:
        return error
    job = RunJob(run, plan, Design("d"), None, 1.225, {"log": str(FIELD / file)}, {})
    outcome: ReducedRun | ReductionError
    try:
        outcome = reduce_run(recording, job)
    except ReductionError as error:
        outcome = error
    assert isinstance(outcome, ReducedRun) or outcome.problems[0].fix
    return recording


def test_makers_bench_without_propulsion() -> None:
    # LOG: test0, no propulsion (all 0), the clock steps back and has a hole of 177.8 s.
    with pytest.raises(ReductionError) as caught:
        reduce_field(f"{MAKER}test0.csv", "arduino-2830")
    assert caught.value.code == "no-propulsion"
    assert "0.01 A at 15.23 V" in str(caught.value)


def test_makers_bench_whose_supply_was_not_wired() -> None:
    # LOG: test1, voltage and current not wired (0.02 V) while rpm and thrust change.
    reduced = reduce_field(f"{MAKER}test1_avioncs_2830kv_1045.csv", "arduino-2830")
    assert {f.channel for f in reduced.findings if f.code == "channel-dead"} == {"voltage", "current"}
    assert "electrical-power" in reduced.absent
    assert why_absent(reduced, "peak-electrical-power")
    assert why_absent(reduced, "peak-current")


def test_makers_bench_whose_tachometer_was_blind() -> None:
    # LOG: test2, max 0.480 kg @11.69 V 11.13 A but rpm = 0: thrust over speed must not be reported.
    reduced = reduce_field(f"{MAKER}test2_avioncs_2830kv_1045.csv", "arduino-2830")
    assert "82 % of the samples under power" in message(reduced, "tachometer-lost")
    assert reduced.abscissa == "root-thrust"
    assert "thrust" not in reduced.curves
    assert reduced.absent["thrust"] == "the speed channel of run r was left out: see its findings"
    # With 0.03 A the load reads 0 to -1 gf before and 24 to 26 gf after.
    assert 480 - 26 < peak(reduced) / GF < 480 + 1
    assert peak(reduced, "peak-electrical-power") == pytest.approx(11.69 * 11.13, rel=0.01)


def test_makers_bench_whose_tachometer_was_stuck() -> None:
    # LOG: test3, max 0.536 kg @11.66 V 11.03 A; rpm is stuck: 2889 for the whole rise from 0.17 to 0.52 kg.
    reduced = reduce_field(f"{MAKER}test3_avioncs_2830kv_1105.csv", "arduino-2830")
    assert "repeats 2889 rpm" in message(reduced, "tachometer-stuck")
    assert "thrust" not in reduced.curves
    assert "no-speed-channel" in reduced.flags
    # With 0.04 A the load reads -5 to 0 gf before, and about -20 gf after.
    assert 536 < peak(reduced) / GF < 536 + 20
    assert peak(reduced, "peak-current") == pytest.approx(11.03, abs=0.1)


def test_brake_bench_with_glitches_and_no_propeller() -> None:
    # LOG: load-cell glitches of -384 000 g and +287 000 g between normal values of about 2 g.
    reduced = reduce_field("commented-dyno/speed_test_13_02_2021_13-53-46.csv", "commented-dyno")
    assert {f.channel for f in reduced.findings if f.code == "spikes"} == {"thrust", "torque"}
    assert "zero-missing" in codes(reduced)
    assert abs(peak(reduced)) < 1.0
    for file in ("Fri Jan 15 19-40-52 2021.csv", "dynamometer_test001.csv"):
        other = reduce_field(f"commented-dyno/{file}", "commented-dyno")
        assert other.holds
    # Columns differ from file to file: what this log has not is laid on the log, not on the rig.
    assert "channel-missing" in codes(other)
    assert other.absent["thrust"] == "the log of run r has no column for thrust"


@pytest.mark.parametrize("number", range(1, 7))
def test_spin_down_of_a_motor_alone_has_nothing_to_reduce(number: int) -> None:
    with pytest.raises(ReductionError) as caught:
        reduce_field(f"rotor-coastdown/MS_Decay_{number}.csv", "rotor-coastdown", "coast")
    assert caught.value.code == "nothing-to-reduce"
    assert "nothing but speed" in str(caught.value)


@pytest.mark.parametrize("file", ["tenso", "shunt", "pressure", "temp", "hal", "vibration"])
def test_serial_dumps_of_two_columns_are_read(tmp_path: Path, file: str) -> None:
    found = attempt(tmp_path, f"serial-dumps/{file}.txt", SERIAL)
    assert isinstance(found, Recording)
    # LOG: 8800 rows of 1 kHz and 880 rows of 100 Hz on one clock.
    assert found.sources[0].rows == (8800 if file in {"hal", "vibration"} else 880)


@pytest.mark.parametrize(
    ("file", "frames", "seconds"),
    # Frames of 28 fields between bars and brackets, the clock in the first three. LOG: 4000 frames, ms going on by 1
    # with repeats and gaps; the others of 10 ms, some missing.
    [("wyniki", 4000, 4.234), ("frame", 889, 8.880), ("repair_frame", 880, 9.960)],
)
def test_frames_in_brackets_are_read_by_their_own_clock(tmp_path: Path, file: str, frames: int, seconds: float) -> None:
    rig = """
[channels.time]
columns = [1, 2, 3]
unit = "count"
scale = ["60 s/count", "1 s/count", "1 ms/count"]
[channels.thrust]
column = 28
unit = "count"
scale = "1 gf/count"
"""
    found = attempt(tmp_path, f"serial-dumps/{file}.txt", rig)
    assert isinstance(found, Recording)
    assert found.sources[0].rows == frames
    assert found.channels["thrust"].time[-1] == pytest.approx(seconds, abs=1e-6)
    assert [finding.code for finding in found.findings] == ["truncated-last-line"] * (file == "wyniki")


def test_frames_that_a_hand_has_written_are_read_as_they_stand(tmp_path: Path) -> None:
    # LOG: hand-edited (leading zeros).
    found = attempt(tmp_path, "serial-dumps/moje_wyniki.txt", SERIAL.replace("column = 2", "column = 28"))
    assert isinstance(found, Recording)
    assert found.sources[0].rows == 11


@pytest.mark.parametrize(
    ("file", "rig"),
    [
        # LOG: voltage of a battery at constant throttle; current and duty of a motor whose tachometer is a voltage with
        # pulses to be counted; acceleration of a flight at 10 Hz.
        ("battery-sag/vbat_t-100_n-1.csv", MS_VOLTS),
        ("battery-sag/vbat_t-50_n-1.csv", MS_VOLTS),
        ("dc-motor-4k7/Arduino motor data_20260522_130512_84996pts.csv", DUTY),
        ("octo-prop-damage/good_1.csv", AXES),
        ("octo-prop-damage/not_good_1.csv", AXES),
        ("octo-prop-damage/acc_gyro_lot_03.csv", AXES),
    ],
)
def test_logs_without_speed_or_thrust_are_refused_for_that(tmp_path: Path, file: str, rig: str) -> None:
    found = attempt(tmp_path, file, rig)
    assert isinstance(found, IsothrustError)
    assert "the rig records neither speed nor thrust" in str(found)
    assert found.problems[0].fix


@pytest.mark.parametrize(("file", "rows", "last"), [("100", 237, 2.43), ("50", 485, 2.23)])
def test_one_column_is_not_two_quantities(tmp_path: Path, file: str, rows: int, last: float) -> None:
    # LOG: 100 % lasts 236 s 3.10 -> 2.43 V; 50 % 484 s 3.59 -> 2.23 V. Taken for a load in counts, it can be read.
    load = '[channels.thrust]\ncolumn = 2\nunit = "count"\nscale = "1 N/count"\n'
    log = f"battery-sag/vbat_t-{file}_n-1.csv"
    assert "column 2 is read as voltage and as thrust" in str(attempt(tmp_path, log, MS_VOLTS + load))
    found = attempt(tmp_path, log, MS_VOLTS.partition("[channels.voltage]")[0] + load, "zero")
    assert isinstance(found, Recording)
    reading = found.channels["thrust"]
    assert (found.sources[0].rows, reading.time[-1]) == (rows, pytest.approx(rows - 1, abs=0.5))
    assert reading.values[-1] == pytest.approx(last, abs=0.01)


@pytest.mark.parametrize(("run", "rows"), [("run8", 10167), ("run9", 11384)])
def test_a_flywheels_angle_is_no_speed(tmp_path: Path, run: str, rows: int) -> None:
    rig = '[channels.time]\ncolumn = "timestamp"\nunit = "ms"\n[channels.speed]\ncolumn = "total_angle"\nunit = "rad"\n'
    found = attempt(tmp_path, f"flywheel-dyno/{run}.csv", rig.replace('"rad"\n', '"rad/s"\n'))
    assert isinstance(found, Recording)
    assert found.sources[0].rows == rows
    path = tmp_path / "angle.toml"
    path.write_text(rig, encoding="utf-8")
    with pytest.raises(IsothrustError) as caught:
        parse_rig(path)
    assert "angle" in str(caught.value)


def test_a_motor_at_four_thousand_samples_a_second_whose_pulses_are_no_speed(tmp_path: Path) -> None:
    rig = DUTY + '[channels.speed]\ncolumn = "encoder_V"\nunit = "rpm"\n'
    found = attempt(tmp_path, "dc-motor-4k7/Arduino motor data_20260522_130512_84996pts.csv", rig)
    assert isinstance(found, Recording)
    # LOG: 84 996 rows, 18.7 s.
    assert found.sources[0].rows == 84_996
    assert found.channels["current"].time[-1] == pytest.approx(18.7, abs=0.05)


@pytest.mark.parametrize("file", ["lot_1_all_good", "lot_3_not_good", "wibracje_lot_03_all"])
def test_a_log_without_the_rigs_columns_is_refused_with_the_heads_it_has(tmp_path: Path, file: str) -> None:
    found = attempt(tmp_path, f"octo-prop-damage/{file}.csv", AXES)
    assert isinstance(found, IsothrustError)
    assert "IMU[0].AccX" in str(found)
    assert found.problems[0].expected
    assert found.problems[0].fix
