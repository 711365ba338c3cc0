"""Ends of the command's range, full throttle, and the duty that current over torque tells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.checks.throttle.duty import relative_duty
from isothrust.reduction.checks.throttle.endpoints import check_endpoints, full_command
from isothrust.reduction.checks.throttle.full import check_full
from isothrust.virtual import simulate
from support.simulated import job_of, recording_of
from unit.reduction.bench import changed, recorded, simulated, without
from unit.reduction.examined import evidence_of

KINDS = ("ramp", "up-down", "holds", "steps", "coast")


def stretched(kind: str, change: Callable[[np.ndarray], np.ndarray]) -> tuple[Recording, RunJob]:
    """The run with the command that another calibration of the controller would have needed for the same."""
    recording, job = recorded(kind)
    return changed(recording, "throttle", lambda _t, v: change(v)), job


def cut_short(kind: str, full: float) -> tuple[Recording, RunJob]:
    """A run in which the rotor stands at what it did at `full`, whatever more is commanded."""
    recording, job = recorded(kind)
    throttle = recording.channels["throttle"]
    rise = np.flatnonzero(throttle.values >= full)
    first, last = int(rise[0]), int(rise[-1])
    middle = np.arange(throttle.time.size)
    inside = (middle >= first) & (middle <= last)
    for name in ("speed", "thrust", "torque", "current", "voltage"):
        level = float(np.mean(recording.channels[name].values[first - 20 : first]))
        recording = changed(recording, name, lambda _t, v, level=level: np.where(inside, level, v))
    return recording, job


@pytest.mark.parametrize("kind", ["ramp", "up-down"])
@pytest.mark.parametrize("full", [0.97, 0.9, 0.7])
def test_a_flat_top_is_told_with_the_command_at_which_it_begins(kind: str, full: float) -> None:
    evidence = evidence_of(*cut_short(kind, full))
    (finding,) = check_endpoints(evidence)
    assert (finding.code, finding.severity, finding.channel) == ("throttle-range-short", "warning", "throttle")
    found = full_command(evidence)
    assert found is not None
    assert found == (pytest.approx(full, abs=0.006), pytest.approx(1.0))
    assert f"up to {100 * found[0]:.1f} %" in finding.message


@pytest.mark.parametrize("kind", KINDS)
def test_a_calibrated_controller_is_none(kind: str) -> None:
    assert check_endpoints(evidence_of(*recorded(kind))) == []


def test_a_flat_top_shorter_than_warmth_feigns_is_none() -> None:
    assert check_endpoints(evidence_of(*cut_short("ramp", 0.995))) == []


def test_two_holds_of_one_duty_are_a_flat_top() -> None:
    # The runs' holds end at 85, 95 and 100 %: what is called 95 % here was run at 100 %, too.
    recording, job = recorded("holds")
    throttle = recording.channels["throttle"]
    at = {level: np.flatnonzero(np.abs(throttle.values - level) < 1e-3) for level in (0.95, 1.0)}
    for name in ("speed", "thrust", "torque", "current", "voltage"):
        top = recording.channels[name].values[at[1.0]]
        values = recording.channels[name].values.copy()
        values[at[0.95]] = np.resize(top, at[0.95].size)
        recording = changed(recording, name, lambda _t, _v, values=values: values)
    (finding,) = check_endpoints(evidence_of(recording, job))
    assert "up to 95.0 %" in finding.message
    assert check_endpoints(evidence_of(without(recording, "current"), job)) == []


def test_a_supply_that_sags_and_one_that_collapses_are_no_flat_top() -> None:
    recording, job = recorded("ramp")
    speed = recording.channels["speed"].values
    high = np.quantile(speed, 0.9)
    # speed stands because voltage falls: it still rises for each volt
    recording = changed(recording, "speed", lambda _t, v: np.minimum(v, high))
    recording = changed(
        recording, "voltage", lambda _t, v: v * np.where(speed > high, high / np.maximum(speed, 1), 1.0)
    )
    assert check_endpoints(evidence_of(recording, job)) == []
    (finding,) = check_endpoints(evidence_of(without(recording, "voltage"), job))
    assert finding.code == "throttle-range-short"


@cache
def starting_late(dead: float) -> list[Finding]:
    """Findings of a ramp on a controller with this dead zone."""
    good = simulated("ramp").plan
    (run,) = simulate([replace(good, drive=replace(good.drive, dead_zone=dead))], 5)
    return check_endpoints(evidence_of(recording_of(run), job_of(run.plan)))


def test_a_rotor_that_starts_late_is_told_with_the_command_that_left_it_at_rest() -> None:
    (finding,) = starting_late(0.2)
    assert finding.code == "throttle-range-short"
    told = float(finding.message.split("below ")[1].split(" %")[0])
    assert told == pytest.approx(20.0, abs=1.5)


def test_a_usual_dead_zone_is_none() -> None:
    assert starting_late(0.08) == []


@pytest.mark.parametrize(("top", "told"), [(0.98, True), (0.7, True), (0.99, False), (1.0, False)])
def test_a_schedule_that_never_came_to_full_throttle_is_noted(top: float, told: bool) -> None:
    findings = check_full(evidence_of(*stretched("ramp", lambda x: top * x)))
    assert [finding.code for finding in findings] == ["throttle-not-full"] * told
    assert all(finding.severity == "note" and f"{100 * top:.0f}" in finding.message for finding in findings)


def test_steps_and_coasts_are_not_asked_for_full_throttle() -> None:
    for kind in ("steps", "coast"):
        assert check_full(evidence_of(*recorded(kind))) == []


def test_duty_by_current_over_torque_goes_with_the_duty_of_the_drive() -> None:
    run = simulated("holds")
    evidence = evidence_of(*recorded("holds"))
    seen = relative_duty(evidence)
    assert seen is not None
    throttle, steady = evidence.prepared.bins.values["throttle"], evidence.prepared.spells.steady
    levels = {level: float(np.mean(seen[steady & (np.abs(throttle - level) < 0.004)])) for level in (0.65, 0.85, 1.0)}
    for low, high in ((0.65, 0.85), (0.85, 1.0)):
        true = run.plan.drive.duty(np.array([low, high]))
        # idle power and the controller's own loss are in the current, iron loss in the torque: a per cent or two
        assert levels[high] / levels[low] == pytest.approx(float(true[1] / true[0]), rel=0.02)


def test_without_torque_thrust_stands_in_and_without_current_nothing_does() -> None:
    recording, job = recorded("holds")
    assert relative_duty(evidence_of(without(recording, "torque"), job)) is not None
    assert relative_duty(evidence_of(without(recording, "current"), job)) is None
    nameless = replace(job, motor=None)
    assert relative_duty(evidence_of(recording, nameless)) is not None
