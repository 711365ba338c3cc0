"""Other people's recordings, read with rig files of at most thirty lines: what reading alone shows of the facts known.

The recordings stay outside the project, in ../shared/field; its LOG.md holds the facts. There, "(mine)" marks what its
writer worked out of the raw file, "(source)" what the people who recorded it state.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import LogError
from isothrust.ingest import read_recording
from isothrust.records.recording import Floats, Recording

ROOT = Path(__file__).parents[2]
FIELD = ROOT.parent / "shared" / "field"
RIGS = ROOT / "tests" / "benches" / "rigs"
GF = 0.00980665
RPM = 2.0 * math.pi / 60.0

pytestmark = pytest.mark.skipif(not FIELD.is_dir(), reason="the field recordings (../shared/field) are not here")


def read(file: str, rig: str | None = None) -> Recording:
    plan, findings = parse_rig(RIGS / f"{rig or file.partition('/')[0]}.toml")
    assert findings == ()
    return read_recording("field", {"log": str(FIELD / file)}, plan)


def codes(recording: Recording) -> list[str]:
    return [finding.code for finding in recording.findings]


def command(recording: Recording, rig: str) -> float:
    """Return the greatest command in the log's own unit."""
    low, high = parse_rig(RIGS / f"{rig}.toml")[0].channels["throttle"].throttle_range or (0.0, 1.0)
    return low + (high - low) * float(recording.channels["throttle"].values.max())


def at(recording: Recording, channel: str, throttle: float) -> Floats:
    """Return a channel where the throttle stands at one command."""
    there = np.abs(recording.channels["throttle"].values - throttle) < 1e-6
    return recording.channels[channel].values[there]


def test_rig_files_have_at_most_thirty_lines() -> None:
    lengths = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in RIGS.glob("*.toml")}
    assert len(lengths) >= 11
    assert {name: length for name, length in lengths.items() if length > 30} == {}


def test_lever_bench_at_16_volts_by_position_without_head_or_clock() -> None:
    recording = read("uni-lever-16v3/Motor_16p3.txt")
    # LOG: 12 430 lines, the first has lost its first field, the last is cut (6 fields).
    assert recording.sources[0].rows == 12430 - 2
    assert codes(recording) == ["truncated-first-line", "truncated-last-line"]
    assert "line 1)" in recording.findings[0].message
    assert "line 12430)" in recording.findings[1].message
    # LOG: command 10..250 step 10.
    commands = np.unique(np.round(250.0 * recording.channels["throttle"].values))
    assert commands.tolist() == list(range(10, 251, 10))
    # LOG: 154 rows with the force saturated at 1020-1023 counts.
    counts = recording.channels["thrust"].values / (0.4833 * GF * 2.70588)
    assert np.sum(np.round(counts) >= 1020) == 154
    # LOG: source's RPM_avg runs to 8715 at command 220; thrust there 11.25 N (mine), 11.268 N (source).
    # Reading cannot take out the zero: LOG's line has -12.2 g at the cell, 12.2 g x 23/8.5 in thrust.
    assert np.median(at(recording, "speed", 220 / 250)) / RPM == pytest.approx(8715, rel=0.005)
    zero = -12.2 * GF * 2.70588
    assert np.median(at(recording, "thrust", 220 / 250)) + zero == pytest.approx(11.25, abs=0.05)


@pytest.mark.parametrize(
    ("cell", "grams", "slope", "most"),
    [
        # LOG, median of each dead-weight file (mine): 0.4827 g/count with residuals of 1.2 g; 0.4928 with 1.3 g.
        ("thrust", (0, 72, 100, 172, 200, 272, 300, 372), 0.4827, 1.2),
        ("torque", (0, 46, 72, 118, 200, 246, 272, 318), 0.4928, 1.3),
    ],
)
def test_dead_weights_give_the_slope_that_the_log_states(
    cell: str, grams: tuple[int, ...], slope: float, most: float, tmp_path: Path
) -> None:
    rig = tmp_path / "weights.toml"
    rig.write_text('[channels.time]\nrate = "1 Hz"\n[channels.thrust]\ncolumn = 1\nunit = "N"\n', encoding="utf-8")
    plan, _ = parse_rig(rig)
    counts = []
    for mass in grams:
        log = FIELD / "uni-lever-14v8" / f"{cell}_calib_{mass}.txt"
        recording = read_recording("weights", {"log": str(log)}, plan)
        # Glued and broken numbers are never averaged in: what is no number is counted, and a last number cut short is.
        assert set(codes(recording)) <= {"unreadable-cells", "truncated-last-line"}
        counts.append(float(np.median(recording.channels["thrust"].values)))
    line = np.polyfit(counts, grams, 1)
    assert line[0] == pytest.approx(slope, abs=0.00005)
    assert np.abs(np.polyval(line, counts) - grams).max() == pytest.approx(most, abs=0.05)


def test_lever_bench_at_15_volts_thrust_and_torque_runs() -> None:
    thrust = read("uni-lever-14v8/thrust_tets_148.txt")
    torque = read("uni-lever-14v8/test_V_14.8.txt", "uni-lever-14v8-torque")
    # LOG: 8751 lines; 8646 lines of which the last is cut in mid-number, 5 fields.
    assert (thrust.sources[0].rows, codes(thrust)) == (8751, [])
    assert (torque.sources[0].rows, codes(torque)) == (8645, ["truncated-last-line"])
    assert "thrust" not in torque.channels
    # LOG: voltages 15.0 -> 14.3 V and 14.9 -> 14.2 V; medians of the first and the last command.
    for recording, first, last in ((thrust, 15.0, 14.3), (torque, 14.9, 14.2)):
        assert np.median(at(recording, "voltage", 10 / 250)) == pytest.approx(first, abs=0.051)
        assert np.median(at(recording, "voltage", 1.0)) == pytest.approx(last, abs=0.051)
    # LOG: C_tau = torque / thrust = 0.0135 m (source); zero of each cell from its file of 0 g: 28 and 14 counts.
    pairs = [
        (
            np.median(at(thrust, "thrust", c / 250)) - 28 * 0.4827 * GF * 2.70588,
            np.median(at(torque, "torque", c / 250)) - 14 * 0.4928 * GF * 0.23,
        )
        for c in range(10, 221, 10)
    ]
    slope = np.polyfit(*zip(*pairs, strict=True), 1)[0]
    # Medians of whole commands here, the source's own averages there, and a torque that is noise below command 60.
    assert slope == pytest.approx(0.0135, rel=0.04)


@pytest.mark.parametrize(
    ("file", "rows", "counts", "volts"),
    [
        # LOG (mine): raw counts at command 250: 540 @10.3 V, 669 @11.9 V; 511 @10.3 V, 657 @11.9 V.
        ("robbe10.8", 8750, 540, 10.3),
        ("robbe12.6", 8754, 669, 11.9),
        ("tiger10.8", 8754, 511, 10.3),
        ("tiger12.6", 8750, 657, 11.9),
    ],
)
def test_voltage_sweep_in_counts(file: str, rows: int, counts: int, volts: float) -> None:
    recording = read(f"uni-voltage-sweep/{file}.txt")
    assert (recording.sources[0].rows, codes(recording)) == (rows, [])
    # LOG says neither mean nor median; both lie within 3 counts of its figure.
    running = at(recording, "current", 1.0) < 25.5
    assert np.median(at(recording, "thrust", 1.0)[running]) / GF == pytest.approx(counts, abs=3)
    assert np.median(at(recording, "voltage", 1.0)[running]) == pytest.approx(volts, abs=0.051)


@pytest.mark.parametrize(
    ("file", "rows", "peak", "most"),
    [
        # LOG (mine): peak thrust 22: 2535 g (pwm 1951), 23: 2439, 25: 2469 (2000). One run stops at 1380 with the zero
        # at -28 g, one has 14 rows, one ends at 1534 or is another file of that day.
        ("test22_2024-05-22-11-11-13", 1703, 2535, 1951),
        ("test23_2024-05-22-11-39-04", 1645, 2439, 1922),
        ("test25_2024-05-22-13-14-38", 1801, 2469, 2000),
    ],
)
def test_coaxial_pair_whose_time_counts_lines(file: str, rows: int, peak: int, most: int) -> None:
    recording = read(f"coax-lift/{file}.csv")
    thrust = recording.channels["thrust"]
    assert (recording.sources[0].rows, codes(recording)) == (rows, [])
    assert thrust.values.max() / GF == pytest.approx(peak)
    assert command(recording, "coax-lift") == pytest.approx(most)
    # LOG: a 10 Hz counter of lines that starts at arbitrary values.
    assert thrust.time[0] == 0.0
    assert np.diff(thrust.time) == pytest.approx(0.1, abs=0.11)
    assert np.median(np.diff(thrust.time)) == pytest.approx(0.1)


def test_coaxial_pair_without_battery_and_with_a_creeping_zero() -> None:
    no_battery = read("coax-lift/test22_2024-05-22-09-15-32.csv")
    creeping = read("coax-lift/test22_2024-05-22-09-08-17.csv")
    # LOG: 14 rows at 0.43 V; stops at 1380, zero drifts to -28 g with no thrust.
    assert no_battery.sources[0].rows == 14
    assert no_battery.channels["voltage"].values == pytest.approx(0.43)
    assert creeping.channels["thrust"].values.min() / GF == pytest.approx(-28)
    assert command(creeping, "coax-lift") == pytest.approx(1380)


@pytest.mark.parametrize(
    ("file", "rows", "thrust", "volts"),
    [
        # LOG (mine): thrust at 100 %, motor A: 68.0, 78.7, 115.9, 169.3 gf; motor B: 62.9, 71.1. Supply sags to 7.13 V
        # (4.9 inch) and 6.84 V at 11.8 A (motor B).
        ("datura-2.5", 111, 68.0, None),
        ("datura-3.0", 112, 78.7, None),
        ("datura-3.5", 111, 115.9, None),
        ("datura-4.9", 111, 169.3, 7.13),
        ("robo-2.5", 112, 62.9, 6.84),
        ("robo-3", 112, 71.1, None),
    ],
)
def test_small_bench_with_mixed_units(file: str, rows: int, thrust: float, volts: float | None) -> None:
    recording = read(f"thesis-minibench/{file}.csv")
    assert (recording.sources[0].rows, codes(recording)) == (rows, [])
    zero = np.median(recording.channels["thrust"].values[:8])
    full = at(recording, "thrust", 1.0) - zero
    # The LOG does not say whether its figure is a mean or a median; the settled part agrees within 1 %.
    assert np.median(full) / GF == pytest.approx(thrust, rel=0.01)
    if volts is not None:
        assert recording.channels["voltage"].values.min() == pytest.approx(volts, abs=0.005)
    # LOG: torque's sign flips with the direction of rotation.
    assert np.sign(np.median(at(recording, "torque", 1.0))) == (-1 if file.startswith("datura") else 1)


def test_motor_map_with_a_row_of_units_and_no_clock() -> None:
    recording = read("motor-map-270kv/odrive_data.csv")
    # LOG: line 1 date-time, 2 names, 3 units, then 344 rows x 19; input current 0 throughout.
    assert recording.sources[0].rows == 344
    assert recording.sources[0].dialect.endswith("head in line 2, units in line 3")
    assert recording.extra["preamble"] == "2019-05-11 15:22:21.215576"
    assert not recording.channels["current"].values.any()
    # The log calls it "rad.s"; read as rad/s, as the rig says, without a word.
    assert codes(recording) == []
    assert recording.channels["torque"].time[-1] == 343.0


def test_step_bench_staircase() -> None:
    recording = read("dshot-steps/increasing_thrust_response.csv")
    thrust = recording.channels["thrust"]
    # LOG: staircase of 35 s, reading 0.82 -> 0.057, 50 Hz with 12-27 ms between stamps (a file of steps).
    assert thrust.time[-1] == pytest.approx(35.1, abs=0.05)
    assert -thrust.values[0] == pytest.approx(0.82)
    assert -thrust.values.max() == pytest.approx(0.057)
    assert np.median(np.diff(thrust.time)) == pytest.approx(0.020, abs=0.0005)


def test_telemetry_with_a_colon_before_the_milliseconds() -> None:
    recording = read("esc-log/f40_steps_5-2.csv")
    speed = recording.channels["speed"]
    steps = np.diff(speed.time)
    # From the stamps themselves: 17:14:08:947 to 17:16:03:980. LOG, of this file and a second one: about 100 Hz,
    # 7-8 % identical stamps, pauses to 0.18 s, regeneration at -0.3 to -0.6 A while the bus climbs 15.8 -> 16.26 V.
    assert speed.time[-1] == pytest.approx(115.033, abs=1e-6)
    assert 0.065 <= np.mean(np.abs(steps) < 1e-9) < 0.085
    assert steps.max() == pytest.approx(0.18, abs=0.005)
    assert recording.channels["voltage"].values.max() == pytest.approx(16.26, abs=0.005)
    assert -0.6 < recording.channels["current"].values.min() < -0.3


def test_brake_bench_with_comments_above_and_glitches_in_a_cell() -> None:
    recording = read("commented-dyno/speed_test_13_02_2021_13-53-46.csv")
    # LOG: 0-4 comment lines, 11 Hz, glitches of -384 000 g / +287 000 g (-478 N.m): reading keeps them.
    assert recording.extra["preamble"].splitlines()[1] == "# vbus = 35.912 V"
    assert recording.channels["thrust"].values.min() / GF == pytest.approx(-384_000, rel=0.001)
    assert recording.channels["thrust"].values.max() / GF == pytest.approx(287_000, rel=0.001)
    assert recording.channels["torque"].values.min() == pytest.approx(-478, abs=0.6)
    # "velocity measured [Hz]" is read as rev/s, "load cell weight [g]" as gf: what people mean by these.
    assert codes(recording) == ["channel-missing"]
    assert '"motor current measured [A]"' in recording.findings[0].message


def test_makers_bench_with_empty_lines_and_a_clock_that_steps_back() -> None:
    first = read("arduino-2830/thrust setup 27_02_2020 test0.csv")
    second = read("arduino-2830/thrust setup 27_02_2020 test2_avioncs_2830kv_1045.csv")
    # LOG: 645 rows, 900 s, the clock steps backwards by 1.096 s and has a 177.8 s hole; test2: max 0.480 kg at 11.13 A,
    # voltage ends at 2.11 V.
    steps = np.diff(first.channels["thrust"].time)
    assert (first.sources[0].rows, codes(first)) == (645, [])
    assert first.channels["thrust"].time[-1] == pytest.approx(900, abs=1)
    assert (steps.min(), steps.max()) == (pytest.approx(-1.096, abs=5e-4), pytest.approx(177.8, abs=0.05))
    assert second.channels["thrust"].values.max() / GF == pytest.approx(480)
    assert second.channels["current"].values.max() == pytest.approx(11.13)
    assert second.channels["voltage"].values[-1] == pytest.approx(2.11)


def test_spin_down_of_a_small_motor() -> None:
    tops, rates = [], []
    for number in range(1, 7):
        speed = read(f"rotor-coastdown/MS_Decay_{number}.csv").channels["speed"]
        tops.append(speed.values.max())
        rates.append(1.0 / np.median(np.diff(speed.time)))
    # LOG: 2400-2650 rad/s, 13-20 Hz.
    assert min(tops) == pytest.approx(2400, abs=5)
    assert max(tops) == pytest.approx(2650, abs=5)
    assert (round(min(rates)), round(max(rates))) == (13, 20)


@pytest.mark.parametrize("file", ["E8_log00", "motor_E9_log00"])
def test_a_binary_flight_log_is_refused_in_words(file: str) -> None:
    with pytest.raises(LogError) as caught:
        read(f"binary-negative/{file}", "arduino-2830")
    assert caught.value.code == "binary-log"
    assert caught.value.problems[0].fix


def test_a_book_of_prose_is_refused_in_words() -> None:
    with pytest.raises(LogError) as caught:
        read("LOG.md", "arduino-2830")
    assert caught.value.code == "not-a-table"
