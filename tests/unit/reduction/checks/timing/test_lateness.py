"""Channels that are later than filters are, a speed later than its thrust, and orders that meet the log's rate."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Recording
from isothrust.reduction.checks.timing.falling import fall_delay
from isothrust.reduction.checks.timing.folded import check_folded
from isothrust.reduction.checks.timing.lateness import check_lateness
from unit.reduction.bench import recorded, without
from unit.reduction.examined import evidence_of

STAND = 0.018
"""The stand's own: the thrust cell's 24 ms, the tachometer's 6 ms [s]."""


def delayed(recording: Recording, *names: str, by: float) -> Recording:
    """The recording with channels read later: the same rows, older values."""
    late = {}
    for name in names:
        channel = recording.channels[name]
        values = np.interp(channel.time - by, channel.time, channel.values)
        late[name] = Channel(name, channel.time, values, channel.resolution)
    return replace(recording, channels={**recording.channels, **late})


def told(kind: str, *names: str, by: float) -> list[Finding]:
    recording, job = recorded(kind)
    return check_lateness(evidence_of(delayed(recording, *names, by=by), job))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_a_usual_stand_is_not_told_of(kind: str) -> None:
    assert check_lateness(evidence_of(*recorded(kind))) == []


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps"])
@pytest.mark.parametrize("name", ["thrust", "torque"])
def test_a_cell_a_tenth_of_a_second_late_is_told_of(kind: str, name: str) -> None:
    (finding,) = told(kind, name, by=0.12)
    assert (finding.code, finding.severity, finding.channel) == ("lag-beyond-band", "warning", name)


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps"])
def test_a_speed_later_than_its_thrust_was_averaged(kind: str) -> None:
    (finding,) = told(kind, "speed", by=0.1)
    assert (finding.code, finding.channel) == ("speed-averaged", "speed")


def test_late_current_and_voltage_are_told_of() -> None:
    (finding,) = told("ramp", "current", "voltage", by=0.13)
    assert (finding.code, finding.channel) == ("lag-beyond-band", "current")


@pytest.mark.parametrize("kind", ["ramp", "holds", "steps"])
@pytest.mark.parametrize("by", [0.0, 0.05, 0.2, 0.35])
def test_the_drop_tells_a_delay_to_a_few_milliseconds(kind: str, by: float) -> None:
    recording, job = recorded(kind)
    fall = fall_delay(evidence_of(delayed(recording, "thrust", by=by), job), "thrust", "speed", driven=np.square)
    assert fall is not None
    assert fall.delay == pytest.approx(STAND + by, abs=0.006 + 0.06 * by)


def test_the_message_holds_the_delay() -> None:
    (finding,) = told("ramp", "thrust", by=0.12)
    said = re.search(r"thrust is (\d+) ms later than speed", finding.message)
    assert said is not None
    assert float(said[1]) == pytest.approx(1e3 * (STAND + 0.12), abs=6.0)


def test_a_run_that_never_falls_has_no_drop_to_tell() -> None:
    recording, job = recorded("ramp")
    short = {
        name: replace(c, time=c.time[c.time < 11.0], values=c.values[c.time < 11.0])
        for name, c in recording.channels.items()
    }
    evidence = evidence_of(replace(recording, channels=short), job)
    assert fall_delay(evidence, "thrust", "speed", driven=np.square) is None
    assert check_lateness(evidence) == []


def test_without_loads_nothing_is_late() -> None:
    recording, job = recorded("ramp")
    assert check_lateness(evidence_of(without(recording, "thrust", "torque"), job)) == []


def shaken(recording: Recording, order: float, share: float) -> Recording:
    """The recording with a part of thrust that turns with the rotor, sampled as it is."""
    thrust, speed = recording.channels["thrust"], recording.channels["speed"]
    angle = np.cumsum(speed.values) * float(np.median(np.diff(speed.time)))
    values = thrust.values * (1.0 + share * np.sin(order * angle))
    return replace(recording, channels={**recording.channels, "thrust": replace(thrust, values=values)})


@pytest.mark.parametrize("kind", ["ramp", "up-down"])
def test_an_order_that_meets_the_rate_of_the_log_is_told_with_its_speed(kind: str) -> None:
    recording, job = recorded(kind)
    (finding,) = check_folded(evidence_of(shaken(recording, 4.0, 0.08), job))
    assert (finding.code, finding.channel) == ("order-aliased", "thrust")
    assert "about 15000 rpm, where 4 times a revolution meets the 1000 rows a second" in finding.message


@pytest.mark.parametrize("order", [1.0, 2.0, 2.6])
def test_an_order_that_never_meets_it_is_left_alone(order: float) -> None:
    recording, job = recorded("ramp")
    assert check_folded(evidence_of(shaken(recording, order, 0.08), job)) == []


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_a_calm_load_beats_nowhere(kind: str) -> None:
    assert check_folded(evidence_of(*recorded(kind))) == []
