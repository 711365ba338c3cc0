"""What a class of propellers reaches: published sweeps stay inside, blades on backwards and wrong scales do not."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.reduction.checks.physics.classes import class_figures
from isothrust.reduction.checks.physics.coefficients import Coefficients, coefficients_at_speed
from isothrust.reduction.checks.physics.merit import check_merit_high
from isothrust.reduction.checks.physics.negative import check_negative_power
from isothrust.reduction.checks.physics.outofclass import check_class
from isothrust.reduction.checks.physics.reversed import check_reversed, is_reversed
from isothrust.virtual import on_backwards
from support.field import needs_field
from support.university import sweeps
from unit.reduction.bench import changed, recorded, simulated, without
from unit.reduction.examined import evidence_of

KINDS = ("ramp", "up-down", "holds", "steps", "coast", "quiet")
CHECKS = (check_class, check_merit_high, check_negative_power, check_reversed)


def scaled(kind: str, **factors: float) -> tuple[Recording, RunJob]:
    """A recording with channels read by a wrong scale."""
    recording, job = recorded(kind)
    for name, factor in factors.items():
        recording = changed(recording, name, lambda _t, values, by=factor: values * by)
    return recording, job


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("check", CHECKS)
def test_good_runs_are_of_their_class(kind: str, check: object) -> None:
    assert callable(check)
    assert check(evidence_of(*recorded(kind))) == []


@pytest.mark.parametrize("check", CHECKS)
def test_nothing_is_said_where_diameter_air_or_loads_are_missing(check: object) -> None:
    assert callable(check)
    recording, job = scaled("ramp", thrust=5.0)
    if check is not check_negative_power:
        assert check(evidence_of(recording, replace(job, design=replace(job.design, diameter=None)))) == []
        assert check(evidence_of(recording, replace(job, run=replace(job.run, air=None)))) == []
    assert check(evidence_of(without(recording, "thrust", "torque"), job)) == []


def test_coefficients_are_those_of_the_propeller() -> None:
    evidence = evidence_of(*recorded("quiet"))
    found = coefficients_at_speed(evidence.prepared, evidence.air, evidence.mechanics)
    assert found is not None
    truth, plan = simulated("quiet").truth, simulated("quiet").plan
    speeds = np.linspace(0.6, 1.0, 50) * truth.top_speed / (2.0 * math.pi)
    assert found.thrust == pytest.approx(np.mean(plan.propeller.thrust_coefficient(speeds, plan.air)), rel=0.02)
    assert found.power == pytest.approx(np.mean(plan.propeller.power_coefficient(speeds, plan.air)), rel=0.02)


@needs_field
def test_no_published_propeller_is_out_of_its_class() -> None:
    """Tables of the University of Illinois; pitch is the second number of a name such as "9.0x6.0"."""
    judged = 0
    for sweep in sweeps():
        pitch = 0.0254 * float(sweep.name.split()[1].split("x")[1])
        if not 0.26 < pitch / sweep.diameter < 1.4:  # one name in the tables is misprinted as 65 inch
            continue
        upper = sweep.rpm >= 0.6 * sweep.rpm.max()
        ct, cp = float(np.mean(sweep.ct[upper])), float(np.mean(sweep.cp[upper]))
        merit = math.sqrt(2.0 / math.pi) * ct**1.5 / cp
        found = Coefficients(ct, cp, merit, 1.0, sweep.diameter)
        for known in (pitch, None):
            usual = class_figures(sweep.blades, known, sweep.diameter)
            assert not is_reversed(found, usual), sweep.name
        usual = class_figures(sweep.blades, pitch, sweep.diameter)
        assert 0.5 < ct / usual.thrust_coefficient < 2.25, sweep.name
        assert 0.45 < cp / usual.power_coefficient < 3.2, sweep.name
        assert merit < 0.8, sweep.name
        judged += 1
    assert judged > 200


def test_a_class_without_blade_count_or_pitch_is_the_middle_of_what_is_sold() -> None:
    assert class_figures(None, None, 0.2).said == "2 blades"
    assert class_figures(None, 0.13, 0.2) == class_figures(2, 0.13, 0.2)
    two, three = class_figures(2, 0.1, 0.2), class_figures(3, 0.1, 0.2)
    assert three.thrust_coefficient > two.thrust_coefficient
    assert class_figures(2, 0.15, 0.2).merit < two.merit
    assert class_figures(2, 5.0, 0.2).thrust_coefficient == class_figures(2, 0.26, 0.2).thrust_coefficient


@pytest.mark.parametrize("kind", ["ramp", "holds"])
def test_a_propeller_on_backwards_is_told_with_both_ratios(kind: str) -> None:
    """The blade-element ratios of that propeller, put on the loads: no re-trim of the motor is needed for a ratio."""
    factors = on_backwards(simulated(kind).plan.propeller)
    evidence = evidence_of(*scaled(kind, thrust=factors.thrust, torque=factors.power))
    (finding,) = check_reversed(evidence)
    assert (finding.code, finding.severity) == ("propeller-reversed", "fail")
    assert finding.done == "the run was set aside"
    assert check_class(evidence) == []  # one cause is told once


def test_without_a_pitch_only_what_no_pitch_explains_is_told() -> None:
    recording, job = scaled("ramp", thrust=0.52, torque=0.8)
    unknown = replace(job, design=replace(job.design, pitch=None))
    assert len(check_reversed(evidence_of(recording, job))) == 1
    assert check_reversed(evidence_of(recording, unknown)) == []
    (finding,) = check_reversed(evidence_of(scaled("ramp", thrust=0.35, torque=0.7)[0], unknown))
    assert "2 blades" in finding.message


def test_a_wrong_diameter_puts_both_coefficients_out_of_class() -> None:
    recording, job = recorded("ramp")
    small = replace(job, design=replace(job.design, diameter=0.76 * 0.1778, pitch=0.76 * 0.1))
    found = check_class(evidence_of(recording, small))
    assert [finding.channel for finding in found] == ["thrust", "torque"]
    assert {finding.code for finding in found} == {"coefficient-out-of-class"}


def test_what_lies_far_beyond_the_class_sets_the_run_aside() -> None:
    (mild,) = check_class(evidence_of(*scaled("ramp", thrust=2.8)))
    (gross,) = check_class(evidence_of(*scaled("ramp", thrust=6.0)))
    assert (mild.severity, mild.done) == ("warning", "nothing")
    assert (gross.severity, gross.done) == ("fail", "the run was set aside")
    assert mild.channel == "thrust"


def test_a_merit_between_what_is_known_and_what_is_possible_is_told() -> None:
    (finding,) = check_merit_high(evidence_of(*scaled("ramp", thrust=1.25)))
    assert (finding.code, finding.severity) == ("merit-high", "warning")
    assert check_merit_high(evidence_of(*scaled("ramp", thrust=1.1))) == []
    assert check_merit_high(evidence_of(*scaled("ramp", thrust=1.8))) == []  # merit-above-one tells of that


@pytest.mark.parametrize(("channel", "offset"), [("current", -3.0), ("torque", -0.05)])
def test_power_below_zero_under_load_is_told_of_its_channel(channel: str, offset: float) -> None:
    recording, job = recorded("holds")
    speed = recording.channels["speed"].values
    shifted = changed(recording, channel, lambda _t, values: values + offset * (speed > 100.0))
    (finding,) = check_negative_power(evidence_of(shifted, job))
    assert (finding.code, finding.channel) == ("power-negative", channel)
    assert finding.count is not None
    assert finding.count >= 10


def test_a_rotor_that_brakes_may_give_power_back() -> None:
    """On the way down in three seconds the drive takes power from the rotor: no fault of any sensor."""
    recording, job = recorded("up-down")
    throttle = recording.channels["throttle"]
    top = int(np.argmax(throttle.values))
    late = np.arange(throttle.time.size) > top + 400
    braking = changed(recording, "current", lambda _t, values: np.where(late, -0.3 * np.abs(values), values))
    assert check_negative_power(evidence_of(braking, job)) == []
