"""Thrust in the torque cell, and torque that does not vanish with the square of speed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.checks.force.crosstalk import check_crosstalk
from isothrust.reduction.checks.force.vanishing import check_vanishing
from unit.reduction.bench import changed, recorded, without
from unit.reduction.examined import evidence_of


def leaking(kind: str, per_newton: float) -> tuple[Recording, RunJob]:
    """A run whose torque cell reads some of what the thrust cell reads."""
    recording, job = recorded(kind)
    thrust = recording.channels["thrust"].values
    return changed(recording, "torque", lambda _, values: values + per_newton * thrust), job


def crosstalk(recording: Recording, job: RunJob) -> list[Finding]:
    return check_crosstalk(evidence_of(recording, job))


@pytest.mark.parametrize("kind", ["ramp", "holds"])
@pytest.mark.parametrize("per_newton", [1.6e-3, -1.6e-3])
def test_a_leak_shows_while_the_rotor_coasts_with_its_size_and_sign(kind: str, per_newton: float) -> None:
    (finding,) = crosstalk(*leaking(kind, per_newton))
    assert (finding.code, finding.channel, finding.severity) == ("torque-crosstalk", "torque", "warning")
    read = float(finding.message.split(": ")[1].split(" N m")[0]) / 9.80665
    error = float(finding.message.split("standard error ")[1].split(" N m")[0]) / 9.80665
    assert abs(read - per_newton) < 3.0 * error
    assert finding.effect is not None
    assert ("efficiency -" in finding.effect) == (per_newton > 0.0)


def test_with_next_to_no_noise_a_leak_of_a_per_cent_is_read_right() -> None:
    (finding,) = crosstalk(*leaking("quiet", 3e-4))
    read = float(finding.message.split(": ")[1].split(" N m")[0]) / 9.80665
    assert read == pytest.approx(3e-4, rel=0.1)


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast", "quiet"])
def test_good_runs_leak_nothing(kind: str) -> None:
    assert crosstalk(*recorded(kind)) == []


def test_a_motor_that_brakes_is_no_leak() -> None:
    recording, job = recorded("quiet")
    coasting = recording.channels["throttle"].values <= 0.0
    speed = recording.channels["speed"].values
    braking = changed(recording, "torque", lambda _, values: values - 1e-4 * speed * coasting)
    assert crosstalk(braking, job) == []


def test_a_push_on_the_still_bench_shows_the_leak() -> None:
    recording, job = recorded("ramp")
    time = recording.channels["thrust"].time
    push = 2.0 * np.clip(np.minimum(time - 0.5, 1.2 - time) / 0.08, 0.0, 1.0)
    pushed = changed(recording, "thrust", lambda _, values: values + push)
    assert crosstalk(pushed, job) == []
    (finding,) = crosstalk(changed(pushed, "torque", lambda _, values: values + 1e-3 * push), job)
    assert "something pushes" in finding.message
    assert float(finding.message.split(": ")[1].split(" N m")[0]) / 9.80665 == pytest.approx(1e-3, rel=0.05)


def test_without_thrust_torque_or_speed_nothing_is_said() -> None:
    recording, job = leaking("ramp", 2e-3)
    for name in ("thrust", "torque", "speed"):
        left = evidence_of(without(recording, name), job)
        assert check_crosstalk(left) == []
        assert name == "thrust" or check_vanishing(left) == []


def stays(kind: str, torque: float) -> list[Finding]:
    recording, job = recorded(kind)
    turning = np.clip(recording.channels["speed"].values / 100.0, 0.0, 1.0)
    return check_vanishing(evidence_of(changed(recording, "torque", lambda _, v: v + torque * turning), job))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds"])
@pytest.mark.parametrize("torque", [5e-3, -5e-3])
def test_a_torque_that_stays_whatever_the_speed_is_told_with_its_size(kind: str, torque: float) -> None:
    (finding,) = stays(kind, torque)
    assert (finding.code, finding.severity) == ("torque-crosstalk", "warning")
    assert float(finding.message.split("speed: ")[1].split(" N m")[0]) == pytest.approx(torque, abs=1.2e-3)


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "quiet"])
def test_a_coefficient_that_bends_with_reynolds_number_is_no_constant_part(kind: str) -> None:
    assert stays(kind, 0.0) == []


def test_what_the_rig_states_as_its_fixed_part_is_not_told_again() -> None:
    recording, job = recorded("ramp")
    turning = np.clip(recording.channels["speed"].values / 100.0, 0.0, 1.0)
    offset = changed(recording, "torque", lambda _, values: values + 5e-3 * turning)
    plan = job.rig.channels["torque"]
    assert plan.uncertainty is not None
    loose = replace(plan, uncertainty=replace(plan.uncertainty, absolute=5e-3))
    rig = replace(job.rig, channels={**job.rig.channels, "torque": loose})
    assert check_vanishing(evidence_of(offset, replace(job, rig=rig))) == []
