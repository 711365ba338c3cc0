"""Supply and throttle of other people's benches in ../shared/field: what LOG.md says of them is found, and no more."""

from __future__ import annotations

import numpy as np
import pytest

from support.field import codes, level, message, needs_field, read_field, reduce_field

pytestmark = needs_field


@pytest.mark.parametrize(
    ("file", "rest", "loaded"),
    [
        # LOG: supply sag 8.4 -> 7.13 V (4.9 inch) and 8.27 -> 6.84 V (motor B).
        ("datura-4.9", 8.40, 7.13),
        ("robo-2.5", 8.27, 6.84),
    ],
)
def test_two_cells_that_sag_are_noted_with_both_voltages(file: str, rest: float, loaded: float) -> None:
    text = message(reduce_field(f"thesis-minibench/{file}.csv", "thesis-minibench"), "supply-sag")
    low = float(text.split("falls to ")[1].split(" V")[0])
    high = float(text.split("below the ")[1].split(" V")[0])
    assert low == pytest.approx(loaded, abs=0.02)
    assert high == pytest.approx(rest, abs=0.02)


def test_a_lever_bench_whose_supply_sags_by_four_per_cent_is_not_told() -> None:
    # LOG: 16.4 -> 15.8 V.
    assert "supply-sag" not in codes(reduce_field("uni-lever-16v3/Motor_16p3.txt", "uni-lever-16v3"))


def test_a_bus_that_climbs_as_the_motor_brakes_is_noted_and_no_sensor_is_blamed() -> None:
    reduced = reduce_field("esc-log/f40_steps_5-2.csv", "esc-log", "steps")
    # LOG: regeneration on step-down while the bus climbs 15.8 -> 16.26 V.
    finding = next(finding for finding in reduced.findings if finding.code == "supply-regeneration")
    assert finding.severity == "note"
    assert "16.26 V" in finding.message
    assert "15.79 V" in finding.message
    assert not {"current-turned", "power-negative", "current-at-rest"} & set(codes(reduced))


@pytest.mark.parametrize(
    ("file", "rig"),
    [
        ("uni-lever-16v3/Motor_16p3.txt", "uni-lever-16v3"),
        ("uni-lever-14v8/thrust_tets_148.txt", "uni-lever-14v8"),
        ("uni-voltage-sweep/tiger12.6.txt", "uni-voltage-sweep"),
        ("uni-voltage-sweep/robbe10.8.txt", "uni-voltage-sweep"),
    ],
)
def test_a_controller_that_is_full_one_step_early_is_told(file: str, rig: str) -> None:
    reduced = reduce_field(file, rig)
    # In the recordings the rotor turns as fast at command 240 as at 250, within the count, and slower at 230.
    speeds = [level(reduced, "speed", command / 250) for command in (230, 240, 250)]
    assert speeds[2] == pytest.approx(speeds[1], rel=2e-3)
    assert speeds[0] < 0.99 * speeds[1]
    assert "up to 96.0 %" in message(reduced, "throttle-range-short")
    # Between two commands these rotors are stopped: that is no controller that lost them.
    assert "desynchronised" not in codes(reduced)


def test_a_coaxial_bench_that_never_came_to_full_throttle_is_noted() -> None:
    for file, full in (("test22_2024-05-22-11-11-13", False), ("test25_2024-05-22-13-14-38", True)):
        reduced = reduce_field(f"coax-lift/{file}.csv", "coax-lift", "ramp")
        # LOG: full throttle (2000) was only reached in 25 and 26; 22 ended at 1951 of 1000 to 2000.
        top = float(np.max(read_field(f"coax-lift/{file}.csv", "coax-lift").channels["throttle"].values))
        assert (top > 0.985) == full
        assert ("throttle-not-full" in codes(reduced)) != full
