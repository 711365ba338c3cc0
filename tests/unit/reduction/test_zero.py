"""Zeros of load channels: taken out exactly where they are straight, doubted where they drift."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.rig import ChannelPlan, StatedUncertainty
from isothrust.reduction.zero import take_out_zero
from unit.reduction.channels import channel, clock, ramped

T = clock(16.0)
LOAD = 20.0 * ramped(T, 1.0) ** 2
SPELLS = [(0.0, 1.95), (13.0, 15.9)]
PLAN = ChannelPlan("thrust")


def test_a_linear_drift_is_removed_exactly() -> None:
    freed, zero, findings = take_out_zero(channel("thrust", T, LOAD + 0.4 + 0.02 * T), SPELLS, PLAN)
    between = (T > 1.0) & (T < 14.4)
    assert np.allclose(freed.values[between], LOAD[between], atol=1e-9)
    assert zero.before == pytest.approx(0.4 + 0.02 * 0.975, abs=1e-4)
    assert zero.after == pytest.approx(0.4 + 0.02 * 14.45, abs=1e-4)
    assert [f.code for f in findings] == ["zero-drift"]


def test_drift_over_the_root_of_twelve_stays_in_the_uncertainty_with_the_stated_fixed_part() -> None:
    plan = replace(PLAN, uncertainty=StatedUncertainty(0.003, 0.05))
    _, zero, _ = take_out_zero(channel("thrust", T, LOAD + 0.1 * np.clip((T - 2.0) / 10.0, 0.0, 1.0)), SPELLS, plan)
    assert zero.uncertainty == pytest.approx(np.hypot(0.1 / np.sqrt(12.0), 0.05), rel=1e-3)


def test_the_mean_of_a_noisy_zero_is_as_good_as_its_stated_uncertainty() -> None:
    z = []
    for seed in range(60):
        noise = np.random.default_rng(seed).standard_normal(T.size)
        freed, zero, _ = take_out_zero(channel("thrust", T, LOAD + 0.05 * noise), SPELLS, PLAN)
        assert zero.scatter == pytest.approx(0.05, rel=0.1)
        middle = (T > 6.0) & (T < 7.0)
        z.append(float(np.mean((freed.values - LOAD - 0.05 * noise)[middle])) / zero.uncertainty)
    assert 0.5 < np.sqrt(np.mean(np.square(z))) < 1.1


def test_correlated_noise_widens_the_zero() -> None:
    random = np.random.default_rng(2)
    white = random.standard_normal(T.size)
    slow = np.convolve(random.standard_normal(T.size + 99), np.ones(100), mode="valid") / 10.0
    quick, late = (take_out_zero(channel("thrust", T, 0.05 * n), SPELLS, PLAN)[1] for n in (white, slow))
    assert late.uncertainty > 4.0 * quick.uncertainty


def test_friction_of_a_rotor_that_still_creeps_does_not_count() -> None:
    random = np.random.default_rng(3)
    torque = 0.01 + 1e-4 * random.standard_normal(T.size)
    creeping = (T >= 13.0) & (T < 13.8)  # the cell reads the bearing's drag until the rotor stands
    torque[creeping] -= 2.4e-3
    _, zero, _ = take_out_zero(channel("torque", T, torque), SPELLS, PLAN)
    assert zero.after == pytest.approx(0.01, abs=3e-5)


def test_one_spell_gives_one_level_and_says_on_which_side() -> None:
    for spells, word in (([SPELLS[0]], "before"), ([SPELLS[1]], "after")):
        freed, zero, (finding,) = take_out_zero(channel("thrust", T, LOAD + 0.3), spells, PLAN)
        assert finding.code == "zero-one-sided"
        assert word in finding.message
        assert zero.after is None
        assert np.allclose(freed.values, LOAD, atol=1e-9)


def test_several_rests_within_a_run_make_a_broken_line() -> None:
    zero_line = np.interp(T, [0.5, 7.0, 15.0], [0.1, 0.5, 0.2])
    spells = [(0.0, 1.0), (6.5, 7.5), (14.5, 15.5)]
    freed, _, _ = take_out_zero(channel("thrust", T, zero_line), spells, PLAN)
    inside = (T > 1.0) & (T < 14.5) & (np.abs(T - 7.0) > 0.6)
    assert np.abs(freed.values[inside]).max() < 0.03


def test_without_a_rest_the_stated_zero_is_used_and_named() -> None:
    freed, zero, (finding,) = take_out_zero(channel("thrust", T, LOAD + 0.7), [], replace(PLAN, zero=0.7))
    assert finding.code == "zero-stated"
    assert np.allclose(freed.values, LOAD)
    assert zero.before == 0.7


def test_without_a_rest_and_a_stated_zero_the_readings_stay_and_a_warning_says_so() -> None:
    given = channel("thrust", T, LOAD + 0.7)
    freed, zero, (finding,) = take_out_zero(given, [], None)
    assert (finding.code, finding.severity) == ("zero-missing", "warning")
    assert np.array_equal(freed.values, given.values)
    assert zero.before is None


def test_a_spell_of_two_samples_is_none() -> None:
    slow = clock(16.0, 1.0)
    _, zero, findings = take_out_zero(channel("thrust", slow, slow), [(0.0, 1.2), (13.0, 15.9)], PLAN)
    assert zero.before_window == (13.0, 15.9)
    assert [f.code for f in findings] == ["zero-one-sided"]


@pytest.mark.parametrize(("drift", "severity"), [(0.01, None), (0.08, "note"), (0.5, "warning")])
def test_drift_is_named_from_a_fifth_of_a_per_cent_and_warned_of_from_half(drift: float, severity: str | None) -> None:
    noisy = LOAD + drift * T / 14.0 + 1e-3 * np.random.default_rng(1).standard_normal(T.size)
    findings = take_out_zero(channel("thrust", T, noisy), SPELLS, PLAN)[2]
    assert [f.severity for f in findings if f.code == "zero-drift"] == ([] if severity is None else [severity])


def test_drift_of_a_load_that_reads_negative_is_a_share_of_its_greatest_magnitude() -> None:
    drifting = LOAD + 0.08 * T / 14.0
    (up,) = take_out_zero(channel("torque", T, drifting), SPELLS, PLAN)[2]
    (down,) = take_out_zero(channel("torque", T, -drifting), SPELLS, PLAN)[2]
    assert (down.severity, down.message, down.effect) == (up.severity, up.message, up.effect)
    assert up.severity == "note"


def test_a_quantised_zero_keeps_its_digits() -> None:
    random = np.random.default_rng(4)
    reading = np.round((0.1 + 0.004 * random.standard_normal(T.size)) / 0.01) * 0.01
    _, zero, _ = take_out_zero(channel("thrust", T, reading, 0.01), SPELLS, PLAN)
    assert zero.before == pytest.approx(0.1, abs=5e-4)
