"""What rests tell of a load cell: a touch, creep, a floor; and what they must not be taken for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.checks.force.blocks import block_means
from isothrust.reduction.checks.force.creep import check_creep
from isothrust.reduction.checks.force.floor import check_floor
from isothrust.reduction.checks.force.touched import check_touched
from unit.reduction.bench import changed, recorded, without
from unit.reduction.channels import channel, clock, ramped
from unit.reduction.examined import evidence_of

T = clock(16.0)
TOP = 20.0
LOAD = TOP * ramped(T, 1.0) ** 2
SPEED = channel("speed", T, 1500.0 * ramped(T, 1.0))
RESTS = [(0.0, 1.95), (12.0, 15.9)]


def noise(seed: int, sd: float = 0.01) -> np.ndarray:
    return sd * np.random.default_rng(seed).standard_normal(T.size)


def pushed(size: float, start: float, length: float) -> Channel:
    hump = size * np.clip(np.minimum(T - start, start + length - T) / 0.08, 0.0, 1.0)
    return channel("thrust", T, LOAD + hump + noise(1))


def test_block_means_hold_whole_blocks_and_their_width() -> None:
    blocks = block_means(channel("thrust", T, T), 1.0, 2.0, 0.1)
    assert blocks is not None
    assert blocks.each == 100
    assert blocks.width == pytest.approx(0.1)
    assert np.allclose(blocks.means, blocks.time)
    assert blocks.time[0] == pytest.approx(1.0495)


def test_a_log_slower_than_the_blocks_gives_its_samples_and_one_sample_gives_none() -> None:
    slow = clock(16.0, 5.0)
    blocks = block_means(channel("thrust", slow, slow), 1.0, 2.0, 0.05)
    assert blocks is not None
    assert blocks.means.tolist() == pytest.approx([1.0, 1.2, 1.4, 1.6, 1.8, 2.0])
    assert block_means(channel("thrust", slow, slow), 1.05, 1.25, 0.05) is None


@pytest.mark.parametrize("size", [0.1, -0.1, 5.0])
@pytest.mark.parametrize("start", [0.3, 13.0])
def test_a_push_at_rest_is_told_with_its_size_and_span(size: float, start: float) -> None:
    (finding,) = check_touched(pushed(size, start, 0.6), RESTS)
    assert (finding.code, finding.severity) == ("touched", "warning")
    assert finding.start == pytest.approx(start, abs=0.15)
    assert finding.end == pytest.approx(start + 0.6, abs=0.15)
    gf = float(finding.message.split("jumps by ")[1].split(" gf")[0])
    assert gf == pytest.approx(abs(size) / 0.00980665, rel=0.2)


def test_noise_a_push_under_power_and_a_push_too_small_to_matter_are_no_touch() -> None:
    assert check_touched(channel("thrust", T, LOAD + noise(2, 0.05)), RESTS) == []
    assert check_touched(pushed(1.0, 6.0, 0.5), RESTS) == []
    assert check_touched(pushed(0.02, 0.5, 0.6), RESTS) == []
    assert check_touched(pushed(1.0, 0.5, 0.6), []) == []


def test_a_slow_change_of_the_zero_is_no_touch() -> None:
    crept = 0.3 * np.exp(-np.maximum(T - 10.3, 0.0) / 4.0)
    assert check_touched(channel("thrust", T, LOAD + crept + noise(3)), RESTS) == []


def told_of_creep(change: np.ndarray | float, *, names: tuple[str, ...] = ("thrust",)) -> list[Finding]:
    recording, job = recorded("ramp")
    for name in names:
        recording = changed(recording, name, lambda _, values: values + change)
    return check_creep(evidence_of(recording, job))


def ramp_time() -> np.ndarray:
    return recorded("ramp")[0].channels["thrust"].time


def test_a_zero_that_returns_slowly_after_the_run_is_told_with_its_rate() -> None:
    crept = 0.8 * np.exp(-np.maximum(ramp_time() - 12.3, 0.0) / 2.0) * (ramp_time() > 2.0)
    (finding,) = told_of_creep(crept)
    assert (finding.code, finding.channel, finding.severity) == ("zero-creep", "thrust", "warning")
    assert finding.start is not None
    assert finding.start > 12.3
    rate = float(finding.message.split("falls by ")[1].split(" gf")[0]) * 0.00980665
    middle = 0.5 * (finding.start + (finding.end or 0.0))
    assert rate == pytest.approx(0.4 * np.exp(-(middle - 12.3) / 2.0), rel=0.25)  # derivative of the exponential


def test_a_zero_that_warms_up_before_the_run_is_told_there() -> None:
    (finding,) = told_of_creep(-0.2 * np.exp(-ramp_time() / 1.5))
    assert "before the run" in finding.message
    assert finding.start == pytest.approx(0.0, abs=0.1)


def test_good_runs_steady_drift_and_a_zero_that_jumps_in_mid_run_are_no_creep() -> None:
    assert told_of_creep(0.0) == []
    assert told_of_creep(0.02 * ramp_time()) == []
    assert told_of_creep(0.6 * (ramp_time() > 7.0)) == []


def test_without_a_tachometer_nobody_knows_that_a_rest_is_one() -> None:
    recording, job = recorded("ramp")
    crept = 0.8 * np.exp(-np.maximum(ramp_time() - 12.3, 0.0) / 2.0)
    blind = without(changed(recording, "thrust", lambda _, values: values + crept), "speed", "torque")
    assert check_creep(evidence_of(blind, job)) == []


def test_a_zero_below_the_range_is_told_where_the_rotor_turns() -> None:
    reading = np.maximum(LOAD + noise(4) - 0.3, 0.0)
    (finding,) = check_floor(channel("thrust", T, reading), SPEED, RESTS)
    assert (finding.code, finding.channel) == ("saturated", "thrust")
    assert "least reading" in finding.message
    assert finding.count is not None
    # thrust of 0.3 N needs 12 % of the top speed: half a second to a second of the ramp stands at the floor
    assert 500 < finding.count < 1500


def test_noise_cut_off_at_rest_is_told_without_a_tachometer() -> None:
    reading = np.round(np.maximum(LOAD + noise(5, 0.03), 0.0) / 0.01) * 0.01
    (finding,) = check_floor(channel("thrust", T, reading), None, RESTS)
    assert "noise goes above it only" in finding.message


def test_a_coarse_zero_and_a_noisy_one_are_no_floor() -> None:
    coarse = np.round((LOAD + noise(6, 0.004)) / 0.02) * 0.02
    fine = np.round((LOAD + noise(7, 0.03)) / 0.01) * 0.01
    for values in (coarse, fine, LOAD):
        assert check_floor(channel("thrust", T, values), SPEED, RESTS) == []


def test_torque_of_a_coasting_rotor_is_no_floor() -> None:
    """A rotor that coasts for two seconds asks no torque, and a coarse cell then reads its least."""
    coasting = replace(SPEED, values=np.where(T < 10.3, SPEED.values, 1500.0 * np.clip((12.3 - T) / 2.0, 0.0, 1.0)))
    coarse = np.round(0.2 * ramped(T, 1.0) ** 2 / 0.005) * 0.005
    assert check_floor(channel("torque", T, coarse), coasting, RESTS) == []
