"""Channels of a run: clocks of their own, sums, conversions, and what is said when something is not there."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import IsothrustError, LogError, ProblemsError
from isothrust.ingest import read_recording
from isothrust.records.recording import Recording
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig

GF = 0.00980665
RPM = 2.0 * math.pi / 60.0
TIME = ChannelPlan("time", (ColumnPick(head="t"),), unit="ms", factor=0.001)
SPEED = ChannelPlan("speed", (ColumnPick(head="rpm"),), unit="rpm", factor=RPM)
THRUST = ChannelPlan("thrust", (ColumnPick(head="axial"),), unit="gf", factor=GF)


def rig(*plans: ChannelPlan) -> Rig:
    return Rig("bench", "Bench", {plan.quantity: plan for plan in plans})


def read(folder: Path, text: str, plans: Rig, **files: str) -> Recording:
    (folder / "log.csv").write_text(text, encoding="utf-8")
    paths = {"log": str(folder / "log.csv")}
    for key, content in files.items():
        path = folder / f"{key}.csv"
        path.write_text(content, encoding="utf-8")
        paths[key] = str(path)
    return read_recording("r1", paths, plans)


def refusal(folder: Path, text: str, plans: Rig) -> IsothrustError:
    with pytest.raises(IsothrustError) as caught:
        read(folder, text, plans)
    return caught.value


def lines(head: str, rows: int, **columns: object) -> str:
    """Return a log whose cells are constants or functions of the row number."""
    cells = [",".join(str(c(k) if callable(c) else c) for c in columns.values()) for k in range(rows)]
    return head + "\n" + "\n".join(cells) + "\n"


def test_a_slow_channel_keeps_its_own_clock(tmp_path: Path) -> None:
    text = lines("t,rpm,axial", 40, t=lambda k: k, rpm=lambda k: 10 * k, axial=lambda k: k if k % 8 == 3 else "")
    recording = read(tmp_path, text, rig(TIME, SPEED, THRUST))
    assert recording.channels["speed"].time.tolist() == pytest.approx([0.001 * k for k in range(40)])
    assert recording.channels["thrust"].time.tolist() == pytest.approx([0.003, 0.011, 0.019, 0.027, 0.035])
    assert recording.channels["thrust"].values.tolist() == pytest.approx([GF * k for k in (3, 11, 19, 27, 35)])
    assert recording.findings == ()


def test_a_channel_with_a_rate_of_its_own_counts_its_own_samples(tmp_path: Path) -> None:
    slow = ChannelPlan("thrust", (ColumnPick(head="axial"),), unit="gf", factor=GF, rate=80.0)
    # Side by side: the column of the slow channel ends early. Among others: it is filled in every fourth row.
    beside = lines("t,rpm,axial", 40, t=lambda k: k, rpm=lambda k: k, axial=lambda k: k if k < 10 else "")
    among = lines("t,rpm,axial", 40, t=lambda k: k, rpm=lambda k: k, axial=lambda k: k // 4 if k % 4 == 2 else "")
    for text in (beside, among):
        channel = read(tmp_path, text, rig(TIME, SPEED, slow)).channels["thrust"]
        assert channel.time.tolist() == pytest.approx([k / 80.0 for k in range(10)])
        assert channel.values.tolist() == pytest.approx([GF * k for k in range(10)])


def test_a_block_of_blank_cells_in_a_channel_with_a_rate_of_its_own_takes_its_time_and_is_told(tmp_path: Path) -> None:
    fast = ChannelPlan("thrust", (ColumnPick(head="axial"),), unit="gf", factor=GF, rate=1000.0)
    text = lines("t,rpm,axial", 400, t=lambda k: k, rpm=lambda k: k, axial=lambda k: "" if 100 <= k < 340 else k)
    recording = read(tmp_path, text, rig(TIME, SPEED, fast))
    channel = recording.channels["thrust"]
    np.testing.assert_allclose(channel.time, channel.values / GF / 1000.0, atol=1e-12)
    (finding,) = recording.findings
    assert (finding.code, finding.channel, finding.count) == ("samples-dropped", "thrust", 240)
    assert "from line 102 to 341" in finding.message
    assert "0.24 s without a reading" in finding.message


def test_a_clock_by_rate_counts_rows_that_were_left_out_and_cells_that_cannot_be_read(tmp_path: Path) -> None:
    text = lines("rpm,axial", 60, rpm=lambda k: k, axial=lambda k: "7,7" if k == 20 else "x" if k == 30 else k)
    recording = read(tmp_path, text, rig(ChannelPlan("time", rate=100.0), SPEED, THRUST))
    speed, thrust = recording.channels["speed"], recording.channels["thrust"]
    assert [finding.code for finding in recording.findings] == ["ragged-rows", "unreadable-cells"]
    np.testing.assert_allclose(speed.time, speed.values / RPM / 100.0, atol=1e-12)
    np.testing.assert_allclose(thrust.time, thrust.values / GF / 100.0, atol=1e-12)
    assert (len(speed.time), len(thrust.time), speed.time[-1]) == (59, 58, pytest.approx(0.59))


def test_times_that_repeat_or_step_back_are_left_as_they_are(tmp_path: Path) -> None:
    stamps = [5, 6, 6, 8, 4, 9]
    recording = read(tmp_path, lines("t,rpm", 6, t=lambda k: stamps[k], rpm=lambda k: k), rig(TIME, SPEED))
    assert recording.channels["speed"].time.tolist() == pytest.approx([0.0, 0.001, 0.001, 0.003, -0.001, 0.004])


def test_scales_signs_ratios_offsets_arms_and_pole_pairs_are_applied(tmp_path: Path) -> None:
    plans = rig(
        TIME,
        ChannelPlan("speed", (ColumnPick(head="erpm"),), unit="rpm", factor=RPM, pole_pairs=7.0),
        ChannelPlan(
            "thrust",
            (ColumnPick(head="c1"), ColumnPick(head="c2", weight=1.5)),
            unit="count",
            factor=0.4833 * GF,
            sign=-1.0,
            ratio=2.706,
        ),
        ChannelPlan(
            "torque", (ColumnPick(head="l", arm=0.021), ColumnPick(head="r", arm=-0.021)), unit="gf", factor=GF
        ),
        ChannelPlan("throttle", (ColumnPick(head="us"),), unit="us", throttle_range=(1000.0, 2000.0)),
        ChannelPlan("temperature", (ColumnPick(head="degC"),), unit="degC", offset=273.15),
    )
    text = "t,erpm,c1,c2,l,r,us,degC\n" + "".join(
        f"{k},{700 * k},{k},{2 * k},{3 * k},{-k},1250,21.5\n" for k in range(9)
    )
    recording = read(tmp_path, text, plans)
    k = np.arange(9)
    expected: Mapping[str, object] = {
        "speed": RPM * 100.0 * k,
        "thrust": -2.706 * 0.4833 * GF * (k + 1.5 * 2 * k),
        "torque": GF * 0.021 * (3 * k + k),
        "throttle": 0.25 + 0.0 * k,
        "temperature": 294.65 + 0.0 * k,
    }
    for quantity, values in expected.items():
        np.testing.assert_allclose(recording.channels[quantity].values, values, rtol=1e-12, err_msg=quantity)


def test_a_sum_has_a_sample_only_where_all_its_columns_have_one(tmp_path: Path) -> None:
    plans = rig(TIME, ChannelPlan("thrust", (ColumnPick(head="a"), ColumnPick(head="b")), unit="N"))
    channel = read(tmp_path, "t,a,b\n0,1,1\n1,1,\n2,,1\n3,2,2\n", plans).channels["thrust"]
    assert (channel.time.tolist(), channel.values.tolist()) == (pytest.approx([0.0, 0.003]), [2.0, 4.0])


def test_axes_of_acceleration_stand_side_by_side(tmp_path: Path) -> None:
    axes = tuple(ColumnPick(head=name) for name in ("ax", "ay", "az"))
    plans = rig(
        TIME, SPEED, ChannelPlan("acceleration", axes, file="vibration", unit="gn", factor=9.80665, rate=4000.0)
    )
    log = lines("t,rpm", 20, t=lambda k: 10 * k, rpm=lambda k: k)
    vibration = lines("ax,ay,az", 80, ax=lambda k: k, ay=lambda k: -k, az=1)
    recording = read(tmp_path, log, plans, vibration=vibration)
    channel = recording.channels["acceleration"]
    assert channel.values.shape == (80, 3)
    np.testing.assert_allclose(channel.values[:, 1], -9.80665 * np.arange(80))
    np.testing.assert_allclose(channel.time, np.arange(80) / 4000.0)
    assert [source.rows for source in recording.sources] == [20, 80]


def test_a_second_file_on_the_same_clock_is_counted_from_the_logs_first_stamp(tmp_path: Path) -> None:
    plans = rig(TIME, SPEED, ChannelPlan("acceleration", (ColumnPick(head="ax"),), file="vibration", unit="m/s2"))
    log = lines("t,rpm", 50, t=lambda k: 5000 + 10 * k, rpm=lambda k: k)
    shared = lines("t,ax", 400, t=lambda k: 5050 + k, ax=lambda k: k)
    apart = lines("t,ax", 400, t=lambda k: 90000 + k, ax=lambda k: k)
    recording = read(tmp_path, log, plans, vibration=shared)
    assert recording.channels["acceleration"].time[0] == pytest.approx(0.050)
    assert recording.findings == ()
    recording = read(tmp_path, log, plans, vibration=apart)
    assert recording.channels["acceleration"].time[0] == 0.0
    assert [finding.code for finding in recording.findings] == ["clock-not-shared"]


def test_one_file_may_serve_as_log_and_vibration(tmp_path: Path) -> None:
    plans = rig(TIME, SPEED, ChannelPlan("acceleration", (ColumnPick(head="ax"),), file="vibration", unit="m/s2"))
    path = tmp_path / "all.csv"
    path.write_text(lines("t,rpm,ax", 30, t=lambda k: k, rpm=lambda k: k, ax=lambda k: -k), encoding="utf-8")
    recording = read_recording("r1", {"log": str(path), "vibration": str(path)}, plans, hashes={"log": "ab12"})
    assert set(recording.channels) == {"speed", "acceleration"}
    assert [(source.sha256, source.rows) for source in recording.sources] == [("ab12", 30)]


def test_a_file_that_the_run_does_not_name_makes_its_channel_missing(tmp_path: Path) -> None:
    plans = rig(TIME, SPEED, ChannelPlan("acceleration", (ColumnPick(head="ax"),), file="vibration", unit="m/s2"))
    recording = read(tmp_path, lines("t,rpm", 20, t=lambda k: k, rpm=lambda k: k), plans)
    assert [(finding.code, finding.channel) for finding in recording.findings] == [("channel-missing", "acceleration")]


def test_files_that_are_named_and_not_there_are_an_error_all_together(tmp_path: Path) -> None:
    plans = rig(TIME, SPEED, ChannelPlan("acceleration", (ColumnPick(head="ax"),), file="vibration", unit="m/s2"))
    files = {"log": str(tmp_path / "a.csv"), "vibration": str(tmp_path / "b.csv"), "sound": str(tmp_path / "c.wav")}
    with pytest.raises(ProblemsError) as caught:
        read_recording("r7", files, plans)
    assert [problem.code for problem in caught.value.problems] == ["missing-file"] * 3
    assert all("r7" in problem.what for problem in caught.value.problems)


def test_a_damaged_waveform_costs_the_sound_and_not_the_run(tmp_path: Path) -> None:
    (tmp_path / "s.wav").write_bytes(b"RIFF0000WAVE")
    (tmp_path / "log.csv").write_text(lines("t,rpm", 20, t=lambda k: k, rpm=lambda k: k), encoding="utf-8")
    plans = rig(TIME, SPEED, ChannelPlan("sound", file="sound", sensitivity=0.0125))
    recording = read_recording("r1", {"log": str(tmp_path / "log.csv"), "sound": str(tmp_path / "s.wav")}, plans)
    assert [(f.code, f.severity, f.channel) for f in recording.findings] == [("channel-missing", "warning", "sound")]
    assert "No 'data' chunk" in recording.findings[0].message
    assert set(recording.channels) == {"speed"}


def test_a_sound_of_a_lossy_format_is_left_out_with_a_note(tmp_path: Path) -> None:
    (tmp_path / "s.mp3").write_bytes(b"ID3")
    (tmp_path / "log.csv").write_text(lines("t,rpm", 20, t=lambda k: k, rpm=lambda k: k), encoding="utf-8")
    plans = rig(TIME, SPEED, ChannelPlan("sound", file="sound"))
    recording = read_recording("r1", {"log": str(tmp_path / "log.csv"), "sound": str(tmp_path / "s.mp3")}, plans)
    assert [(f.code, f.severity, f.channel) for f in recording.findings] == [("channel-not-read", "note", "sound")]


def test_two_quantities_from_one_column_are_refused(tmp_path: Path) -> None:
    plans = rig(TIME, SPEED, ChannelPlan("thrust", (ColumnPick(position=2),), unit="gf", factor=GF))
    error = refusal(tmp_path, lines("t,rpm", 20, t=lambda k: k, rpm=lambda k: k), plans)
    assert (error.code, len(error.problems)) == ("two-quantities-one-column", 1)
    assert "speed and as thrust" in error.problems[0].what


def test_a_missing_column_is_told_with_the_nearest_head_first_and_what_to_write(tmp_path: Path) -> None:
    error = refusal(tmp_path, lines("t,rpm_mech,volt", 20, t=lambda k: k, rpm=lambda k: k, v=24), rig(TIME, SPEED))
    assert isinstance(error, LogError)
    problem = error.problems[0]
    assert (problem.code, problem.where.column if problem.where else None) == ("missing-column", "rpm")
    assert problem.expected is not None
    assert problem.expected.startswith('one of its heads: "rpm_mech"')
    assert problem.fix == 'write  column = "rpm_mech"  under [channels.speed] in rigs/bench.toml, if that is the one'


def test_a_rig_without_speed_and_thrust_is_refused(tmp_path: Path) -> None:
    plans = rig(TIME, ChannelPlan("voltage", (ColumnPick(head="volt"),), unit="V"))
    error = refusal(tmp_path, lines("t,volt", 20, t=lambda k: k, v=24), plans)
    assert error.code == "no-speed-or-thrust"


def test_a_required_column_without_numbers_is_refused_and_an_optional_one_is_missing(tmp_path: Path) -> None:
    text = lines("t,rpm,axial", 20, t=lambda k: k, rpm="n.c.", axial="")
    error = refusal(tmp_path, text, rig(TIME, SPEED, THRUST))
    assert [problem.code for problem in error.problems] == ["not-numeric", "not-numeric"]
    text = lines("t,rpm,axial", 20, t=lambda k: k, rpm=lambda k: k, axial="")
    recording = read(tmp_path, text, rig(TIME, SPEED, THRUST))
    assert [(finding.code, finding.channel) for finding in recording.findings] == [("channel-missing", "thrust")]


def test_a_unit_in_the_head_that_is_meant_as_the_rigs_is_taken(tmp_path: Path) -> None:
    text = lines("t [ms],rpm [RPM],axial [g]", 20, t=lambda k: k, rpm=lambda k: k, axial=lambda k: k)
    recording = read(tmp_path, text, rig(TIME, SPEED, THRUST))
    assert recording.findings == ()


def test_a_pick_by_position_overrides_a_wrong_unit_in_the_head_with_a_note(tmp_path: Path) -> None:
    text = lines("t,rpm,axial [N]", 20, t=lambda k: k, rpm=lambda k: k, axial=lambda k: k)
    by_place = ChannelPlan("thrust", (ColumnPick(position=3),), unit="gf", factor=GF)
    recording = read(tmp_path, text, rig(TIME, SPEED, by_place))
    assert [(finding.code, finding.severity) for finding in recording.findings] == [("head-unit-differs", "note")]
    assert recording.channels["thrust"].values[-1] == pytest.approx(19 * GF)
    assert refusal(tmp_path, text, rig(TIME, SPEED, THRUST)).code == "unit-disagrees"


def test_the_last_digit_or_the_count_is_known_as_resolution(tmp_path: Path) -> None:
    text = lines("t,rpm,axial", 400, t=lambda k: k, rpm=lambda k: 60 * (k // 10), axial=lambda k: f"{k * 0.5:.2f}")
    recording = read(tmp_path, text, rig(TIME, SPEED, THRUST))
    assert recording.channels["speed"].resolution == pytest.approx(60 * RPM)
    assert recording.channels["thrust"].resolution == pytest.approx(0.01 * GF)


def test_what_was_not_used_is_kept_to_be_shown(tmp_path: Path) -> None:
    text = "# supply 24 V\n" + lines("t,rpm,state", 20, t=lambda k: k, rpm=lambda k: k, s="run")
    recording = read(tmp_path, text, rig(TIME, SPEED))
    assert recording.extra == {"preamble": "# supply 24 V", "unread columns": "state"}
    assert recording.sources[0].dialect == "comma, decimal point, utf-8, head in line 2"


def test_rows_with_readings_and_no_time_are_told(tmp_path: Path) -> None:
    text = lines("t,rpm", 20, t=lambda k: "" if k in {4, 19} else k, rpm=lambda k: "" if k == 9 else k)
    recording = read(tmp_path, text, rig(TIME, SPEED))
    assert [(finding.code, finding.count) for finding in recording.findings] == [("rows-without-time", 2)]
    assert "line 6, 21" in recording.findings[0].message
    assert len(recording.channels["speed"].values) == 17


def test_a_microphones_volts_become_pascals_by_its_sensitivity(tmp_path: Path) -> None:
    microphone = ChannelPlan("sound", (ColumnPick(head="mic"),), unit="mV", factor=0.001, sensitivity=0.0125)
    recording = read(
        tmp_path, lines("t,rpm,mic", 20, t=lambda k: k, rpm=lambda k: k, mic=25), rig(TIME, SPEED, microphone)
    )
    assert recording.channels["sound"].values == pytest.approx(2.0)
