"""The motor of a campaign: constants against the simulator's own, what is missing said, the command as it is typed."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import UsageError
from isothrust.records.book import Book, Campaign, Motor, Run
from isothrust.records.motor import CONSTANTS, DrivePoints, MotorModel
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.virtual import Setup, campaign, simulate
from isothrust.workflows.motor import found_motor, motors_in, motors_of, stated_motor_of
from isothrust.workflows.selection import Selection
from support.commands import run_command
from support.fresh_books import write_fresh_book
from support.made_once import made_once
from support.simulated import job_of, motor_of, recording_of, rig_of
from support.study import DESIGNS

SETUP = Setup()
RPM = 2.0 * np.pi / 60.0


@pytest.fixture(scope="module")
def runs() -> list[ReducedRun]:
    plans = campaign(DESIGNS, seed=5, setup=SETUP, mountings=2)
    return [reduce_run(recording_of(run), job_of(run.plan)) for run in simulate(plans, 1005)]


def book(runs: Sequence[ReducedRun], *, motor: Motor | None = None, others: dict[str, str] | None = None) -> Book:
    """A book of one campaign; `others` gives runs a motor of their own."""
    rows = tuple(
        Run(
            run.run, "c", run.design, run.sample, run.mounting, "ramp", {"log": "x"}, "", None,
            extra={"motor": others[run.run]} if others and run.run in others else {},
        )
        for run in runs
    )  # fmt: skip
    motors = {} if motor is None else {motor.name: motor}
    rig = replace(rig_of(SETUP.stand), motor="m1")
    made = {"c": Campaign("c", rig, motor, rows)}
    return Book("book", "Book", "", 1.225, (), (), (), {}, {}, motors, made, ())


def points(run: ReducedRun, **changed: object) -> ReducedRun:
    assert run.drive is not None
    return replace(run, drive=replace(run.drive, **changed))  # type: ignore[arg-type]


def known(model: MotorModel) -> set[str]:
    return {name for name in CONSTANTS if getattr(model, name) is not None}


def test_constants_lie_within_what_is_asked_of_them(runs: list[ReducedRun]) -> None:
    found, drive = found_motor(book(runs), runs, "c"), SETUP.drive
    assert known(found) == set(CONSTANTS)
    assert found.unidentified == {}
    assert found.kv is not None
    assert found.resistance is not None
    assert found.friction is not None
    assert found.viscous is not None
    assert found.kv == pytest.approx(drive.kv * RPM, rel=0.01)
    assert found.resistance == pytest.approx(drive.resistance, rel=0.05)
    lost = found.friction + found.viscous * 1500.0
    assert lost == pytest.approx(drive.friction + drive.viscous * 1500.0, rel=0.10)


def test_each_design_is_foretold_from_the_others_within_two_per_cent_of_thrust(runs: list[ReducedRun]) -> None:
    found = found_motor(book(runs), runs, "c")
    assert {one.design for one in found.left_out} == {design.name for design in DESIGNS}
    for one in found.left_out:
        assert abs(one.errors["thrust"]) < 0.02
        assert abs(one.errors["speed"]) < 0.01
        assert abs(one.errors["current"]) < 0.04
        assert abs(one.errors["thrust-mid"]) < 0.02
    errors = [one.errors["thrust"] for one in found.left_out]
    assert found.prediction_errors["thrust"] == pytest.approx(float(np.sqrt(np.mean(np.square(errors)))))


def test_the_throttle_map_is_the_controllers_own(runs: list[ReducedRun]) -> None:
    found = found_motor(book(runs), runs, "c")
    assert found.duty is not None
    assert np.all(np.diff(found.duty.duty) >= 0.0)
    assert found.duty.duty == pytest.approx(SETUP.drive.duty(found.duty.throttle), abs=0.008)


def test_the_supplys_line_is_found(runs: list[ReducedRun]) -> None:
    found = found_motor(book(runs), runs, "c")
    assert found.supply is not None
    assert found.supply.voltage == pytest.approx(SETUP.drive.supply_voltage, rel=0.005)
    assert found.supply.resistance == pytest.approx(SETUP.drive.source_resistance, rel=0.05)


def test_without_torque_kv_is_told_by_full_throttle_with_several_loads(runs: list[ReducedRun]) -> None:
    blind = [points(run, torque=None) for run in runs]
    found = found_motor(book(blind), blind, "c")
    assert known(found) == {"kv", "resistance"}
    assert "torque-not-measured" in found.flags
    assert found.kv is not None
    u = float(np.sqrt(found.covariance[0, 0]))
    assert abs(found.kv - SETUP.drive.kv * RPM) < 2.5 * u
    assert u < 0.05 * found.kv
    assert "torque sensing" in found.unidentified["friction"]


def test_without_voltage_nothing_is_told_and_the_reason_names_the_channel(runs: list[ReducedRun]) -> None:
    dark = [points(run, voltage=None) for run in runs]
    found = found_motor(book(dark), dark, "c")
    assert known(found) == set()
    assert all("voltage" in reason for reason in found.unidentified.values())
    assert set(found.unidentified) == set(CONSTANTS)


def test_without_full_throttle_kv_is_absent_and_a_stated_one_stands_in_marked(runs: list[ReducedRun]) -> None:
    def short(run: ReducedRun) -> ReducedRun:
        assert run.drive is not None
        assert run.drive.full is not None
        return points(run, full=np.zeros_like(run.drive.full))

    timid = [short(run) for run in runs]
    found = found_motor(book(timid), timid, "c")
    assert found.kv is None
    assert found.resistance is None
    assert "100 % throttle" in found.unidentified["kv"]
    assert found.copper == pytest.approx((SETUP.drive.resistance + 0.008) * (SETUP.drive.kv * RPM) ** 2, rel=0.08)
    with_sheet = found_motor(book(timid, motor=motor_of(SETUP.drive)), timid, "c")
    assert with_sheet.kv == pytest.approx(SETUP.drive.kv * RPM)
    assert "kv-stated" in with_sheet.flags
    assert "motors.csv" in with_sheet.unidentified["kv"]


def test_one_propeller_alone_tells_no_resistance_of_the_controller(runs: list[ReducedRun]) -> None:
    own = [run for run in runs if run.design == "six"]
    found = found_motor(book(own), own, "c")
    assert found.loss_resistance is None
    assert "one propeller" in found.unidentified["loss_resistance"]
    assert found.left_out == ()
    assert found.kv is not None
    assert abs(found.kv - SETUP.drive.kv * RPM) < 3.0 * float(np.sqrt(found.covariance[0, 0]))


def test_full_throttle_that_was_not_full_does_not_count_and_is_named(runs: list[ReducedRun]) -> None:
    def derated(run: ReducedRun) -> ReducedRun:
        """As if the controller had given 95 % of the voltage: the same state at a voltage a twentieth higher."""
        assert run.drive is not None
        d = run.drive
        assert d.full is not None
        assert d.voltage is not None
        assert d.current is not None
        more = np.where(d.full > 0.5, 1.05, 1.0)
        return points(run, voltage=d.voltage * more, current=d.current / more)

    one = runs[2].run
    mixed = [derated(run) if run.run == one else run for run in runs]
    found = found_motor(book(mixed), mixed, "c")
    assert any(one in note for note in found.notes)
    assert found.kv == pytest.approx(SETUP.drive.kv * RPM, rel=0.01)


def test_runs_of_two_motors_in_one_campaign_are_told_apart_by_a_column_of_the_table(runs: list[ReducedRun]) -> None:
    others = {run.run: "m2" for run in runs[4:]}
    mixed = book(runs, others=others)
    assert motors_in(mixed.campaigns["c"]) == {
        "m1": frozenset(run.run for run in runs[:4]),
        "m2": frozenset(others),
    }
    found = motors_of(mixed, runs, None, Selection())
    assert [one.model.name for one in found] == ["m1", "m2"]
    assert set(found[1].model.runs) == set(others)


def test_a_motor_that_only_the_table_knows_is_given_with_the_doubt_of_a_data_sheet() -> None:
    found = stated_motor_of(book((), motor=motor_of(SETUP.drive)), "m1")
    assert found.origin == "stated"
    assert found.kv is not None
    assert float(np.sqrt(found.covariance[0, 0])) == pytest.approx(0.03 * found.kv)
    assert found.idle_power is None
    assert "controller" in found.unidentified["idle_power"]


def test_an_unknown_motor_is_an_error_with_the_names_there_are() -> None:
    with pytest.raises(UsageError) as caught:
        motors_of(book((), motor=motor_of(SETUP.drive)), (), "m7", Selection())
    assert "unknown-motor" in str(caught.value)
    assert "m1" in str(caught.value)


def test_a_run_without_any_points_is_no_obstacle(runs: list[ReducedRun]) -> None:
    mixed = [replace(runs[0], drive=None), *runs[1:]]
    assert runs[0].run not in found_motor(book(mixed), mixed, "c").runs


def test_too_few_readings_are_told_as_such(runs: list[ReducedRun]) -> None:
    def few(points_of: DrivePoints) -> DrivePoints:
        kept = slice(20, 22)
        names = ("speed", "torque", "voltage", "current", "throttle", "torque_heat", "rows", "full")
        further = ("torque_time", "heat_time", "acceleration")
        cut = {name: getattr(points_of, name)[kept] for name in (*names, *further)}
        return DrivePoints(**cut, temperature=points_of.temperature)

    assert runs[0].drive is not None
    lone = [replace(runs[0], drive=few(runs[0].drive))]
    found = found_motor(book(lone), lone, "c")
    assert known(found) == set()
    assert "too few" in found.unidentified["kv"]


@pytest.fixture(scope="module")
def small_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made_once(tmp_path_factory, "motor-book", lambda root: void(write_fresh_book(root)))


def void(_: object) -> None:
    """Take what is not wanted."""


def test_the_command_shows_constants_and_what_was_foretold(small_book: Path) -> None:
    done = run_command("motor", "--correlation", "--jobs", "1", folder=small_book)
    for word in ("KV", "friction torque", "left out", "auk", "Correlation", "rpm/V"):
        assert word in done.stdout


def test_its_json_has_every_constant_and_no_number_that_json_lacks(small_book: Path) -> None:
    (motor,) = json.loads(run_command("motor", "m1", "--json", "--jobs", "1", folder=small_book).stdout)
    assert motor["motor"] == "m1"
    assert [one["constant"] for one in motor["constants"]] == [name.replace("_", "-") for name in CONSTANTS]
    kv = motor["constants"][0]
    assert abs(kv["value"] / 1500.0 - 1.0) < 4.0 * kv["standard_uncertainty"] / kv["value"]
    assert {one["design"] for one in motor["left_out"]} == {"auk", "gull", "tern"}


def test_a_motor_that_nobody_knows_ends_with_2(small_book: Path) -> None:
    done = run_command("motor", "m9", folder=small_book, status=2)
    assert "[unknown-motor]" in done.stderr


def test_a_kv_of_nothing_in_the_table_is_refused_with_file_and_line(tmp_path: Path) -> None:
    root = write_fresh_book(tmp_path / "book")
    (root / "motors.csv").write_text("motor,kv [rpm/V]\nm1,0\n", encoding="utf-8")
    done = run_command("motor", folder=root, status=2)
    assert "motors.csv" in done.stderr
    assert "line 2" in done.stderr
