"""What is held against other people's recordings in ../shared/field: the faults that are there, and no others.

Each line was judged by the raw file and its LOG.md, not by what the program says. Notes change nothing, and are free.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

import numpy as np
import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import ReductionError
from isothrust.ingest import read_recording
from isothrust.records.book import Design, Kind, Run
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from support.field import FIELD, GF, RPM, codes, message, needs_field, peak, read_field, reduce_field
from support.field_expected.patterns import COURSE

pytestmark = needs_field

MAKER = "arduino-2830/thrust setup 27_02_2020 "
COURSES = ("course-sysid/MotorData.mat", "course-sysid/MotorData_Verify.mat")
# LOG: 255 and 40 as start codes, 255 A at spin-up, counts of speed lost (255, or half of what stands beside them); no
# rest in any log, the motor stops only between two commands. Speed is a count of 780/14 rpm.
LEVER = "speed-coarse tachometer-jump"
GARBAGE = "spikes"

TOLD: Final[Mapping[str, tuple[str, Kind, str, str]]] = MappingProxyType(
    {
        # File -> rig, kind, what must be told, what may be told besides.
        # LOG: voltage and current not wired. A hole of 77.8 s in the stamps.
        f"{MAKER}test1_avioncs_2830kv_1045.csv": ("arduino-2830", "holds", "channel-dead samples-dropped", ""),
        # LOG: rpm = 0 at 0.48 kg. Holes of 23.7 and 12.9 s. Ten readings of 11.13 A on end while the volts still fall.
        # 311 gf of a sudden at 0.03 A.
        f"{MAKER}test2_avioncs_2830kv_1045.csv": (
            "arduino-2830",
            "holds",
            "tachometer-lost samples-dropped touched",
            "saturated",
        ),
        # LOG: rpm stuck at 2889. A hole of 12.7 s. At 0.04 A the load reads -20, -1 and 14 gf.
        f"{MAKER}test3_avioncs_2830kv_1105.csv": (
            "arduino-2830",
            "holds",
            "tachometer-stuck samples-dropped zero-drift",
            "",
        ),
        **{
            f"coax-lift/{name}.csv": ("coax-lift", "ramp", "", "")
            for name in (
                "test22_2024-05-22-10-58-07",
                "test22_2024-05-22-11-11-13",
                "test23_2024-05-22-11-39-04",
                "test25_2024-05-22-13-14-38",
            )
        },
        **{
            f"thesis-minibench/{name}.csv": ("thesis-minibench", "holds", "", "")
            for name in ("datura-2.5", "datura-3.0", "datura-3.5", "datura-4.9", "robo-2.5", "robo-3")
        },
        "dshot-steps/0500_thrust_response.csv": ("dshot-steps", "steps", "", ""),
        # The reading is 0.820 before and 0.810 after.
        "dshot-steps/increasing_thrust_response.csv": ("dshot-steps", "holds", "zero-drift", ""),
        # LOG: 154 rows of force at 1020 to 1023, first and last line cut.
        "uni-lever-16v3/Motor_16p3.txt": (
            "uni-lever-16v3",
            "holds",
            f"{LEVER} {GARBAGE} saturated truncated-first-line truncated-last-line throttle-range-short",
            "tachometer-dropout tachometer-half-count",
        ),
        "uni-lever-14v8/thrust_tets_148.txt": (
            "uni-lever-14v8",
            "holds",
            f"{LEVER} throttle-range-short",
            "tachometer-dropout tachometer-half-count",
        ),
        # LOG: last line cut in mid-number.
        "uni-lever-14v8/test_V_14.8.txt": (
            "uni-lever-14v8-torque",
            "holds",
            f"{LEVER} truncated-last-line",
            "tachometer-half-count tachometer-double-count tachometer-dropout",
        ),
        **{
            f"uni-voltage-sweep/{name}.txt": (
                f"uni-voltage-sweep{rig}",
                "holds",
                f"{LEVER} {GARBAGE} throttle-range-short{more}",
                "tachometer-dropout tachometer-half-count",
            )
            for name, rig, more in (
                ("robbe10.8", "-robbe10.8", ""),
                ("robbe12.6", "-robbe12.6", ""),
                ("tiger10.8", "", " zero-missing"),
                ("tiger12.6", "-tiger12.6", ""),
            )
        },
        # One reading of -642 gf among some of 3 gf; two rows of 77 are missing; the brake never lets go.
        "commented-dyno/Fri Jan 15 19-40-52 2021.csv": (
            "commented-dyno",
            "holds",
            "spikes zero-missing",
            "samples-dropped",
        ),
        # LOG: columns differ per file. Speed in steps of 0.915 rpm at some 180 rpm.
        "commented-dyno/dynamometer_test001.csv": (
            "commented-dyno",
            "holds",
            "channel-missing zero-missing speed-coarse",
            "tachometer-jump",
        ),
        # LOG: -384 000 g and +287 000 g between values of 2 g.
        "commented-dyno/speed_test_13_02_2021_13-53-46.csv": (
            "commented-dyno",
            "holds",
            "channel-missing spikes zero-missing",
            "",
        ),
        # LOG: 7-8 % of the stamps are those before.
        "esc-log/f40_steps_5-2.csv": ("esc-log", "steps", "clock-repeated", ""),
        # LOG: input current 0 throughout.
        "motor-map-270kv/odrive_data.csv": ("motor-map-270kv", "holds", "channel-dead zero-missing", ""),
        # The command never stands below 1.2 ms of 1 to 2; and it hardly stands at all.
        COURSES[0]: (COURSE, "ramp", "zero-missing", "steps-unsettled"),
        COURSES[1]: (COURSE, "steps", "zero-missing", "steps-unsettled"),
    }
)


@cache
def reduced_of(file: str) -> ReducedRun:
    rig, kind, *_ = TOLD[file]
    return reduce_field(file, rig, kind)


def with_pattern(file: str, folder: Path) -> ReducedRun:
    """Reduce a recording with a rig that is written down as a text."""
    rig, kind, *_ = TOLD[file]
    path = folder / "rig.toml"
    path.write_text(rig, encoding="utf-8")
    plan, _ = parse_rig(path)
    files = {"log": str(FIELD / file)}
    job = RunJob(Run("r", "c", "d", "", "r", kind, files, "", None), plan, Design("d"), None, 1.225, files, {})
    return reduce_run(read_recording("r", files, plan), job)


@pytest.mark.parametrize("file", TOLD)
def test_a_recording_is_accused_of_what_is_wrong_with_it_and_of_nothing_else(file: str, tmp_path: Path) -> None:
    rig, _, must, may = TOLD[file]
    reduced = with_pattern(file, tmp_path) if "\n" in rig else reduced_of(file)
    accused = {finding.code for finding in reduced.findings if finding.severity != "note"}
    assert set(must.split()) <= accused
    assert accused <= {*must.split(), *may.split()}
    # Nothing here is surely wrong in its figures: whatever is lost is left out, and the rest stands.
    assert not [finding.code for finding in reduced.findings if finding.severity == "fail"]


@pytest.mark.parametrize("file", [file for file in TOLD if file.startswith(("uni-lever", "uni-voltage"))])
def test_the_step_of_a_counted_speed_is_the_students_own(file: str) -> None:
    assert f"in steps of {780 / 14:.1f} rpm" in message(reduced_of(file), "speed-coarse")


def test_a_zero_that_moved_is_told_with_both_readings_difference() -> None:
    file = "dshot-steps/increasing_thrust_response.csv"
    readings = np.loadtxt(FIELD / file, delimiter=",")[:, 1]
    # The rig takes a reading for a newton; the last digit is 0.1 gf. Means, since medians know no half digit.
    moved = (readings[:60].mean() - readings[-60:].mean()) / GF
    told = float(message(reduced_of(file), "zero-drift").split("moved by ")[1].split(" gf")[0])
    assert told == pytest.approx(moved, abs=0.2)


@pytest.mark.parametrize(("channel", "column", "beyond"), [("thrust", 5, 1e5), ("torque", 8, 100.0)])
def test_glitches_of_a_brake_are_counted_and_none_sets_the_peak(channel: str, column: int, beyond: float) -> None:
    file = "commented-dyno/speed_test_13_02_2021_13-53-46.csv"
    values = np.genfromtxt(FIELD / file, delimiter=",", skip_header=5)[:, column]
    # LOG: -384 000 g and +287 000 g (-478 N.m) between normal values of 2 g. One reading in thirty-five is one of 300
    # to 600 g, at six values over and over; four of those stand in a row.
    wild = int(np.sum(np.abs(values) > beyond))
    glitches = int(np.sum(np.abs(values - np.median(values)) > 10.0 * np.subtract(*np.percentile(values, [95, 5]))))
    (finding,) = [f for f in reduced_of(file).findings if (f.code, f.channel) == ("spikes", channel)]
    assert finding.count is not None
    assert 10 < wild < glitches - 5 <= finding.count <= glitches + 10
    assert abs(peak(reduced_of(file))) < 1.0


def test_force_at_the_converters_end_is_told_for_the_top_command_alone() -> None:
    (finding,) = [f for f in reduced_of("uni-lever-16v3/Motor_16p3.txt").findings if f.code == "saturated"]
    rows = [line.split("\t") for line in (FIELD / "uni-lever-16v3" / "Motor_16p3.txt").read_text().splitlines()]
    at_end = sum(len(row) == 8 and int(row[7]) >= 1023 for row in rows)
    # LOG: 154 rows at 1020 to 1023.
    assert sum(len(row) == 8 and 1020 <= int(row[7]) <= 1023 for row in rows) == 154
    assert finding.count == pytest.approx(at_end, abs=3)


def test_a_coast_down_in_sixty_radians_a_second_a_step_holds_nothing_else_to_reduce() -> None:
    for number in range(1, 7):
        speed = read_field(f"rotor-coastdown/MS_Decay_{number}.csv", "rotor-coastdown").channels["speed"]
        distinct = np.unique(speed.values)
        # LOG: 33 to 49 distinct values, no unit; 2400 to 2650 rad/s are 25 000 rpm.
        assert 33 <= distinct.size <= 49
        assert 22_000 < speed.values.max() * 30 / math.pi < 26_000
        with pytest.raises(ReductionError, match="nothing but speed") as caught:
            reduce_field(f"rotor-coastdown/MS_Decay_{number}.csv", "rotor-coastdown", "coast")
        # LOG: +-60 rad/s; 41 and 47 in the second and third.
        steps, different = re.findall(r"in steps of some (\d+) rpm \((\d+) different", str(caught.value))[0]
        assert 38 < int(steps) * RPM < 66
        assert int(different) == distinct.size


def test_a_bench_that_was_never_driven_is_told_so_and_not_blamed_for_its_sensors() -> None:
    for file, rig, kind in (
        (f"{MAKER}test0.csv", "arduino-2830", "holds"),
        ("coax-lift/test22_2024-05-22-09-15-32.csv", "coax-lift", "ramp"),
    ):
        with pytest.raises(ReductionError) as caught:
            reduce_field(file, rig, kind)  # type: ignore[arg-type]
        assert [problem.code for problem in caught.value.problems] == ["no-propulsion"]


def test_a_stuck_tachometer_takes_no_thrust_away() -> None:
    reduced = reduced_of(f"{MAKER}test3_avioncs_2830kv_1105.csv")
    assert "tachometer-stuck" in codes(reduced)
    assert "thrust" not in reduced.curves
