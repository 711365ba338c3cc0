"""Dead and stuck channels, ceilings, throttle range, power balance, merit, Reynolds referral, bridges."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.checks.air.reynolds import check_reynolds
from isothrust.reduction.checks.bridge import bridged
from isothrust.reduction.checks.channels.ceiling import check_ceiling
from isothrust.reduction.checks.channels.dead import check_dead, check_stuck
from isothrust.reduction.checks.physics.energy import check_merit, check_power
from isothrust.reduction.checks.throttle.command import check_command
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)
RAMP = ramped(T, 1.0)


def test_a_bridge_is_a_straight_line_and_keeps_the_clock() -> None:
    keep = np.ones(6, dtype=bool)
    keep[[2, 3]] = False
    out = bridged(channel("thrust", np.array([0.0, 1, 2, 4, 5, 6]), np.array([0.0, 1, 99, 99, 5, 6])), keep)
    assert out.values.tolist() == [0.0, 1.0, 2.0, 4.0, 5.0, 6.0]


def test_a_channel_of_zeros_is_dead_and_one_reading_revives_it() -> None:
    values = np.zeros(100)
    (finding,) = check_dead(channel("thrust", T[:100], values))
    assert (finding.code, finding.count) == ("channel-dead", 100)
    values[50] = 1e-9
    assert check_dead(channel("thrust", T[:100], values)) == []


def test_what_never_passes_what_any_sensor_reads_is_dead() -> None:
    hum = 0.4 * np.sin(T)
    assert [f.code for f in check_dead(channel("voltage", T, hum), least=1.0)] == ["channel-dead"]
    assert check_dead(channel("voltage", T, hum), least=0.1) == []


def test_a_load_that_reads_the_same_with_the_motor_off_and_on_is_stuck() -> None:
    still = channel("torque", T, np.full(T.size, 0.31))
    assert [f.code for f in check_stuck(still, [(0.0, 1.9)])] == ["channel-dead"]
    assert check_stuck(still, []) == []  # a hold alone may well be steady
    assert check_stuck(channel("torque", T, 0.31 + 1e-6 * RAMP), [(0.0, 1.9)]) == []


@pytest.mark.parametrize("top", [0.8, 0.95])
def test_a_ceiling_is_found_and_counted(top: float) -> None:
    random = np.random.default_rng(1)
    reading = np.round((20.0 * RAMP**2 + 0.05 * random.standard_normal(T.size)) / 0.01) * 0.01
    clipped = np.minimum(reading, 20.0 * top)
    (finding,) = check_ceiling(channel("thrust", T, clipped))
    assert finding.code == "saturated"
    assert finding.count == np.count_nonzero(clipped == clipped.max())


def test_a_plateau_with_noise_and_a_constant_are_no_ceiling() -> None:
    random = np.random.default_rng(2)
    reading = np.round((20.0 * RAMP + 0.05 * random.standard_normal(T.size)) / 0.01) * 0.01
    assert check_ceiling(channel("thrust", T, reading)) == []
    assert check_ceiling(channel("voltage", T, np.full(T.size, 24.0))) == []
    assert check_ceiling(channel("thrust", T[:20], RAMP[:20])) == []


def test_a_throttle_within_its_range_is_passed_on() -> None:
    given = channel("throttle", T, RAMP)
    assert check_command(given) == (given, [])
    slightly_off = channel("throttle", T, 1.1 * RAMP - 0.02)
    assert check_command(slightly_off) == (slightly_off, [])


def test_single_wild_readings_of_the_throttle_are_bridged() -> None:
    spoilt = RAMP.copy()
    spoilt[[3000, 5000]] = [1e300, -40.0]
    cleaned, (finding,) = check_command(channel("throttle", T, spoilt))
    assert finding.count == 2
    assert cleaned is not None
    assert np.allclose(cleaned.values, RAMP, atol=1e-3)


@pytest.mark.parametrize("values", [100.0 * RAMP, 1000.0 + 1000.0 * RAMP, -RAMP])
def test_a_throttle_in_another_unit_is_left_out(values: np.ndarray) -> None:
    cleaned, (finding,) = check_command(channel("throttle", T, values))
    assert cleaned is None
    assert finding.code == "throttle-out-of-range"


def test_more_power_out_than_in_is_found_with_both_figures() -> None:
    assert check_power(500.0, 700.0) == []
    assert check_power(705.0, 700.0) == []  # within what scales are worth
    (finding,) = check_power(900.0, 700.0)
    assert finding.code == "power-balance"
    assert "900 W" in finding.message
    assert "700 W" in finding.message
    assert [f.code for f in check_power(500.0, -700.0)] == ["power-balance"]


def test_more_thrust_than_the_ideal_disc_is_found() -> None:
    # CHECKS: ideal induced power of 1 kgf on a 10 inch disc in 1.225 kg/m3 is 87.16 W
    assert check_merit(9.80665, 130.0, 1.225, 0.254) == []
    (finding,) = check_merit(9.80665, 60.0, 1.225, 0.254)
    assert finding.code == "merit-above-one"
    assert "1.45" in finding.message
    assert check_merit(9.80665, 60.0, 1.225, None) == []
    assert check_merit(-1.0, 60.0, 1.225, 0.254) == []


def test_the_reynolds_referral_is_named_from_half_a_per_cent_on() -> None:
    assert check_reynolds("thrust", 0.0049, 0.07) == []
    (finding,) = check_reynolds("torque", -0.0062, 0.07)
    assert finding.severity == "note"
    assert "-0.62 %" in finding.message
    assert "+7.0 %" in finding.message
