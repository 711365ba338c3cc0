"""Short spells in which a tachometer lost marks or counted too many."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.checks.speed.tachometer import check_tachometer
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)
CLEAN = ramped(T, 1500.0, end=12.0, stop=12.3) + 0.6 * np.random.default_rng(1).standard_normal(T.size)


def codes(values: np.ndarray) -> dict[str, int | None]:
    return {f.code: f.count for f in check_tachometer(channel("speed", T[: values.size], values))[1]}


@pytest.mark.parametrize(
    ("factor", "code"),
    [(0.0, "dropout"), (0.5, "half-count"), (2.0, "double-count"), (3.0, "jump"), (-1.0, "jump"), (1e6, "jump")],
)
@pytest.mark.parametrize("length", [1, 20, 250])
def test_a_short_impossible_spell_is_bridged_and_named(factor: float, code: str, length: int) -> None:
    spoilt = CLEAN.copy()
    spoilt[7000 : 7000 + length] *= factor
    cleaned, (finding,) = check_tachometer(channel("speed", T, spoilt))
    assert (finding.code, finding.count) == (f"tachometer-{code}", length)
    inside = cleaned.values[7000 : 7000 + length]
    assert np.abs(inside - ramped(T, 1500.0, end=12.0)[7000 : 7000 + length]).max() < 3.0
    assert np.array_equal(cleaned.values[:7000], CLEAN[:7000])


def test_several_kinds_are_counted_apart() -> None:
    spoilt = CLEAN.copy()
    spoilt[6000:6005] = 0.0
    spoilt[7000:7010] *= 2.0
    spoilt[8000:8020] *= 0.5
    spoilt[9000:9003] = 0.0
    expected = {"tachometer-dropout": 8, "tachometer-double-count": 10, "tachometer-half-count": 20}
    assert codes(spoilt) == expected


def test_the_start_from_rest_and_the_cut_are_untouched() -> None:
    assert codes(CLEAN) == {}
    blind = np.where(CLEAN < 25.0, 0.0, CLEAN)  # a tachometer sees nothing below some speed
    assert codes(blind) == {}


@pytest.mark.parametrize("period", [0.4, 0.7, 0.9])
def test_steps_of_throttle_are_what_a_rotor_can_do(period: float) -> None:
    level = np.where((T // period) % 2 > 0, 1200.0, 400.0)
    rise = 1.0 - np.exp(-np.arange(300) / 40.0)
    speed = np.convolve(level, np.diff(rise, prepend=0.0))[: T.size]
    assert codes(speed) == {}


def test_a_coast_is_untouched() -> None:
    assert codes(1400.0 / (1.0 + np.maximum(T - 2.0, 0.0) / 0.17)) == {}


def test_coarse_digits_and_heavy_noise_are_no_faults() -> None:
    random = np.random.default_rng(2)
    assert codes(np.round(CLEAN / 60.0) * 60.0) == {}
    assert codes(CLEAN * (1.0 + 0.03 * random.standard_normal(T.size))) == {}


def test_a_long_spell_is_left_to_the_eye() -> None:
    spoilt = CLEAN.copy()
    spoilt[7000:7600] *= 0.5
    assert "tachometer-half-count" not in codes(spoilt)


@pytest.mark.parametrize("values", [np.zeros(100), -CLEAN, np.ones(5), np.random.default_rng(3).standard_normal(5000)])
def test_nothing_sensible_passes_without_a_crash(values: np.ndarray) -> None:
    cleaned, _ = check_tachometer(channel("speed", T[: values.size], values))
    assert np.all(np.isfinite(cleaned.values))
