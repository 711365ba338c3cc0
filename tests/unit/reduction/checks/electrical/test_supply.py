"""Sag, regeneration and current limit of a supply, on one propeller's runs with the voltage rewritten."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.checks.electrical.limit import check_supply_limit
from isothrust.reduction.checks.electrical.regeneration import check_regeneration
from isothrust.reduction.checks.electrical.sag import check_sag
from unit.reduction.bench import changed, recorded, without
from unit.reduction.examined import evidence_of


def sagging(kind: str, resistance: float) -> tuple[Recording, RunJob]:
    """A run whose voltage is read behind a source of 24 V and a resistance [ohm]."""
    recording, job = recorded(kind)
    current = recording.channels["current"].values
    return changed(recording, "voltage", lambda _t, _v: 24.0 - resistance * current), job


def stated(job: RunJob, **of_supply: float | bool) -> RunJob:
    return replace(job, rig=replace(job.rig, **of_supply))  # type: ignore[arg-type]


def sag(resistance: float, kind: str = "ramp", voltage: float | None = None) -> list[Finding]:
    recording, job = sagging(kind, resistance)
    return check_sag(evidence_of(recording, stated(job, supply_voltage=voltage) if voltage else job))


def top_current(kind: str) -> float:
    return float(np.quantile(recorded(kind)[0].channels["current"].values, 0.99))


@pytest.mark.parametrize("kind", ["ramp", "holds", "up-down"])
def test_a_supply_that_falls_by_a_tenth_is_told_with_what_it_falls_to(kind: str) -> None:
    resistance = 2.4 / top_current(kind)
    (unstated,) = sag(resistance, kind)
    assert (unstated.code, unstated.severity) == ("supply-sag", "note")
    assert "it has with the motor off" in unstated.message
    assert "21." in unstated.message  # 24 less 2.4 V at the greatest current, 2.2 V and more over the top bins
    (broken,) = sag(resistance, kind, voltage=24.0)
    assert broken.severity == "warning"
    assert "24.00 V that the rig states" in broken.message


def test_a_supply_that_falls_by_a_twentieth_is_none() -> None:
    resistance = 1.2 / top_current("ramp")
    assert sag(resistance) == []
    assert sag(resistance, voltage=24.0) == []
    assert [finding.code for finding in sag(resistance, voltage=25.2)] == ["supply-sag"]  # it was to give more


def test_sag_is_not_judged_without_voltage_or_without_anything_to_hold_it_against() -> None:
    recording, job = sagging("ramp", 0.1)
    assert check_sag(evidence_of(without(recording, "voltage"), job)) == []


def climbing(kind: str, share: float) -> tuple[Recording, RunJob]:
    """A run whose voltage climbs by a share for a quarter of a second after each fall of the command."""
    recording, job = recorded(kind)
    throttle = recording.channels["throttle"].values
    time = recording.channels["throttle"].time
    falls = time[1:][(np.diff(throttle) < 0.0) & (throttle[1:] > 0.05)]
    after = np.zeros(time.size, dtype=bool)
    for fall in falls:
        after |= (time >= fall) & (time < fall + 0.25)
    return changed(recording, "voltage", lambda _t, v: np.where(after, 24.0 * (1.0 + share), v)), job


def test_a_supply_that_climbs_at_each_step_down_is_told_and_moves_no_settled_figure() -> None:
    recording, job = climbing("steps", 0.06)
    (finding,) = check_regeneration(evidence_of(recording, job))
    assert (finding.code, finding.severity) == ("supply-regeneration", "note")
    assert "25.4" in finding.message
    (denied,) = check_regeneration(evidence_of(recording, stated(job, sinks_current=True)))
    assert "though the rig says that it sinks current" in denied.message


def test_a_leg_down_on_a_climbing_bus_may_move_figures() -> None:
    (finding,) = check_regeneration(evidence_of(*climbing("up-down", 0.06)))
    assert finding.severity == "warning"
    assert finding.channel == "voltage"


def test_what_leads_lose_and_give_back_is_no_regeneration() -> None:
    assert check_regeneration(evidence_of(*climbing("steps", 0.015))) == []
    for kind in ("ramp", "holds", "steps", "coast", "up-down"):
        assert check_regeneration(evidence_of(*recorded(kind))) == []


def at_limit(voltage_falls: float) -> tuple[Recording, RunJob]:
    """A ramp in which the current stands from 90 % throttle on, speed sinks and voltage falls by a share."""
    recording, job = recorded("ramp")
    time, throttle = recording.channels["throttle"].time, recording.channels["throttle"].values
    over = np.clip((throttle - 0.9) / 0.1, 0.0, 1.0)
    first = int(np.flatnonzero(throttle >= 0.9)[0])
    held = {name: float(recording.channels[name].values[first]) for name in ("current", "speed", "thrust", "torque")}
    for name, level in held.items():
        sinks = {"current": 0.0, "speed": 0.03, "thrust": 0.06, "torque": 0.06}[name]
        recording = changed(
            recording, name, lambda _t, v, level=level, sinks=sinks: np.where(over > 0, level * (1 - sinks * over), v)
        )
    before = time < time[first]
    return changed(
        recording, "voltage", lambda _t, v: np.where(before | (over == 0), v, v[first] * (1 - voltage_falls * over))
    ), job


def test_current_that_stands_while_the_command_rises_and_voltage_falls_is_the_supplys_limit() -> None:
    recording, job = at_limit(0.08)
    (finding,) = check_supply_limit(evidence_of(recording, stated(job, current_limit=30.0)))
    assert (finding.code, finding.severity) == ("supply-limit", "warning")
    assert "the rig states 30 A" in finding.message
    assert finding.start is not None
    throttle = recording.channels["throttle"]
    assert np.interp(finding.start, throttle.time, throttle.values) == pytest.approx(0.9, abs=0.012)


def test_a_flat_top_at_a_steady_voltage_is_no_limit_of_the_supply() -> None:
    assert check_supply_limit(evidence_of(*at_limit(0.0))) == []
    for kind in ("ramp", "holds", "steps", "coast", "up-down"):
        assert check_supply_limit(evidence_of(*recorded(kind))) == []
    recording, job = at_limit(0.08)
    assert check_supply_limit(evidence_of(without(recording, "throttle"), job)) == []
