"""Speeds counted wrong for long, read in coarse steps, or rippling with the rotor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Recording
from isothrust.reduction.checks.speed.coarse import check_coarse
from isothrust.reduction.checks.speed.ripple import check_ripple
from isothrust.reduction.checks.speed.spell import check_spells
from unit.reduction.bench import changed, recorded
from unit.reduction.channels import channel, clock, ramped
from unit.reduction.examined import evidence_of

RPM = np.pi / 30.0
T = clock(14.0)
SPEED = ramped(T, 1500.0, end=12.0, stop=12.3)
RANDOM = np.random.default_rng(4)


def loads(speed: np.ndarray, time: np.ndarray = T, name: str = "thrust") -> dict[str, Channel]:
    true = ramped(time, 1500.0, end=12.0, stop=12.3)
    load = 5e-6 * true**2 * (1.0 + 0.03 * RANDOM.standard_normal(time.size)) + 0.01 * RANDOM.standard_normal(time.size)
    return {"speed": channel("speed", time, speed), name: channel(name, time, load)}


@pytest.mark.parametrize("name", ["thrust", "torque"])
@pytest.mark.parametrize(("factor", "code"), [(2.0, "tachometer-double-count"), (0.5, "tachometer-half-count")])
@pytest.mark.parametrize("span", [(5.0, 5.5), (6.0, 9.0), (10.0, 14.0), (0.0, 5.0)])
def test_a_long_spell_is_left_out(name: str, factor: float, code: str, span: tuple[float, float]) -> None:
    start, end = span
    wrong = np.logical_and(start <= T, end > T)
    kept, (finding,) = check_spells(loads(np.where(wrong, factor * SPEED, SPEED), name=name))
    assert finding.code == code
    assert kept is not None
    assert np.allclose(kept.values, np.interp(kept.time, T, SPEED), atol=30.0)  # what is left is true, or nearly still
    turning = (SPEED > 0.2 * 1500.0) & ~wrong
    assert kept.time.size >= np.count_nonzero(turning) - 100


@pytest.mark.parametrize("rate", [10.0, 100.0])
def test_slow_logs_show_it_too(rate: float) -> None:
    time = clock(14.0, rate)
    true = ramped(time, 1500.0, end=12.0, stop=12.3)
    _, (finding,) = check_spells(loads(np.where((time > 6.0) & (time < 8.0), 2.0 * true, true), time))
    assert finding.code == "tachometer-double-count"
    assert finding.start == pytest.approx(6.0, abs=0.2)
    assert finding.end == pytest.approx(8.0, abs=0.2)


def test_a_step_that_doubles_the_speed_is_none() -> None:
    level = np.where((T // 0.9) % 2 > 0, 1200.0, 600.0)
    rise = 1.0 - np.exp(-np.arange(300) / 12.0)
    speed = np.convolve(level, np.diff(rise, prepend=0.0))[: T.size]
    both = {"speed": channel("speed", T, speed), "thrust": channel("thrust", T, 5e-6 * speed**2)}
    assert check_spells(both) == (both["speed"], [])


def test_without_a_load_nobody_can_say() -> None:
    both = loads(np.where((T > 6.0) & (T < 8.0), 2.0 * SPEED, SPEED))
    assert check_spells({"speed": both["speed"]}) == (both["speed"], [])
    assert check_spells({}) == (None, [])


def coarse(kind: str, change: Callable[[np.ndarray], np.ndarray]) -> list[Finding]:
    recording, job = recorded(kind)
    return check_coarse(evidence_of(changed(recording, "speed", lambda _, w: change(w)), job))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_a_fine_speed_is_not_told_of(kind: str) -> None:
    assert coarse(kind, lambda w: w) == []


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds"])
def test_steps_of_a_gate_are_told_with_their_size(kind: str) -> None:
    (finding,) = coarse(kind, lambda w: np.floor(w / (240.0 * RPM)) * 240.0 * RPM)
    assert (finding.code, finding.severity, finding.channel) == ("speed-coarse", "warning", "speed")
    assert "steps of 240 rpm" in finding.message


def test_steps_of_a_timer_grow_with_the_square_of_speed_and_are_told_as_well() -> None:
    tick = 50e-6

    def timed(w: np.ndarray) -> np.ndarray:
        ticks = np.maximum(np.round(2.0 * np.pi / np.maximum(w, 1.0) / tick), 1.0)
        return np.where(w > 25.0, 2.0 * np.pi / (ticks * tick), 0.0)

    (finding,) = coarse("ramp", timed)
    assert finding.code == "speed-coarse"
    assert finding.severity == "warning"


def test_steps_of_a_tenth_of_a_per_cent_are_no_matter() -> None:
    assert coarse("ramp", lambda w: np.round(w / (10.0 * RPM)) * 10.0 * RPM) == []


def rippled(recording: Recording, order: float, share: float) -> Recording:
    speed = recording.channels["speed"]
    angle = np.cumsum(speed.values) * float(np.median(np.diff(speed.time)))
    return changed(recording, "speed", lambda _, w: w * (1.0 + share * np.sin(order * angle)))


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds"])
@pytest.mark.parametrize("order", [1.0, 2.0, 7.0])
def test_a_ripple_is_found_by_its_order(kind: str, order: float) -> None:
    recording, job = recorded(kind)
    (finding,) = check_ripple(evidence_of(rippled(recording, order, 0.01), job))
    assert finding.code == "speed-ripple"
    assert f"{order:g} times a revolution" in finding.message
    assert "by 1 %" in finding.message or "by 0.9" in finding.message


def test_in_a_slow_log_the_ripple_folds_and_its_speeds_are_named() -> None:
    recording, job = recorded("ramp")
    rippling = rippled(recording, 1.0, 0.01)
    thin = {n: replace(c, time=c.time[::10], values=c.values[::10]) for n, c in rippling.channels.items()}
    (finding,) = check_ripple(evidence_of(replace(rippling, channels=thin), job))
    assert finding.severity == "warning"
    assert "6000, 12000" in finding.message


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast"])
def test_noise_and_waves_of_fixed_pace_are_no_ripple(kind: str) -> None:
    recording, job = recorded(kind)
    assert check_ripple(evidence_of(recording, job)) == []
    random = np.random.default_rng(1)
    noisy = changed(recording, "speed", lambda _, w: w * (1.0 + 0.02 * random.standard_normal(w.size)))
    assert check_ripple(evidence_of(noisy, job)) == []
    humming = changed(recording, "speed", lambda t, w: w * (1.0 + 0.01 * np.sin(2.0 * np.pi * 50.0 * t)))
    assert check_ripple(evidence_of(humming, job)) == []


def test_speeds_that_were_chosen_on_a_grid_are_not_taken_for_coarse_readings() -> None:
    recording, job = recorded("holds")
    step = 900.0 * RPM

    def chosen(time: np.ndarray, speed: np.ndarray) -> np.ndarray:
        """Each hold at one exact speed, a whole number of steps."""
        hold = np.minimum(((time - 2.0) // 2.35).astype(int), 9)
        turning = (speed > 100.0) & (time > 2.0)
        return np.where(turning, step * (6 + np.maximum(hold, 0)), 0.0)

    assert check_coarse(evidence_of(changed(recording, "speed", chosen), job)) == []
