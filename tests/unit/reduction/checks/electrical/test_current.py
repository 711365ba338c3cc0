"""Current at rest, turned round and clipped; the loss between the voltage sensor and the shaft."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.job import RunJob
from isothrust.reduction.checks.electrical.clipped import check_clipped
from isothrust.reduction.checks.electrical.idle import check_idle
from isothrust.reduction.checks.electrical.lead import check_lead, series_resistance
from isothrust.reduction.checks.electrical.turned import turn_current
from unit.reduction.bench import DRIVE, changed, recorded, without
from unit.reduction.channels import channel, clock, ramped
from unit.reduction.examined import evidence_of

T = clock(14.0)
RAMP = ramped(T, 1.0)
KINDS = ("ramp", "holds", "steps", "coast", "up-down")


def offset(amount: float, kind: str = "ramp") -> list[Finding]:
    recording, job = recorded(kind)
    return check_idle(evidence_of(changed(recording, "current", lambda _t, v: v + amount), job))


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_controller_draws_is_no_finding(kind: str) -> None:
    assert offset(0.0, kind) == []


@pytest.mark.parametrize(
    ("amount", "severity"), [(-10.0, "warning"), (-0.15, "warning"), (0.15, "note"), (0.4, "note"), (1.5, "warning")]
)
def test_a_current_at_rest_is_told_by_what_it_moves_and_by_whose_it_can_be(amount: float, severity: str) -> None:
    (finding,) = offset(amount)
    assert (finding.code, finding.severity) == ("current-at-rest", severity)
    # The bench of these runs draws 0.9 W at 24 V with the motor off, and its zero stands at 0.01 A.
    seen = 0.9 / 24.0 + 0.01 + amount
    told = float(finding.message.split("reads ")[1].split(" A")[0])
    assert told == pytest.approx(seen, abs=0.004, rel=1e-3)
    assert ("no electronics give current back" in finding.message) == (amount < 0.0)


def test_without_a_rest_or_without_current_nothing_is_said_of_it() -> None:
    recording, job = recorded("ramp")
    assert check_idle(evidence_of(without(recording, "current"), job)) == []


def test_a_current_that_is_negative_under_power_is_turned_round() -> None:
    turned, (finding,) = turn_current(channel("current", T, 0.05 - 20.0 * RAMP**3))
    assert turned.values.max() == pytest.approx(19.95)
    assert (finding.code, finding.severity) == ("current-turned", "warning")


@pytest.mark.parametrize("values", [20.0 * RAMP**3 - 3.0, -0.4 + 0.0 * RAMP, 20.0 * RAMP - 8.0 * (RAMP > 0.97)])
def test_an_offset_and_a_brake_are_no_reversed_sensor(values: np.ndarray) -> None:
    reading = channel("current", T, values)
    same, findings = turn_current(reading)
    assert same is reading
    assert findings == []


@pytest.mark.parametrize("kind", ["ramp", "up-down"])
def test_a_current_that_stands_while_speed_goes_on_rising_is_clipped(kind: str) -> None:
    recording, job = recorded(kind)
    top = float(np.quantile(recording.channels["current"].values, 0.99))
    random = np.random.default_rng(3)

    def rail(_t: np.ndarray, v: np.ndarray) -> np.ndarray:
        return np.where(v > 0.9 * top, 0.9 * top + 0.03 * random.standard_normal(v.size), v)

    (finding,) = check_clipped(evidence_of(changed(recording, "current", rail), job))
    assert (finding.code, finding.severity) == ("current-clipped", "warning")
    assert f"{0.9 * top:.3g} A" in finding.message
    assert finding.effect is not None
    assert 8 <= int(finding.effect.split(" % too low")[0].split()[-1]) <= 14  # 1 - 0.9 and what the peak has above top


@pytest.mark.parametrize("kind", KINDS)
def test_a_current_with_its_own_top_is_not_clipped(kind: str) -> None:
    assert check_clipped(evidence_of(*recorded(kind))) == []


def with_lead(resistance: float, kind: str = "ramp") -> list[Finding]:
    recording, job = recorded(kind)
    current = recording.channels["current"].values
    return check_lead(evidence_of(changed(recording, "voltage", lambda _t, v: v + resistance * current), job))


def test_a_tenth_of_an_ohm_ahead_of_the_controller_is_told() -> None:
    (finding,) = with_lead(0.1)
    assert (finding.code, finding.severity) == ("voltage-ahead-of-lead", "warning")
    assert f"{DRIVE.resistance:.3f} ohm" in finding.message
    told = float(finding.message.split("some ")[1].split(" ohm")[0])
    assert told == pytest.approx(0.1, abs=0.03)


@pytest.mark.parametrize("kind", KINDS)
def test_warmth_and_controller_explain_the_loss_of_a_good_bench(kind: str) -> None:
    assert with_lead(0.0, kind) == []


def test_a_lead_of_a_hundredth_of_an_ohm_is_within_what_warmth_does() -> None:
    assert with_lead(0.01) == []


def without_constants(job: RunJob) -> RunJob:
    assert job.motor is not None
    return replace(job, motor=replace(job.motor, resistance=None))


def test_no_lead_is_told_without_the_motors_constants_or_torque() -> None:
    recording, job = recorded("ramp")
    current = recording.channels["current"].values
    recording = changed(recording, "voltage", lambda _t, v: v + 0.3 * current)
    assert [finding.code for finding in check_lead(evidence_of(recording, job))] == ["voltage-ahead-of-lead"]
    assert check_lead(evidence_of(recording, without_constants(job))) == []
    assert check_lead(evidence_of(without(recording, "torque"), job)) == []


def test_a_loss_below_the_windings_own_is_no_motors() -> None:
    recording, job = recorded("ramp")
    less = changed(recording, "current", lambda _t, v: 0.88 * v)
    (finding,) = check_lead(evidence_of(less, job))
    assert finding.code == "power-balance"
    series = series_resistance(evidence_of(less, job))
    assert series is not None
    assert series.seen < 0.9 * DRIVE.resistance


def test_a_power_balance_that_is_told_already_is_not_told_twice() -> None:
    recording, job = recorded("ramp")
    half = changed(recording, "current", lambda _t, v: 0.5 * v)
    evidence = evidence_of(half, job)
    assert [finding.code for finding in evidence.electrics.findings] == ["power-balance"]
    assert check_lead(evidence) == []
