"""Hostile recordings: a reduced run that makes sense, or an error in the four-line form, never anything else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import IsothrustError, ReductionError
from isothrust.records.job import RunJob
from isothrust.records.recording import Recording
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.virtual import RunPlan, Schedule, VirtualRun, holds, simulate
from support.simulated import job_of, recording_of
from unit.reduction.bench import AIR, DRIVE, changed, curve, only_while, recorded, reduced, seven_inch, simulated
from unit.reduction.hostile import CHANNELS, ONE_CHANNEL, WHOLE_LOG, absurdities


def attempt(recording: Recording, job: RunJob) -> ReducedRun | IsothrustError:
    """Warnings are errors here, as everywhere in the tests."""
    try:
        run = reduce_run(recording, job)
    except IsothrustError as refusal:
        for problem in refusal.problems:
            assert problem.code
            assert problem.what
            assert problem.expected
            assert problem.fix
        return refusal
    assert list(absurdities(run)) == []
    return run


@pytest.mark.parametrize("kind", ["ramp", "holds"])
@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("spoilt", list(ONE_CHANNEL))
def test_one_channel(spoilt: str, channel: str, kind: str) -> None:
    recording, job = recorded(kind)
    attempt(ONE_CHANNEL[spoilt](recording, channel), job)


@pytest.mark.parametrize("kind", ["steps", "coast", "up-down"])
@pytest.mark.parametrize("channel", ["speed", "thrust", "torque"])
@pytest.mark.parametrize("spoilt", ["missing", "negative", "noisy", "at 10 Hz", "ends early", "with a gap", "constant"])
def test_one_channel_of_other_schedules(spoilt: str, channel: str, kind: str) -> None:
    recording, job = recorded(kind)
    attempt(ONE_CHANNEL[spoilt](recording, channel), job)


@pytest.mark.parametrize("kind", ["ramp", "holds", "steps", "coast", "up-down", "zero"])
@pytest.mark.parametrize("spoilt", list(WHOLE_LOG))
def test_the_whole_log(spoilt: str, kind: str) -> None:
    recording, job = recorded(kind)
    attempt(WHOLE_LOG[spoilt](recording), job)


def codes(outcome: ReducedRun | IsothrustError) -> set[str]:
    if isinstance(outcome, IsothrustError):
        return {problem.code for problem in outcome.problems}
    return {finding.code for finding in outcome.findings}


@pytest.mark.parametrize(
    ("channel", "spoilt", "code"),
    [
        ("thrust", "zero", "channel-dead"),
        ("thrust", "constant", "channel-dead"),
        ("thrust", "negative", "thrust-negative"),
        ("thrust", "in other units", "merit-above-one"),
        ("torque", "negative", "torque-turned"),
        ("torque", "constant", "channel-dead"),
        ("torque", "in other units", "power-balance"),
        ("current", "negative", "current-turned"),
        ("voltage", "negative", "power-balance"),
        ("speed", "constant", "tachometer-stuck"),
        ("speed", "negative", "tachometer-lost"),
        ("throttle", "constant", "throttle-still"),
        ("throttle", "in other units", "throttle-out-of-range"),
        ("throttle", "negative", "throttle-out-of-range"),
        ("thrust", "one enormous reading", "spikes"),
        ("thrust", "on one stamp", "clock-repeated"),
    ],
)
def test_what_is_wrong_is_named(channel: str, spoilt: str, code: str) -> None:
    recording, job = recorded("ramp")
    assert code in codes(attempt(ONE_CHANNEL[spoilt](recording, channel), job))


@pytest.mark.parametrize("channel", CHANNELS)
def test_single_wild_readings_leave_the_figures_where_they_are(channel: str) -> None:
    recording, job = recorded("ramp")
    random = np.random.default_rng(2)
    spikes = random.choice(recording.channels[channel].values.size, 12, replace=False)

    def spiked(_: np.ndarray, values: np.ndarray) -> np.ndarray:
        out = values.copy()
        out[spikes] += np.abs(values).max() * random.choice([-3.0, 2.0, 50.0], spikes.size)
        return out

    run = attempt(changed(recording, channel, spiked), job)
    assert isinstance(run, ReducedRun)
    x = np.array([0.4, 0.6, 0.8, 0.95]) * reduced("ramp").curves["thrust"].high
    for name in reduced("ramp").curves:
        assert np.allclose(curve(run, name, x), curve(reduced("ramp"), name, x), rtol=2e-3), name


def test_gaps_of_minutes_change_no_coefficient() -> None:
    recording, job = recorded("ramp")
    run = attempt(WHOLE_LOG["a gap of ten minutes"](recording), job)
    assert isinstance(run, ReducedRun)
    x = np.array([0.4, 0.6, 0.8, 0.95]) * reduced("ramp").curves["thrust"].high
    assert np.allclose(curve(run, "thrust", x), curve(reduced("ramp"), "thrust", x), rtol=3e-3)


def test_slow_channels_beside_fast_ones_give_the_same_coefficients() -> None:
    recording, job = recorded("ramp")
    run = attempt(WHOLE_LOG["mixed rates"](recording), job)
    assert isinstance(run, ReducedRun)
    x = np.array([0.4, 0.6, 0.8, 0.95]) * reduced("ramp").curves["thrust"].high
    for name in ("thrust", "torque"):
        assert np.allclose(curve(run, name, x), curve(reduced("ramp"), name, x), rtol=4e-3), name


def simulated_with(schedule: Schedule) -> VirtualRun:
    return simulate([RunPlan("odd", seven_inch(), drive=DRIVE, schedule=schedule, air=AIR)], 3)[0]


def test_holds_of_one_level_give_that_level() -> None:
    run = simulated_with(holds((0.6,), rest=1.0, stay=2.0, end=1.5))
    found = attempt(recording_of(run), job_of(run.plan))
    assert isinstance(found, ReducedRun)
    (point,) = found.holds
    assert point.speed is not None
    x = np.array([point.speed])
    truth = run.truth.mounting
    assert curve(found, "thrust", x)[0] * 1.225 * x[0] ** 2 == pytest.approx(float(truth.thrust(x[0])), rel=0.008)
    assert curve(found, "torque", x)[0] * 1.225 * x[0] ** 2 == pytest.approx(float(truth.torque(x[0])), rel=0.008)
    assert found.curves["thrust"].high / found.curves["thrust"].low < 1.02


def test_a_motor_that_brakes_instead_of_coasting_tells_its_inertia_all_the_same() -> None:
    corners = {0.0: 0.0, 1.0: 0.0, 9.0: 1.0, 9.3: 1.0, 9.301: 0.06, 10.5: 0.06, 10.501: 0.0, 12.5: 0.0}
    falls = Schedule("ramp", tuple(corners), tuple(corners.values()))
    run = simulated_with(falls)
    assert run.columns["current"].min() < -1.0
    found = attempt(recording_of(run), job_of(run.plan))
    assert isinstance(found, ReducedRun)
    assert found.inertia is not None
    assert found.inertia.value == pytest.approx(run.truth.inertia, rel=0.03)


@pytest.mark.parametrize(
    "lost", [("throttle",), ("throttle", "current"), ("voltage", "current"), ("torque", "thrust"), ("speed", "torque")]
)
def test_several_channels_missing_at_once(lost: tuple[str, ...]) -> None:
    recording, job = recorded("ramp")
    left = {n: c for n, c in recording.channels.items() if n not in lost}
    run = attempt(replace(recording, channels=left), job)
    assert isinstance(run, ReducedRun)
    assert run.curves


@pytest.mark.parametrize("cut", [5.0, 8.0, 11.0])
def test_a_ramp_cut_off_before_the_top_goes_no_further_than_it_measured(cut: float) -> None:
    recording, job = recorded("ramp")
    run = attempt(only_while(recording, 0.0, cut), job)
    assert isinstance(run, ReducedRun)
    reached = float(recording.channels["speed"].values[recording.channels["speed"].time < cut].max())
    assert run.curves["thrust"].high <= reached
    assert run.curves["thrust"].high == pytest.approx(reached, rel=0.01)
    peak = next(f for f in run.figures if f.measurand == "peak-thrust")
    day = simulated("ramp").plan.air
    truth = float(simulated("ramp").truth.mounting.thrust(reached, day))
    assert peak.value == pytest.approx(truth, rel=0.03)
    assert "peak-without-plateau" in peak.flags


def test_refusals_tell_the_next_step() -> None:
    recording, job = recorded("ramp")
    spoil: Callable[[Recording], Recording] = WHOLE_LOG["five rows"]
    with pytest.raises(ReductionError) as refused:
        reduce_run(spoil(recording), job)
    assert "no-steady-spell" in str(refused.value)
    assert "  fix:      " in str(refused.value)
