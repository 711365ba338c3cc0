"""Limits of speed, tips near the speed of sound, and walls that are near."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from isothrust.reduction.checks.air.clearance import check_clearance
from isothrust.reduction.checks.air.limits import check_maximum_speed, check_tip_mach
from unit.reduction.bench import recorded, simulated, without
from unit.reduction.examined import evidence_of

KINDS = ("ramp", "up-down", "holds", "steps", "coast")


@pytest.mark.parametrize("kind", KINDS)
def test_a_speed_above_the_limit_is_told_with_the_span_and_the_caution(kind: str) -> None:
    recording, job = recorded(kind)
    top = simulated(kind).truth.top_speed
    limited = replace(job, design=replace(job.design, max_speed=0.98 * top))
    (finding,) = check_maximum_speed(evidence_of(recording, limited))
    assert (finding.code, finding.severity) == ("speed-above-limit", "warning")
    assert "plane of rotation" in finding.message
    assert finding.start is not None
    assert finding.end is not None
    over = recording.channels["speed"].time[recording.channels["speed"].values > 0.98 * top]
    assert finding.start == pytest.approx(over[0], abs=0.15)
    assert finding.end == pytest.approx(over[-1], abs=0.15)


@pytest.mark.parametrize("share", [1.001, 1.5])
def test_a_speed_at_or_below_the_limit_is_none(share: float) -> None:
    recording, job = recorded("ramp")
    limit = share * simulated("ramp").truth.top_speed
    assert check_maximum_speed(evidence_of(recording, replace(job, design=replace(job.design, max_speed=limit)))) == []
    assert check_maximum_speed(evidence_of(recording, job)) == []
    no_speed = evidence_of(without(recording, "speed"), replace(job, design=replace(job.design, max_speed=100.0)))
    assert check_maximum_speed(no_speed) == []


def test_tips_beyond_mach_0_7_are_a_note_with_the_mach_number_of_the_day() -> None:
    recording, job = recorded("ramp")
    top = simulated("ramp").truth.top_speed
    wide = 2.0 * 0.8 * 346.6 / top  # dry air of 299 K: sqrt(1.4 x 287.05 x 299) = 346.6 m/s
    (finding,) = check_tip_mach(evidence_of(recording, replace(job, design=replace(job.design, diameter=wide))))
    assert (finding.code, finding.severity) == ("tip-mach-high", "note")
    assert "Mach 0.80" in finding.message
    below = replace(job, design=replace(job.design, diameter=0.69 / 0.8 * wide))
    assert check_tip_mach(evidence_of(recording, below)) == []
    assert check_tip_mach(evidence_of(recording, replace(job, run=replace(job.run, air=None)))) == []


def test_a_wall_nearer_than_three_diameters_is_a_note() -> None:
    recording, job = recorded("ramp")
    for clearance, told in ((2.9 * 0.1778, True), (3.1 * 0.1778, False), (None, False)):
        found = check_clearance(evidence_of(recording, replace(job, rig=replace(job.rig, clearance=clearance))))
        assert [finding.severity for finding in found] == (["note"] if told else [])
    no_diameter = replace(job, rig=replace(job.rig, clearance=0.1), design=replace(job.design, diameter=None))
    assert check_clearance(evidence_of(recording, no_diameter)) == []


def test_the_effect_of_a_wall_is_that_of_the_image_of_the_disc() -> None:
    """A radius away, the ground effect raises thrust at equal power by 1/(1 - 1/16) - 1 = 6.7 %."""
    recording, job = recorded("ramp")
    near = replace(job, rig=replace(job.rig, clearance=0.5 * 0.1778))
    (finding,) = check_clearance(evidence_of(recording, near))
    assert finding.effect is not None
    assert f"{100.0 * (1.0 / (1.0 - 1.0 / 16.0) - 1.0):.1f} %" in finding.effect
    assert math.isclose(1.0 / (1.0 - 1.0 / 16.0) - 1.0, 0.0667, abs_tol=1e-4)
