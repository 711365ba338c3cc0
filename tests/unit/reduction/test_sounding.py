"""Sound of whole runs against the simulator's truth."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isothrust.records.recording import Channel
from isothrust.records.reduced import ReducedRun
from isothrust.reduction import reduce_run
from isothrust.reduction.checks.sound.surroundings import check_background
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.virtual import Flutter, Microphone, calibrator_tone, make_propeller, room_alone
from support.heard import Case, drawn_case, heard_case

SHARES = np.array([0.3, 0.5, 0.7, 0.9])
CASES = [(kind, seed) for seed in (1, 2) for kind in ("ramp", "holds")]


@cache
def case(kind: str, seed: int, *, speed: bool = True) -> Case:
    return drawn_case(seed, kind=kind, speed=speed)


@cache
def reduced(kind: str, seed: int, *, speed: bool = True) -> ReducedRun:
    one = case(kind, seed, speed=speed)
    return reduce_run(one.recording, one.job)


def figure(run: ReducedRun, measurand: str, quantity: str, at: np.ndarray) -> np.ndarray:
    return evaluate_figure(run, measurand, quantity, at, RunContext(0.17)).values  # type: ignore[arg-type]


def codes(run: ReducedRun) -> set[str]:
    return {finding.code for finding in run.findings if finding.code.startswith(("sound", "calibrator", "sensitivity"))}


@pytest.mark.parametrize(("kind", "seed"), CASES)
def test_level_at_a_speed_is_true_to_three_tenths_of_a_decibel(kind: str, seed: int) -> None:
    one = case(kind, seed)
    at = np.sqrt(SHARES) * one.top
    for measurand, weighting in (("sound-level", "A"), ("c-weighted-level", "C")):
        truth = [one.truth.level(w, weighting) for w in at]
        assert np.abs(figure(reduced(kind, seed), measurand, "speed", at) - truth).max() < 0.3


@pytest.mark.parametrize(("kind", "seed"), CASES)
def test_blade_passing_is_true_to_a_decibel_without_a_tachometer(kind: str, seed: int) -> None:
    one, run = case(kind, seed, speed=False), reduced(kind, seed, speed=False)
    thrusts = SHARES * one.thrust(one.top)
    truth = [one.truth.passing_level(1, one.speed_at(each)) for each in thrusts]
    assert np.abs(figure(run, "blade-passing-level", "thrust", thrusts) - truth).max() < 1.0
    assert run.sound is not None
    assert run.sound.passing is not None
    assert run.sound.passing.origin == "sound"
    chosen = [each for each in run.sound.passing.candidates if each.chosen]
    assert len(chosen) == 1
    assert chosen[0].frequency == pytest.approx(one.propeller.blades * one.top / (2 * np.pi), rel=0.02)


def test_bands_of_the_record_are_true() -> None:
    one, run = case("ramp", 1), reduced("ramp", 1)
    assert run.sound is not None
    spectrum = run.sound.spectrum
    k = 16
    for place in (20, 24, 27):
        centre = float(spectrum.centres[place])
        # over a step of speed a tone may move from one band to the next: noise alone is looked at
        tones = np.array([order for order, _ in one.truth.orders]) * spectrum.x[k] / (2 * np.pi)
        if np.any((tones > 0.85 * centre) & (tones < 1.18 * centre)):
            continue
        truth = one.truth.band_level(centre * 10**-0.05, centre * 10**0.05, float(spectrum.x[k]))
        assert spectrum.bands[k, place] == pytest.approx(truth, abs=0.8)


def test_tone_to_noise_of_a_ramp_is_that_of_holds() -> None:
    ramp, holds = (reduced(kind, 2) for kind in ("ramp", "holds"))
    low = max(run.curves["tone-to-noise-ratio"].low for run in (ramp, holds))
    high = min(run.curves["tone-to-noise-ratio"].high for run in (ramp, holds))
    at = np.linspace(low, high, 7)[1:-1]
    for measurand in ("tone-to-noise-ratio", "prominence-ratio", "sharpness"):
        assert np.abs(figure(ramp, measurand, "speed", at) - figure(holds, measurand, "speed", at)).max() < 1.5
    assert {each.origin for each in ramp.sound.characters} == {"ramp"}  # type: ignore[union-attr]
    assert {each.origin for each in holds.sound.characters} == {"hold"}  # type: ignore[union-attr]


def test_a_clock_that_is_off_is_told_and_put_right() -> None:
    one = drawn_case(1, late=0.4)
    run = reduce_run(one.recording, one.job)
    assert "sound-clock-off" in codes(run)
    at = np.sqrt(SHARES) * one.top
    assert np.abs(figure(run, "sound-level", "speed", at) - [one.truth.level(w) for w in at]).max() < 0.3


@pytest.mark.parametrize(
    ("microphone", "code"),
    [
        (Microphone(full_scale=0.003), "sound-clipped"),
        (Microphone(kick=0.4), "sound-kicked"),
        (Microphone(pumping=20.0), "sound-gain-moved"),
        (Microphone(reflection=0.6, reflection_delay=2.4e-3), "sound-reflection"),
        (Microphone(background=75.0), "sound-near-background"),
    ],
)
def test_a_fault_of_the_recording_is_found(microphone: Microphone, code: str) -> None:
    one = heard_case(3, microphone=microphone)
    assert code in codes(reduce_run(one.recording, one.job))


@pytest.mark.parametrize(("kind", "seed"), CASES)
def test_a_good_recording_has_no_finding(kind: str, seed: int) -> None:
    assert codes(reduced(kind, seed)) == set()


def test_a_calibrator_puts_a_wrong_gain_right() -> None:
    microphone = Microphone(gain_error=0.5)
    one = heard_case(4, microphone=microphone)
    tone = calibrator_tone(microphone, 94.0, 5.0, np.random.default_rng(1))
    clock = np.arange(tone.values.size) / microphone.rate
    beside = {"calibrator": Channel("sound", clock, tone.pressure)}
    plan = replace(one.job.rig.channels["sound"], calibrator=94.0)
    rig = replace(one.job.rig, channels={**one.job.rig.channels, "sound": plan})
    run = reduce_run(replace(one.recording, beside=beside), replace(one.job, rig=rig))
    at = np.sqrt(SHARES) * one.top
    assert np.abs(figure(run, "sound-level", "speed", at) - [one.truth.level(w) for w in at]).max() < 0.3
    assert codes(run) == {"sensitivity-disagrees"}
    assert run.sound is not None
    assert run.sound.scale.by == "calibrator"


def test_a_calibrator_of_another_frequency_is_refused() -> None:
    one = heard_case(4)
    tone = calibrator_tone(Microphone(), 94.0, 5.0, np.random.default_rng(1), frequency=250.0)
    beside = {"calibrator": Channel("sound", np.arange(tone.values.size) / 48e3, tone.pressure)}
    plan = replace(one.job.rig.channels["sound"], calibrator=94.0)
    rig = replace(one.job.rig, channels={**one.job.rig.channels, "sound": plan})
    run = reduce_run(replace(one.recording, beside=beside), replace(one.job, rig=rig))
    assert codes(run) == {"calibrator-unusable"}


def test_a_recording_of_the_room_serves_as_background() -> None:
    microphone = Microphone(background=60.0)
    one = heard_case(5, microphone=microphone)
    room = room_alone(microphone, 5.0, np.random.default_rng(2))
    beside = {"background": Channel("sound", np.arange(room.values.size) / 48e3, room.pressure)}
    run = reduce_run(replace(one.recording, beside=beside), one.job)
    assert run.sound is not None
    assert "room" in run.sound.spectrum.background_from
    at = np.sqrt(SHARES) * one.top
    assert np.abs(figure(run, "sound-level", "speed", at) - [one.truth.level(w) for w in at]).max() < 0.3


def test_without_a_calibration_no_level_is_stated() -> None:
    one = heard_case(6)
    plan = replace(one.job.rig.channels["sound"], sensitivity=None)
    rig = replace(one.job.rig, channels={**one.job.rig.channels, "sound": plan})
    run = reduce_run(one.recording, replace(one.job, rig=rig))
    for measurand in ("sound-level", "blade-passing-level", "loudness", "sharpness"):
        series = evaluate_figure(run, measurand, "thrust", np.array([3.0]), RunContext(0.17))
        assert series.absent[0] is not None
        assert "not calibrated" in series.absent[0]
    assert np.isfinite(figure(run, "tone-to-noise-ratio", "thrust", np.array([3.0])))[0]


def test_a_microphone_in_a_slow_log_gives_no_level() -> None:
    one = heard_case(6)
    slow = Channel("sound", np.arange(0, 12, 0.001), np.random.default_rng(0).standard_normal(12000))
    channels = {**one.recording.channels, "sound": slow}
    run = reduce_run(replace(one.recording, channels=channels), one.job)
    assert "1000 Hz" in run.absent["sound-level"]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_rush_that_grows_faster_where_blades_flutter_is_told_with_its_onset(seed: int) -> None:
    quiet = make_propeller("quiet", diameter=0.15, pitch=0.1, blades=2, ct=0.11, cp=0.05)
    calm = drawn_case(seed, propeller=quiet)
    onset = 0.8 * calm.top
    flutters = replace(quiet, flutter=Flutter(onset=onset / (2 * np.pi)))
    one = drawn_case(seed, propeller=flutters)
    told = reduce_run(one.recording, one.job).sound.rise  # type: ignore[union-attr]
    assert told is not None
    assert told.onset == pytest.approx(onset, rel=0.05)
    assert reduce_run(calm.recording, calm.job).sound.rise.onset is None  # type: ignore[union-attr]


def test_a_recording_that_begins_under_power_leaves_the_room_unknown() -> None:
    (finding,) = check_background(np.zeros(40), known=False)
    assert (finding.code, finding.severity) == ("sound-background-unknown", "note")
    assert check_background(np.zeros(40), known=True) == []
