"""Speeds off by a whole factor, told from what motor, power and class allow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.checks.speed.factor import check_factor
from unit.reduction.bench import changed, recorded, without
from unit.reduction.examined import evidence_of


def told(kind: str, factor: float, *, motor: bool = True, leave: tuple[str, ...] = ()) -> list[Finding]:
    recording, job = recorded(kind)
    scaled = changed(recording, "speed", lambda _, w: factor * w)
    return check_factor(evidence_of(without(scaled, *leave), job if motor else replace(job, motor=None)))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
@pytest.mark.parametrize("motor", [True, False])
def test_a_true_speed_is_allowed(kind: str, motor: bool) -> None:
    assert told(kind, 1.0, motor=motor) == []


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps"])
@pytest.mark.parametrize(
    ("factor", "said"), [(2.0, "2 times the truth"), (0.5, "1/2 times the truth"), (7.0, "7 times the truth")]
)
def test_a_whole_factor_is_a_fail_where_the_motor_is_known(kind: str, factor: float, said: str) -> None:
    (finding,) = told(kind, factor)
    assert (finding.code, finding.severity, finding.channel) == ("speed-factor", "fail", "speed")
    assert said in finding.message


@pytest.mark.parametrize("factor", [2.0, 0.5, 3.0])
def test_without_motor_data_it_is_only_likely(factor: float) -> None:
    (finding,) = told("ramp", factor, motor=False)
    assert (finding.code, finding.severity) == ("speed-factor", "warning")


def test_the_message_holds_reading_bound_and_explanation() -> None:
    (finding,) = told("ramp", 2.0)
    assert "1400 rpm/V at 2" in finding.message
    assert "two marks counted as one" in finding.message
    assert finding.effect is not None
    assert "speed is +100 %, CT and CP -75 %" in finding.effect


def test_one_pole_pair_too_few_is_a_warning() -> None:
    (finding,) = told("ramp", 7.0 / 6.0)
    assert finding.severity == "warning"
    assert "6 pole pairs taken for 7" in finding.message


def test_without_torque_the_voltage_alone_tells() -> None:
    (finding,) = told("ramp", 2.0, leave=("torque",))
    assert finding.severity == "fail"


def kv(job: RunJob, factor: float) -> RunJob:
    assert job.motor is not None
    assert job.motor.kv is not None
    return replace(job, motor=replace(job.motor, kv=factor * job.motor.kv))


def test_a_wrong_kv_is_not_taken_for_a_wrong_speed() -> None:
    recording, job = recorded("ramp")
    (finding,) = check_factor(evidence_of(recording, kv(job, 0.45)))
    assert finding.severity == "warning"
    assert "KV in motors.csv or the voltage is wrong" in finding.message


def test_a_torque_off_by_two_is_not_taken_for_a_wrong_speed() -> None:
    recording, job = recorded("ramp")
    for factor in (0.5, 2.0):
        halved = changed(recording, "torque", lambda _, q, f=factor: f * q)
        assert check_factor(evidence_of(halved, job)) == []


def test_pole_pairs_that_differ_between_rig_and_motor_are_told_of() -> None:
    recording, job = recorded("ramp")
    plan = replace(job.rig.channels["speed"], pole_pairs=6.0)
    rig = replace(job.rig, channels={**job.rig.channels, "speed": plan})
    (finding,) = check_factor(evidence_of(recording, replace(job, rig=rig)))
    assert "the rig file takes 6 pole pairs where motors.csv states 7" in finding.message


def test_nothing_to_compare_with_tells_nothing() -> None:
    recording, job = recorded("ramp")
    bare = replace(job, motor=None, design=replace(job.design, diameter=None))
    doubled = changed(recording, "speed", lambda _, w: 2.0 * np.asarray(w))
    assert check_factor(evidence_of(without(doubled, "torque", "voltage", "current"), bare)) == []
