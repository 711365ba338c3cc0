"""What the budget says of a source against a second reduction of the run with that very error put in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.records.curve import Influence
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.reduced import Estimate, ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.airstate import air_state
from isothrust.science.splines import basis_matrix
from unit.reduction.bench import changed, curve, only_while, recorded

SHARES = np.array([0.35, 0.5, 0.65, 0.8, 0.95])
CUT = 12.2
"""Just before the command falls [s]."""


def given() -> tuple[Recording, RunJob]:
    """The ramp, referred to a density at which no Reynolds correction is due: it would follow every error of slope."""
    recording, job = recorded("quiet")
    air = air_state(job)
    assert air.density is not None
    return recording, replace(job, standard_density=job.standard_density * float(np.exp(-air.reynolds_ratio)))


@cache
def plain() -> ReducedRun:
    return reduce_run(*given())


@cache
def without_coast(inertia: float, uncertainty: float) -> ReducedRun:
    """Cut off at the top: lags and inertia are not the run's own to know."""
    recording, job = given()
    donor = Estimate(inertia, uncertainty, 10.0, "coast of another run")
    return reduce_run(only_while(recording, 0.0, CUT), replace(job, inertia=donor))


def influence(run: ReducedRun, source: str) -> Influence:
    (found,) = [i for i in run.influences if i.source == source]
    return found


def agree(before: ReducedRun, after: ReducedRun, source: str, *, near: float = 0.05, least: float = 3e-5) -> None:
    """Every curve moves as stated: to `near` of the greatest stated shift, or to `least` of the curve."""
    stated = influence(before, source).shifts
    x = SHARES * before.curves["thrust"].high
    for name, found in before.curves.items():
        value = curve(before, name, x)
        moved = (curve(after, name, x) - value) / value
        promised = np.zeros(x.size)
        if name in stated:
            promised = basis_matrix(x, found.knots) @ stated[name] / value
        assert np.abs(moved - promised).max() < max(near * np.abs(promised).max(), least), (
            source,
            name,
            moved,
            promised,
        )


def scaled(name: str) -> ReducedRun:
    recording, job = given()
    stated = job.rig.channels[name].uncertainty
    assert stated is not None
    return reduce_run(changed(recording, name, lambda _, v: v * (1.0 + stated.relative)), job)


def offset(name: str, size: float, *, running: bool) -> ReducedRun:
    recording, job = given()
    turning = recording.channels["speed"].values > 50.0
    return reduce_run(changed(recording, name, lambda _, v: v + size * (turning if running else 1.0)), job)


@pytest.mark.parametrize(("channel", "least"), [("thrust", 3e-5), ("torque", 5e-5)])
def test_scale_of_a_load(channel: str, least: float) -> None:
    # at the very top the throttle's curve has a corner, and torque's share in it is not resolved below 5e-5
    agree(plain(), scaled(channel), f"{channel} scale", least=least)


def test_scale_of_speed() -> None:
    agree(plain(), scaled("speed"), "speed scale")


@pytest.mark.parametrize("channel", ["voltage", "current"])
def test_scale_of_an_electrical_channel(channel: str) -> None:
    agree(plain(), scaled(channel), f"{channel} scale")


@pytest.mark.parametrize("channel", ["thrust", "torque"])
def test_zero_of_a_load_while_the_rotor_turns(channel: str) -> None:
    size = plain().zeros[channel].uncertainty
    agree(plain(), offset(channel, size, running=True), f"{channel} zero", least=4e-4)


def test_offset_of_current() -> None:
    stated = given()[1].rig.channels["current"].uncertainty
    assert stated is not None
    agree(plain(), offset("current", stated.absolute, running=False), "current offset", least=1e-4)


@pytest.mark.parametrize("reading", ["temperature", "pressure", "humidity"])
def test_readings_of_the_air(reading: str) -> None:
    recording, job = given()
    air = job.run.air
    assert air is not None
    read = getattr(air, reading)
    warmer = replace(air, **{reading: replace(read, value=read.value + read.uncertainty)})
    # the Reynolds correction follows the air a little too: slope times the change
    agree(
        plain(),
        reduce_run(recording, replace(job, run=replace(job.run, air=warmer))),
        f"air {reading}",
        near=0.2,
        least=2e-4,
    )


@pytest.mark.parametrize("channel", ["thrust", "torque"])
def test_lag_of_a_load_that_nothing_in_the_run_tells(channel: str) -> None:
    before = without_coast(1.7e-5, 1e-7)
    lag = before.lags[channel].uncertainty
    assert lag == 0.02
    recording, job = given()
    late = only_while(changed(recording, channel, lambda t, v: np.interp(t + lag, t, v)), 0.0, CUT)
    after = reduce_run(late, replace(job, inertia=Estimate(1.7e-5, 1e-7, 10.0, "coast of another run")))
    agree(before, after, f"{channel} lag", least=1e-3)  # 20 ms of torque are 0.06 % of electrical power


@pytest.mark.parametrize("channel", ["thrust", "torque"])
def test_lag_of_a_load_that_the_coast_told(channel: str) -> None:
    recording, job = given()
    late = plain().lags[channel].uncertainty
    after = reduce_run(changed(recording, channel, lambda t, v: np.where(t < CUT, np.interp(t + late, t, v), v)), job)
    agree(plain(), after, f"{channel} lag", near=0.5, least=1e-4)  # the coast's start is moved along: half is the sign


def test_inertia_from_another_run() -> None:
    before, after = without_coast(1.7e-5, 3e-7), without_coast(1.73e-5, 3e-7)
    assert influence(before, "rotor inertia").scope == "sample"
    agree(before, after, "rotor inertia", near=0.05)


def test_loss_of_the_drive() -> None:
    recording, job = given()
    assert job.motor is not None
    assert job.motor.resistance is not None
    hotter = replace(job.motor, resistance=1.2 * job.motor.resistance)
    agree(plain(), reduce_run(recording, replace(job, motor=hotter)), "drive loss", near=0.05, least=7e-4)


def test_area_in_the_slipstream_where_the_rig_keeps_silent() -> None:
    recording, job = given()
    silent = reduce_run(recording, replace(job, rig=replace(job.rig, obstruction=None)))
    usual = reduce_run(recording, replace(job, rig=replace(job.rig, obstruction=20e-4)))
    x = SHARES * silent.curves["thrust"].high
    # DESIGN: 20 cm2 cost 2 % at 7 inch; nobody knows between nothing and that: over the root of three
    moved = curve(usual, "thrust", x) / curve(silent, "thrust", x) - 1.0
    assert np.allclose(moved, 0.0206, atol=2e-4)
    stated = (
        basis_matrix(x, silent.curves["thrust"].knots) @ influence(silent, "slipstream on the stand").shifts["thrust"]
    )
    assert np.allclose(stated / curve(silent, "thrust", x), moved / np.sqrt(3.0), rtol=0.01)
    assert "obstruction-not-stated" in silent.flags


def test_keys_say_what_an_error_is_common_to() -> None:
    keys: Mapping[str, tuple[str, str]] = {i.source: (i.scope, i.key) for i in plain().influences}
    assert keys["thrust scale"] == ("rig", "rig loft thrust scale")
    assert keys["thrust zero"] == ("run", "run c/quiet thrust zero")
    assert keys["air pressure"] == ("rig", "rig loft pressure")
    assert keys["drive loss"] == ("campaign", "campaign c motor m1 drive loss")
    assert keys["rotor inertia"][0] == "run"
    assert len(set(keys.values())) == len(plain().influences)


def test_what_nobody_stated_is_not_invented() -> None:
    recording, job = given()
    silent = {name: replace(plan, uncertainty=None) for name, plan in job.rig.channels.items()}
    run = reduce_run(recording, replace(job, rig=replace(job.rig, channels=silent)))
    assert not [i.source for i in run.influences if i.source.endswith(("scale", "offset"))]
    assert "calibration-not-stated" in run.flags


def test_every_shift_has_the_size_of_its_curve_and_a_value() -> None:
    for found in plain().influences:
        for name, shift in found.shifts.items():
            assert shift.shape == plain().curves[name].coefficients.shape
            assert np.all(np.isfinite(shift))
