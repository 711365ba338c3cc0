"""Readings that stand still while the rotor does not."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.checks.channels.ceiling import check_ceiling
from isothrust.reduction.checks.channels.frozen import check_frozen
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)
LOAD = 20.0 * ramped(T, 1.0) ** 2 + 0.01 * np.random.default_rng(1).standard_normal(T.size)
SPEED = channel("speed", T, 1500.0 * ramped(T, 1.0))


def frozen(first: int, count: int) -> np.ndarray:
    values = LOAD.copy()
    values[first : first + count] = values[first]
    return values


@pytest.mark.parametrize("first", [4500, 7000, 9000])
def test_a_frozen_spell_is_left_out_and_its_first_reading_kept(first: int) -> None:
    given = channel("thrust", T, frozen(first, 400))
    moving, (finding,) = check_frozen(given, SPEED)
    assert (finding.code, finding.severity, finding.count) == ("channel-stuck", "warning", 399)
    assert finding.start == pytest.approx(T[first])
    assert finding.end == pytest.approx(T[first + 399])
    assert moving.time.size == T.size - 399
    assert T[first] in moving.time
    assert not np.any((moving.time > T[first]) & (moving.time <= T[first + 399]))


def test_a_good_load_is_passed_on() -> None:
    given = channel("thrust", T, LOAD)
    assert check_frozen(given, SPEED) == (given, [])


def test_a_still_reading_at_rest_or_on_a_plateau_is_no_fault() -> None:
    for first in (200, 10_050):
        assert check_frozen(channel("thrust", T, frozen(first, 240)), SPEED)[1] == []


def test_coarse_digits_that_stand_for_a_while_are_no_fault() -> None:
    coarse = np.round(20.0 * ramped(T, 1.0) ** 2)
    assert check_frozen(channel("thrust", T, coarse), SPEED)[1] == []


def test_the_converters_end_is_not_called_frozen() -> None:
    clipped = channel("thrust", T, np.minimum(LOAD, 12.0))
    assert check_frozen(clipped, SPEED)[1] == []
    assert [finding.code for finding in check_ceiling(clipped)] == ["saturated"]


def test_torque_may_stand_still_while_the_rotor_coasts_and_thrust_may_not() -> None:
    coast = 1500.0 * np.clip((13.0 - T) / 2.7, 0.0, 1.0)
    speed = channel("speed", T, np.where(T < 10.3, SPEED.values, coast))
    still = np.where(T < 10.3, LOAD, np.where(T < 12.8, 0.31, 0.0))
    still[-1] = -1.0  # so that what stands still is no end of the range
    assert check_frozen(channel("torque", T, still), speed)[1] == []
    assert [f.code for f in check_frozen(channel("thrust", T, still), speed)[1]] == ["channel-stuck"]


@pytest.mark.parametrize("rate", [10.0, 100.0, 2000.0])
def test_the_rate_of_the_log_does_not_matter(rate: float) -> None:
    t = clock(14.0, rate)
    load = 20.0 * ramped(t, 1.0) ** 2 + 0.01 * np.random.default_rng(2).standard_normal(t.size)
    speed = channel("speed", t, 1500.0 * ramped(t, 1.0))
    assert check_frozen(channel("thrust", t, load), speed)[1] == []
    spell = (t >= 6.0) & (t < 6.8)
    load[spell] = load[spell][0]
    assert [f.code for f in check_frozen(channel("thrust", t, load), speed)[1]] == ["channel-stuck"]


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_low_ceiling_is_found_where_most_of_a_run_of_holds_stands_at_it(share: float) -> None:
    levels = np.repeat([0.0, *np.linspace(0.2, 1.0, 9)], 1000)
    random = np.random.default_rng(3)
    reading = np.round((20.0 * levels + 0.3 * random.standard_normal(levels.size)) / 0.01) * 0.01
    clipped = channel("thrust", clock(10.0), np.minimum(reading, share * 20.0))
    (finding,) = check_ceiling(clipped)
    assert finding.count == np.count_nonzero(clipped.values == clipped.values.max())


def test_the_ceiling_of_a_load_that_reads_negative_is_below() -> None:
    (finding,) = check_ceiling(channel("torque", T, np.maximum(-LOAD, -15.0)))
    assert "-15 N m" in finding.message
    assert check_ceiling(channel("torque", T, -LOAD)) == []
