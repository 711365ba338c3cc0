"""Vibration of simulated runs: curves, figures at a thrust, and what makes them absent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.curve import SmoothCurve
from isothrust.records.reduced import ReducedRun
from isothrust.records.rig import ChannelPlan
from isothrust.reduction import reduce_run
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.reduction.figures_sensitive import evaluate_curve
from isothrust.virtual import VirtualRun, holds
from support.shaken import METER, reduced_of, shaken_run
from support.simulated import job_of, recording_of

THRUSTS = np.array([4.0, 6.0, 8.0, 10.0])


@pytest.fixture(scope="module")
def run() -> VirtualRun:
    return shaken_run()


@pytest.fixture(scope="module")
def reduced(run: VirtualRun) -> ReducedRun:
    return reduced_of(run)


def codes(reduced: ReducedRun) -> set[str]:
    return {finding.code for finding in reduced.findings}


def truth_at(run: VirtualRun, thrusts: np.ndarray) -> np.ndarray:
    shaking = run.truth.shaking
    assert shaking is not None
    # vibration holds in the air of the day: at the speed which the thrust took on that day
    return shaking.rms(run.truth.mounting.speed_at_thrust(thrusts, run.plan.air), 5.0, 0.4 * METER.rate)


def test_rms_at_a_thrust_is_the_true_one_within_two_per_cent(run: VirtualRun, reduced: ReducedRun) -> None:
    figure = evaluate_figure(reduced, "vibration", "thrust", THRUSTS, RunContext())
    np.testing.assert_allclose(figure.values, truth_at(run, THRUSTS), rtol=0.02)
    assert "air-of-the-day" in figure.flags
    budget = {line.source for line in figure.lines}
    assert {"noise left by the fit", "acceleration scale", "thrust scale"} <= budget


def test_rms_of_holds_is_the_true_one(run: VirtualRun) -> None:
    held = shaken_run(schedule=holds((0.4, 0.5, 0.6, 0.7, 0.8), stay=2.0))
    figure = evaluate_figure(reduced_of(held), "vibration", "thrust", THRUSTS, RunContext())
    known = np.isfinite(figure.values)
    assert known.sum() >= 2
    np.testing.assert_allclose(figure.values[known], truth_at(held, THRUSTS)[known], rtol=0.03)


def test_axes_add_up_to_the_sum(run: VirtualRun, reduced: ReducedRun) -> None:
    at = np.array([0.5, 0.8]) * reduced.curves["vibration"].high
    shaking = run.truth.shaking
    assert shaking is not None
    true = shaking.mean_square(at, 5.0, 0.4 * METER.rate)
    for place, axis in enumerate("xy"):
        curve = reduced.curves[f"vibration-{axis}"]
        ordinate = np.interp(at, *_line(curve))
        np.testing.assert_allclose(np.exp(0.5 * ordinate) * at**2, np.sqrt(true[:, place]), rtol=0.03)
    assert reduced.vibration is not None
    assert reduced.vibration.axes == ("x", "y", "z")
    assert (reduced.vibration.low, reduced.vibration.high) == (5.0, pytest.approx(2000.0))


def _line(curve: SmoothCurve) -> tuple[np.ndarray, np.ndarray]:
    x = np.linspace(curve.low, curve.high, 2000)
    return x, evaluate_curve(curve, x)


def test_a_scale_error_of_the_sensor_is_common_to_the_rig(reduced: ReducedRun) -> None:
    figure = evaluate_figure(reduced, "vibration", "thrust", THRUSTS, RunContext())
    (line,) = [line for line in figure.lines if line.source == "acceleration scale"]
    assert line.scope == "rig"
    np.testing.assert_allclose(line.contributions / figure.values, 0.01, rtol=1e-6)


def test_a_rig_that_states_no_uncertainty_says_so(run: VirtualRun) -> None:
    job = job_of(run.plan)
    bare = ChannelPlan("acceleration", file="vibration", rate=METER.rate)
    job = replace(job, rig=replace(job.rig, channels={**job.rig.channels, "acceleration": bare}))
    reduced = reduce_run(recording_of(run), job)
    assert "acceleration-not-stated" in evaluate_figure(reduced, "vibration", "thrust", THRUSTS, RunContext()).flags
    assert "acceleration-not-stated" not in evaluate_figure(reduced, "speed", "thrust", THRUSTS, RunContext()).flags


def test_ten_samples_a_second_give_no_vibration_and_a_reason(run: VirtualRun) -> None:
    slow = recording_of(run)
    channel = slow.channels["acceleration"]
    every = int(METER.rate / 10.0)
    thin = replace(channel, time=channel.time[::every], values=channel.values[::every])
    reduced = reduce_run(replace(slow, channels={**slow.channels, "acceleration": thin}), job_of(run.plan))
    assert "vibration-without-rate" in codes(reduced)
    figure = evaluate_figure(reduced, "vibration", "thrust", THRUSTS, RunContext())
    assert figure.absent[0] is not None
    assert "10 samples a second" in figure.absent[0]


def test_uneven_stamps_give_no_vibration(run: VirtualRun) -> None:
    uneven = recording_of(run)
    channel = uneven.channels["acceleration"]
    random = np.random.default_rng(4)
    time = np.cumsum(random.uniform(0.4, 1.6, channel.time.size)) / METER.rate
    rough = replace(channel, time=time)
    reduced = reduce_run(replace(uneven, channels={**uneven.channels, "acceleration": rough}), job_of(run.plan))
    assert "vibration-without-rate" in codes(reduced)


def test_blade_passing_above_half_the_rate_is_told_with_where_it_shows_up(run: VirtualRun) -> None:
    slow = recording_of(run)
    channel = slow.channels["acceleration"]
    every = 8
    thin = replace(channel, time=channel.time[::every], values=channel.values[::every])
    reduced = reduce_run(replace(slow, channels={**slow.channels, "acceleration": thin}), job_of(run.plan))
    (told,) = [finding for finding in reduced.findings if finding.code == "vibration-aliased"]
    assert "800 samples a second" in told.message
    assert reduced.curves["vibration"].high / (2.0 * np.pi) <= 320.0


def test_a_clipped_axis_is_told_and_its_speeds_are_left_out(run: VirtualRun) -> None:
    whole = reduced_of(run)
    limit = 0.7 * float(np.abs(run.shaken.values[:, 0]).max())
    clipped = shaken_run(replace(METER, range=limit))
    reduced = reduced_of(clipped)
    (told,) = [finding for finding in reduced.findings if finding.code == "vibration-clipped"]
    assert told.count is not None
    assert told.count > 20
    assert reduced.curves["vibration"].high < whole.curves["vibration"].high
    assert "vibration-incomplete" in evaluate_figure(reduced, "vibration", "thrust", THRUSTS, RunContext()).flags
    assert "vibration-clipped" not in codes(whole)


def test_loads_are_what_they_are_without_an_accelerometer(run: VirtualRun, reduced: ReducedRun) -> None:
    recording = recording_of(run)
    without = {name: each for name, each in recording.channels.items() if name != "acceleration"}
    alone = reduce_run(replace(recording, channels=without), job_of(run.plan))
    np.testing.assert_array_equal(alone.curves["thrust"].coefficients, reduced.curves["thrust"].coefficients)
    assert "vibration" not in alone.curves
    figure = evaluate_figure(alone, "vibration", "thrust", THRUSTS, RunContext())
    assert figure.absent[0] == "the run has no recording from an accelerometer"
