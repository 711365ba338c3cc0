"""Units that physics forbids: the slip that explains them is named, and what else is wrong is not taken for one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from isothrust.errors import ReductionError
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.rig import ChannelPlan, ColumnPick
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.physics.forbidden import refuse_doubtful_units
from isothrust.reduction.checks.physics.slips import fitting_slips, slips_of
from unit.reduction.bench import changed, recorded, without
from unit.reduction.examined import evidence_of


def scaled(recording: Recording, **factors: float) -> Recording:
    for name, factor in factors.items():
        recording = changed(recording, name, lambda _t, values, by=factor: values * by)
    return recording


def stated(job: RunJob, channel: str, unit: str, *picks: ColumnPick) -> RunJob:
    """The job with a rig file that states this unit."""
    plan = ChannelPlan(channel, unit=unit, picks=picks)
    return replace(job, rig=replace(job.rig, channels={**job.rig.channels, channel: plan}))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_good_runs_are_not_refused_with_channels_missing_or_not(kind: str) -> None:
    recording, job = recorded(kind)
    for names in ((), ("torque",), ("thrust",), ("voltage",), ("torque", "current"), ("thrust", "voltage")):
        refuse_doubtful_units(evidence_of(without(recording, *names), job))


@pytest.mark.parametrize(
    ("channel", "factor", "unit", "code", "meant"),
    [
        ("thrust", 101.97, "N", "thrust-unit-doubtful", "gf"),
        ("thrust", 1 / 101.97, "gf", "thrust-unit-doubtful", "N"),
        ("thrust", 1 / 9.80665, "N", "thrust-unit-doubtful", "kgf"),
        ("torque", 1000.0, "N m", "torque-unit-doubtful", "N mm"),
        ("torque", 1 / 1000.0, "N mm", "torque-unit-doubtful", "N m"),
        ("current", 1000.0, "A", "current-unit-doubtful", "mA"),
        ("current", 10.0, "A", "current-unit-doubtful", "0.1 A"),
        ("voltage", 1000.0, "V", "voltage-unit-doubtful", "mV"),
    ],
)
def test_a_slip_is_refused_with_the_unit_that_would_fit_in_its_place(
    channel: str, factor: float, unit: str, code: str, meant: str
) -> None:
    recording, job = recorded("ramp")
    with pytest.raises(ReductionError) as caught:
        reduce_run(scaled(recording, **{channel: factor}), stated(job, channel, unit))
    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.fix is not None
    assert f'unit = "{meant}"' in problem.fix
    assert problem.where is not None
    assert problem.where.key == f"channels.{channel}"
    assert f"{meant} read as {unit}" in problem.what


def test_an_arm_in_mm_read_as_m_is_told_as_an_arm_where_torque_comes_from_forces() -> None:
    recording, job = recorded("holds")
    job = stated(job, "torque", "N", ColumnPick(position=5, arm=21.0), ColumnPick(position=6, arm=-21.0))
    with pytest.raises(ReductionError, match="an arm in mm read as m") as caught:
        reduce_run(scaled(recording, torque=1000.0), job)
    assert "the arms in mm" in str(caught.value)


@pytest.mark.parametrize("left_out", [("torque",), ("torque", "voltage", "current")])
def test_without_a_torque_a_wrong_speed_is_not_taken_for_a_wrong_thrust(left_out: tuple[str, ...]) -> None:
    """Electrical speed of seven pole pairs makes CT 1/49: it is the tips beyond the speed of sound that tell."""
    recording, job = recorded("ramp")
    recording = without(recording, *left_out)
    refuse_doubtful_units(evidence_of(scaled(recording, speed=7.0), job))
    with pytest.raises(ReductionError, match="gf read as N"):
        refuse_doubtful_units(evidence_of(scaled(recording, thrust=101.97), stated(job, "thrust", "N")))


def test_a_wrong_diameter_is_no_unit_of_a_load() -> None:
    recording, job = recorded("ramp")
    for factor in (0.5, 2.54):
        design = replace(job.design, diameter=0.1778 * factor)
        refuse_doubtful_units(evidence_of(recording, replace(job, design=design)))


def test_a_power_out_of_bounds_is_not_laid_to_the_current_while_the_loads_are_out_of_class() -> None:
    recording, job = recorded("ramp")
    with pytest.raises(ReductionError) as caught:
        refuse_doubtful_units(evidence_of(scaled(recording, torque=1000.0, current=1000.0), job))
    assert caught.value.code == "torque-unit-doubtful"
    without_diameter = replace(job, design=replace(job.design, diameter=None))
    refuse_doubtful_units(evidence_of(scaled(recording, torque=1000.0, current=1000.0), without_diameter))


def test_slips_too_near_to_be_told_apart_are_named_together() -> None:
    near = fitting_slips(100.0, slips_of("torque", ChannelPlan("torque", unit="N m")), within=2.5)
    assert [slip.words for slip in near] == ["N cm read as N m", "ozf in read as N m"]
    assert fitting_slips(4.0, slips_of("current", None), within=2.0) == ()
    assert fitting_slips(-1.0, slips_of("current", None), within=2.0) == ()


def test_raw_counts_may_have_been_scaled_to_either_unit() -> None:
    words = {slip.words for slip in slips_of("thrust", ChannelPlan("thrust", unit="count"))}
    assert {"gf read as N", "N read as gf"} <= words
