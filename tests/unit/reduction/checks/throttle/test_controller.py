"""Steps that do not settle or are flattened, a rotor that was lost, and a drive that gets hot."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.checks.throttle.derating import check_derating
from isothrust.reduction.checks.throttle.desync import check_desync
from isothrust.reduction.checks.throttle.flattened import check_flattened
from isothrust.reduction.checks.throttle.plateaus import plateaus
from isothrust.reduction.checks.throttle.settling import check_settling
from unit.reduction.bench import changed, recorded, without
from unit.reduction.examined import evidence_of

KINDS = ("ramp", "up-down", "holds", "steps", "coast")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("check", [check_settling, check_flattened, check_desync])
def test_good_runs_have_none_of_it(kind: str, check: object) -> None:
    assert callable(check)
    assert check(evidence_of(*recorded(kind))) == []


def test_plateaus_are_the_levels_of_the_schedule() -> None:
    found = plateaus(evidence_of(*recorded("holds")))
    levels = (0.0, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95, 1.0, 0.0)
    assert [plateau.command for plateau in found] == pytest.approx(levels, abs=1e-3)
    recording, job = recorded("holds")
    assert plateaus(evidence_of(without(recording, "throttle"), job)) == []


def followed(time_constant: float) -> tuple[Recording, RunJob]:
    """The steps with a speed that follows each level as a first-order rotor with this time constant [s]."""
    recording, job = recorded("steps")
    throttle = recording.channels["throttle"]
    speed = recording.channels["speed"].values
    wanted = np.interp(throttle.values, [0.0, 0.1, 0.5], [0.0, float(np.median(speed[3000:3100])), float(speed.max())])
    out, share = np.zeros(wanted.size), 1.0 - np.exp(-1e-3 / time_constant)
    for k in range(1, out.size):
        out[k] = out[k - 1] + share * (wanted[k] - out[k - 1])
    return changed(recording, "speed", lambda _t, _v: out), job


def test_steps_shorter_than_four_time_constants_are_unsettled() -> None:
    # Of a step of 0.9 s the last quarter brings exp(-0.675/tau) - exp(-0.9/tau): 5.4 % for 0.3 s, 0.03 % for 0.08 s.
    (finding,) = check_settling(evidence_of(*followed(0.3)))
    assert (finding.code, finding.severity) == ("steps-unsettled", "warning")
    told = float(finding.message.split("moves by ")[1].split(" %")[0])
    assert told == pytest.approx(100 * (np.exp(-0.675 / 0.3) - np.exp(-0.9 / 0.3)), rel=0.25)
    assert check_settling(evidence_of(*followed(0.08))) == []


def straightened(rise: float) -> tuple[Recording, RunJob]:
    """The steps with straight flanks that take `rise` [s] upwards."""
    recording, job = recorded("steps")
    throttle = recording.channels["throttle"]
    speed = recording.channels["speed"].values
    wanted = np.interp(throttle.values, [0.0, 0.1, 0.5], [0.0, float(np.median(speed[3000:3100])), float(speed.max())])
    most = (float(wanted.max()) - wanted[3000]) / rise * 1e-3
    out = np.zeros(wanted.size)
    for k in range(1, out.size):
        out[k] = min(wanted[k], out[k - 1] + most)
    return changed(recording, "speed", lambda _t, _v: out), job


@pytest.mark.parametrize("rise", [0.15, 0.3])
def test_a_straight_flank_is_the_controllers(rise: float) -> None:
    (finding,) = check_flattened(evidence_of(*straightened(rise)))
    assert (finding.code, finding.severity) == ("steps-flattened", "warning")
    told = float(finding.message.split("line, ")[1].split(" ms")[0])
    assert told == pytest.approx(800 * rise, rel=0.05)  # from 10 to 90 %


def test_a_flank_that_bends_over_is_the_rotors_and_a_short_one_is_not_judged() -> None:
    assert check_flattened(evidence_of(*followed(0.1))) == []
    assert check_flattened(evidence_of(*straightened(0.06))) == []
    recording, job = straightened(0.3)
    assert check_flattened(evidence_of(without(recording, "throttle"), job)) == []


def notched(depth: float, *, felt: bool) -> tuple[Recording, RunJob]:
    """A ramp whose speed loses `depth` for a tenth of a second at 8 s, and whose thrust does so where `felt`."""
    recording, job = recorded("ramp")
    time = recording.channels["speed"].time
    hat = np.clip(1.0 - np.abs(time - 8.0) / 0.08, 0.0, 1.0)
    recording = changed(recording, "speed", lambda _t, v: v * (1.0 - depth * hat))
    if felt:
        recording = changed(recording, "thrust", lambda _t, v: v * (1.0 - depth * hat) ** 2)
    return recording, job


def test_a_notch_in_speed_and_thrust_at_a_rising_command_is_a_lost_rotor() -> None:
    (finding,) = check_desync(evidence_of(*notched(0.2, felt=True)))
    assert (finding.code, finding.severity, finding.count) == ("desynchronised", "warning", 1)
    assert finding.start == pytest.approx(8.0, abs=0.1)
    told = float(finding.message.split("falls by ")[1].split(" %")[0])
    assert told == pytest.approx(20.0, abs=6.0)  # on a rising command, and by bins of 20 ms


def test_a_notch_that_only_the_tachometer_saw_is_none() -> None:
    assert check_desync(evidence_of(*notched(0.2, felt=False))) == []


def test_a_notch_smaller_than_a_gust_is_none() -> None:
    assert check_desync(evidence_of(*notched(0.02, felt=True))) == []


@cache
def _quiet_holds() -> tuple[Recording, RunJob]:
    return recorded("holds")


def sinking(share: float, *, by_duty: bool) -> list[Finding]:
    """Findings of holds in which speed sinks over each, with the current of less duty, or of a warm winding."""
    recording, job = _quiet_holds()
    throttle = recording.channels["throttle"]
    since = np.zeros(throttle.time.size)
    starts = np.flatnonzero(np.abs(np.diff(throttle.values, prepend=0.0)) > 1e-5)
    for start in starts:
        since[start:] = throttle.time[start:] - throttle.time[start]
    sunk = 1.0 - share * np.clip(since / 2.2, 0.0, 1.0) * (throttle.values > 0.8)
    recording = changed(recording, "speed", lambda _t, v: v * sunk)
    for name in ("thrust", "torque"):
        recording = changed(recording, name, lambda _t, v: v * sunk**2)
    recording = changed(recording, "current", lambda _t, v: v * sunk ** (3 if by_duty else 2))
    return check_derating(evidence_of(recording, job))


def test_a_controller_that_takes_duty_back_is_told_from_a_winding_that_warms() -> None:
    (taken,) = sinking(0.08, by_duty=True)
    assert (taken.code, taken.severity) == ("thermal-derating", "warning")
    assert "the controller takes back" in taken.message
    (warm,) = sinking(0.08, by_duty=False)
    assert (warm.code, warm.severity) == ("thermal-derating", "note")
    assert "the winding gets warm" in warm.message


def test_speed_that_stays_is_no_derating() -> None:
    assert sinking(0.0, by_duty=True) == []


def test_speed_that_follows_a_sagging_supply_is_no_derating() -> None:
    recording, job = _quiet_holds()
    fading = 1.0 - 0.1 * recording.channels["speed"].time / 30.0
    for name, power in (("speed", 1), ("voltage", 1), ("thrust", 2), ("torque", 2), ("current", 2)):
        recording = changed(recording, name, lambda _t, v, power=power: v * fading**power)
    assert check_derating(evidence_of(recording, job)) == []
