"""Parts of a found motor: the throttle map never falls, the supply's line, a motor by its data sheet."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import made_runs
from isothrust.records.book import Motor
from isothrust.records.motor import DrivePoints
from isothrust.reduction.motor_duty import duty_map, rising, supply_line
from isothrust.reduction.motor_stated import stated_motor


def with_points(voltage: np.ndarray | None, current: np.ndarray | None) -> object:
    n = 20 if voltage is None else voltage.size
    speed = np.linspace(300.0, 2000.0, n)
    drive = DrivePoints(speed, None, voltage, current, None, None, np.ones(n))
    return replace(made_runs.run(), drive=drive)


def test_neighbours_that_fall_are_pooled_by_weight() -> None:
    assert rising(np.array([1.0, 3.0, 2.0, 4.0]), np.array([1.0, 1.0, 3.0, 1.0])) == pytest.approx(
        [1.0, 2.25, 2.25, 4.0]
    )
    assert rising(np.array([3.0, 2.0, 1.0]), np.ones(3)) == pytest.approx([2.0, 2.0, 2.0])


def test_values_that_rise_are_left_alone() -> None:
    values = np.array([0.1, 0.2, 0.2, 0.9])
    assert rising(values, np.ones(4)) == pytest.approx(values)


def test_a_map_runs_through_its_readings_and_never_falls() -> None:
    random = np.random.default_rng(3)
    throttle = np.sort(random.uniform(0.05, 1.0, 400))
    made = duty_map(throttle, 0.03 + 0.97 * throttle**1.3 + 0.004 * random.standard_normal(400), np.full(400, 0.002))
    assert made is not None
    assert np.all(np.diff(made.duty) >= 0.0)
    assert made.duty == pytest.approx(0.03 + 0.97 * made.throttle**1.3, abs=0.006)
    assert np.all(made.uncertainty >= 0.002)


def test_three_readings_or_one_throttle_make_no_map() -> None:
    few = np.array([0.1, 0.5, 0.9])
    assert duty_map(few, few, np.zeros(3)) is None
    assert duty_map(np.full(20, 0.5), np.linspace(0.4, 0.5, 20), np.zeros(20)) is None
    assert duty_map(np.full(20, np.nan), np.linspace(0.4, 0.5, 20), np.zeros(20)) is None


def test_the_supplys_line_is_that_of_its_readings() -> None:
    current = np.linspace(1.0, 40.0, 30)
    line = supply_line([with_points(24.0 - 0.03 * current, current), with_points(23.8 - 0.03 * current, current)])  # type: ignore[list-item]
    assert line is not None
    assert line.voltage == pytest.approx(23.9)
    assert line.resistance == pytest.approx(0.03)
    assert line.u_voltage == pytest.approx(0.2 / np.sqrt(2.0))


def test_without_voltage_or_without_load_there_is_no_line() -> None:
    assert supply_line([with_points(None, np.linspace(1.0, 40.0, 20))]) is None  # type: ignore[list-item]
    assert supply_line([with_points(np.full(20, 24.0), np.full(20, 3.0))]) is None  # type: ignore[list-item]


def test_friction_of_a_data_sheet_is_its_no_load_current_over_kv_and_falls_as_kv_rises() -> None:
    found = stated_motor(Motor("m", kv=150.0, resistance=0.1, no_load_current=0.6))
    assert found.friction == pytest.approx(0.004)
    assert found.covariance[0, 3] < 0.0
    size = np.sqrt(np.diag(found.covariance))
    assert size[0] == pytest.approx(4.5)
    assert size[1] == pytest.approx(0.015)
    assert size[3] == pytest.approx(0.004 * np.hypot(0.2, 0.03))
    assert np.isnan(size[[2, 4, 5]]).all()


def test_a_row_with_nothing_but_a_name_gives_nothing_and_says_which_cells_are_empty() -> None:
    found = stated_motor(Motor("m"))
    assert found.kv is None
    assert "no kv" in found.unidentified["kv"]
    assert "no resistance" in found.unidentified["resistance"]
    assert "no no-load current" in found.unidentified["friction"]
    assert np.isnan(found.covariance).all()
