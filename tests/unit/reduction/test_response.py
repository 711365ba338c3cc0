"""Figures of steps against the motion itself, and what is said where there are none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction import reduce_run
from isothrust.virtual import RunPlan, make_propeller, simulate, steps
from support.responded import true_responses
from support.simulated import job_of, recording_of

SEED = 11
NAMES = {
    "spin-up-rate": "rate",
    "spin-down-rate": "rate-down",
    "rise-time": "across",
    "fall-time": "across-down",
    "thrust-rise-rate": "thrust-rate",
}
TACHOMETER = 1e-3
"""Pure delay of the simulated tachometer [s]; its window is not a delay but is allowed for."""


def plan(**changed: object) -> RunPlan:
    six = make_propeller("six", diameter=0.152, pitch=0.1, blades=3, ct=0.14, cp=0.07, inertia=9e-6)
    return replace(RunPlan("s", six, schedule=steps()), **changed)  # type: ignore[arg-type]


@cache
def simulated() -> tuple[Recording, RunJob]:
    (run,) = simulate([plan()], SEED)
    return recording_of(run), job_of(run.plan)


@cache
def truth() -> dict[str, float]:
    return dict(true_responses([plan()], SEED)[0])


def thinned(recording: Recording, every: int) -> Recording:
    channels = {name: Channel(name, one.time[::every], one.values[::every]) for name, one in recording.channels.items()}
    return replace(recording, channels=channels)


@cache
def at(rate: int) -> ReducedRun:
    recording, job = simulated()
    return reduce_run(thinned(recording, 1000 // rate), job)


def changed(change: Callable[[dict[str, np.ndarray]], None]) -> ReducedRun:
    """Reduce the run after a change to its columns."""
    recording, job = simulated()
    values = {name: one.values.copy() for name, one in recording.channels.items()}
    change(values)
    channels = {
        name: Channel(name, recording.channels[name].time, column) for name, column in values.items() if name in values
    }
    return reduce_run(replace(recording, channels=channels), job)


def figure(run: ReducedRun, name: str) -> Figure:
    return next(one for one in run.figures if one.measurand == name)


def value(run: ReducedRun, name: str) -> float:
    found = figure(run, name).value
    assert found is not None, figure(run, name).absent
    return found


@pytest.mark.parametrize("rate", [1000, 500, 200])
def test_rates_are_within_two_per_cent_at_200_hz_and_above(rate: int) -> None:
    for name, true in NAMES.items():
        assert value(at(rate), name) == pytest.approx(truth()[true], rel=0.02), name


@pytest.mark.parametrize("rate", [100, 50])
def test_at_slow_rates_a_model_of_the_step_finds_them_and_says_how_well(rate: int) -> None:
    for name, true in NAMES.items():
        found = figure(at(rate), name)
        assert found.value is not None
        u = float(np.sqrt(sum(line.contribution**2 for line in found.budget)))
        assert abs(found.value - truth()[true]) < 3.0 * u, name
        assert u < 0.03 * found.value
        assert "fit of the step" in {line.source for line in found.budget}


@pytest.mark.parametrize("rate", [1000, 100])
def test_times_from_the_command_hold_what_the_tachometer_is_late_by(rate: int) -> None:
    for name, true in (("response-time", "response"), ("dead-time", "dead"), ("settling-time", "settling")):
        found = figure(at(rate), name)
        assert found.value == pytest.approx(truth()[true] + TACHOMETER, abs=0.002 + 0.5 / rate)
        assert "sensor-delay-inside" in found.flags


def test_a_log_of_10_hz_gives_no_times_and_says_why() -> None:
    run = at(10)
    for name in NAMES:
        assert figure(run, name).value is None
        assert "readings are too far apart" in (figure(run, name).absent or "")
    assert "steps-too-coarse" in {finding.code for finding in run.findings}


def test_every_step_is_kept_with_what_became_of_it() -> None:
    response = at(1000).response
    assert response is not None
    assert [step.direction for step in response.steps] == ["up", "down"] * 7
    assert [step.used for step in response.steps] == [True] * 13 + [False]
    assert response.steps[-1].why == "it ends with the motor off: a coast"
    up, down = response.kinds[:2]
    assert (up.count, up.used, up.method) == (7, 7, "samples")
    assert (down.from_throttle, down.to_throttle) == pytest.approx((0.5, 0.1))
    # the mean course passes 10 and 90 % as far apart as the steps do
    t10, t90 = np.interp([0.1, 0.9], up.share[up.time < 0.2], up.time[up.time < 0.2])
    assert t90 - t10 == pytest.approx(truth()["across"], rel=0.03)


def test_the_controller_is_seen_to_brake_and_inertias_agree() -> None:
    response = at(1000).response
    assert response is not None
    assert response.falls == "braking"
    assert set(response.inertias) == {"steps up", "steps down", "coast"}
    for name, inertia in response.inertias.items():
        assert inertia.value == pytest.approx(plan().inertia, rel=0.03), name
    assert response.friction is not None
    # the coast is read between 0.9 and 0.4 of the speed at the cut
    speed = 0.65 * response.kinds[0].to_level
    assert response.friction.value == pytest.approx(float(plan().drive.friction_torque(np.array(speed))), abs=5e-4)


def test_a_controller_that_lets_the_rotor_run_out_is_seen_to_coast() -> None:
    drive = replace(plan().drive, brakes=False)
    (run,) = simulate([plan(drive=drive, schedule=steps(stay=1.6))], SEED)
    response = reduce_run(recording_of(run), job_of(run.plan)).response
    assert response is not None
    assert response.falls == "coasting", response.falls_because


def test_without_throttle_the_steps_are_found_in_the_speed() -> None:
    run = changed(lambda values: values.pop("throttle"))
    for name in ("spin-up-rate", "spin-down-rate", "rise-time", "thrust-rise-rate"):
        assert value(run, name) == pytest.approx(truth()[NAMES[name]], rel=0.02), name
    assert figure(run, "dead-time").absent == "the log has no throttle: nothing says when the command came"


def test_without_speed_thrust_is_followed_and_says_what_it_holds() -> None:
    run = changed(lambda values: values.pop("speed"))
    rise = figure(run, "thrust-rise-rate")
    assert rise.value is not None
    assert "cell-filter-inside" in rise.flags
    assert 0.5 * truth()["thrust-rate"] < rise.value < 1.02 * truth()["thrust-rate"]
    assert figure(run, "spin-up-rate").value is None


def test_a_repeat_that_stands_apart_is_left_out_and_told() -> None:
    def slow_one(values: dict[str, np.ndarray]) -> None:
        start = at(1000).response.steps[4].start  # type: ignore[union-attr]
        time = simulated()[0].channels["speed"].time
        inside = (time > start) & (time < start + 0.5)
        since = time[inside] - start
        values["speed"][inside] = np.interp(0.7 * since, since, values["speed"][inside])

    run = changed(slow_one)
    assert value(run, "spin-up-rate") == pytest.approx(truth()["rate"], rel=0.02)
    assert run.response is not None
    assert not run.response.steps[4].used
    assert "stands apart" in run.response.steps[4].why
    finding = next(finding for finding in run.findings if finding.code == "steps-left-out")
    assert finding.count == 1


def test_a_throttle_that_only_ramps_makes_no_steps() -> None:
    def ramp(values: dict[str, np.ndarray]) -> None:
        time = simulated()[0].channels["throttle"].time
        values["throttle"] = np.interp(time, [0.0, 2.0, 12.0, 14.0], [0.0, 0.0, 0.5, 0.0])

    run = changed(ramp)
    assert "no-steps" in {finding.code for finding in run.findings}
    assert "makes no step" in (figure(run, "spin-up-rate").absent or "")


def test_steps_that_never_settle_give_no_rate() -> None:
    heavy = replace(plan().propeller, inertia=1.5e-4)
    (run,) = simulate([plan(propeller=heavy, schedule=steps(stay=1.2, repeats=4))], SEED)
    reduced = reduce_run(recording_of(run), job_of(run.plan))
    assert figure(reduced, "spin-up-rate").value is None
    assert "over before it has settled" in (figure(reduced, "spin-up-rate").absent or "")


def test_one_step_alone_says_that_nothing_repeats_it() -> None:
    alone = plan(schedule=steps(repeats=0))
    (run,) = simulate([alone], SEED)
    rise = figure(reduce_run(recording_of(run), job_of(run.plan)), "spin-up-rate")
    assert rise.value == pytest.approx(true_responses([alone], SEED)[0]["rate"], rel=0.02)
    assert "one-step-only" in rise.flags


def test_a_start_from_rest_is_no_step() -> None:
    (run,) = simulate([plan(schedule=steps(low=0.0, high=0.4))], SEED)
    reduced = reduce_run(recording_of(run), job_of(run.plan))
    assert "starts from rest" in (figure(reduced, "spin-up-rate").absent or "")
    assert "motor off" in (figure(reduced, "spin-down-rate").absent or "")


def test_at_equal_thrust_the_time_is_that_of_the_motors_own_equation() -> None:
    job = replace(simulated()[1], response_thrust=6.0)
    found = figure(reduce_run(simulated()[0], job), "thrust-step-time")
    # The motor's equation by itself: duty jumps to what holds three quarters of 6 N, from where a quarter stood.
    run = simulate([plan()], SEED)[0]
    truth_of, drive = run.truth.mounting, run.plan.drive
    slow, fast = (float(truth_of.speed_at_thrust(share * 6.0)) for share in (0.25, 0.75))
    state = drive.steady_state(np.array(fast), truth_of.torque(fast))
    kt, duty = drive.torque_constant, float(state.duty)
    resistance = drive.resistance + duty**2 * drive.source_resistance
    step, omega, time, passed = 1e-5, slow, 0.0, []
    while omega < 0.999 * fast:
        current = float(state.motor_current) + kt * (fast - omega) / resistance
        spare = kt * current - float(drive.friction_torque(np.array(omega))) - float(truth_of.torque(omega))
        omega, time = omega + step * spare / run.truth.inertia, time + step
        passed.append((time, (float(truth_of.thrust(omega)) / 6.0 - 0.25) / 0.5))
    times, shares = np.array(passed).T
    true = float(np.interp(0.9, shares, times) - np.interp(0.1, shares, times))
    assert found.value == pytest.approx(true, rel=0.06)
    u = float(np.sqrt(sum(line.contribution**2 for line in found.budget)))
    assert abs(found.value - true) < 3.0 * u


def test_a_thrust_beyond_the_steps_gives_no_time_and_says_how_far_they_go() -> None:
    job = replace(simulated()[1], response_thrust=30.0)
    assert "the run's steps go from" in (figure(reduce_run(simulated()[0], job), "thrust-step-time").absent or "")
    assert "names no thrust" in (figure(at(1000), "thrust-step-time").absent or "")
