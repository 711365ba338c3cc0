"""Bin means: what is fitted must be the mean of what was read."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isothrust.records.recording import Channel
from isothrust.reduction.bins import Bins, make_bins
from unit.reduction.channels import channel, clock


def binned(*channels: Channel, leader: str = "thrust") -> Bins:
    return make_bins({c.quantity: c for c in channels}, leader=leader)


def test_the_mean_over_all_bins_is_the_mean_of_the_readings() -> None:
    t = clock(4.0)
    values = np.random.default_rng(1).standard_normal(t.size)
    bins = binned(channel("thrust", t, values))
    assert bins.width == pytest.approx(0.02)
    assert bins.time.size == 199
    assert np.mean(bins.values["thrust"]) == pytest.approx(np.mean(values[: 199 * 20]), rel=1e-9)


@pytest.mark.parametrize("rate", [200.0, 500.0, 1000.0, 1733.0, 8000.0])
def test_a_straight_line_is_read_at_the_centres_whatever_the_rate(rate: float) -> None:
    t = clock(3.0, rate)
    bins = binned(channel("thrust", t, 5.0 + 2.0 * t))
    off = np.abs(bins.values["thrust"] - (5.0 + 2.0 * bins.time))
    assert off.max() <= 2.0 * 0.5 / rate + 1e-12  # a bin holds one sample more or less


@given(st.integers(0, 2**31))
def test_any_clock_of_rising_stamps_keeps_bins_within_the_readings(seed: int) -> None:
    random = np.random.default_rng(seed)
    t = np.cumsum(random.exponential(2e-3, 600))
    values = random.standard_normal(600)
    means = binned(channel("thrust", t, values)).values["thrust"]
    known = means[np.isfinite(means)]
    assert known.size
    assert known.min() >= values.min() - 1e-9
    assert known.max() <= values.max() + 1e-9


def test_channels_of_one_log_share_bins_and_offsets_do_not_mix() -> None:
    t = clock(2.0)
    bins = binned(channel("thrust", t, t), channel("torque", t, 1e9 + t), channel("speed", t, -t))
    assert np.allclose(bins.values["torque"] - 1e9, bins.values["thrust"], atol=1e-5)
    assert np.allclose(bins.values["speed"], -bins.values["thrust"])


@pytest.mark.parametrize("rate", [10.0, 30.0])
def test_a_slow_channel_is_interpolated_onto_the_bins(rate: float) -> None:
    t, slow = clock(4.0), clock(4.0, rate)
    bins = binned(channel("thrust", t, t), channel("voltage", slow, 24.0 - slow))
    known = np.isfinite(bins.values["voltage"])
    assert known.mean() > 0.95
    assert np.allclose(bins.values["voltage"][known], 24.0 - bins.time[known])
    assert not known[-1]  # nothing is made up beyond its last sample


def test_a_slow_leader_is_its_own_bins() -> None:
    slow, fast = clock(30.0, 2.0), clock(30.0, 100.0)
    bins = binned(channel("thrust", slow, slow**2), channel("speed", fast, 3.0 * fast))
    assert np.array_equal(bins.time, slow)
    assert bins.width == pytest.approx(0.5)
    assert np.array_equal(bins.values["thrust"], slow**2)
    assert np.allclose(bins.values["speed"], 3.0 * slow)


def test_a_gap_in_a_fast_channel_is_a_gap_in_its_bins_only() -> None:
    t = clock(4.0)
    there = (t < 1.0) | (t >= 2.5)
    bins = binned(channel("thrust", t, t), channel("torque", t[there], t[there]))
    missing = np.isnan(bins.values["torque"])
    assert np.all(np.isfinite(bins.values["thrust"]))
    assert np.array_equal(missing, (bins.time > 1.0) & (bins.time < 2.49))


def test_a_slow_channel_is_not_interpolated_across_a_long_gap() -> None:
    t, slow = clock(10.0), clock(10.0, 10.0)
    there = (slow <= 3.0) | (slow >= 7.0)
    values = binned(channel("thrust", t, t), channel("voltage", slow[there], slow[there])).values["voltage"]
    centres = np.arange(values.size) * 0.02 + 0.0095
    assert np.all(np.isnan(values[(centres > 3.01) & (centres < 6.99)]))
    assert np.allclose(values[centres < 2.99], centres[centres < 2.99], atol=1e-9)


def test_what_has_several_axes_or_one_sample_gives_no_bins() -> None:
    t = clock(1.0)
    bins = binned(
        channel("thrust", t, t), channel("acceleration", t, np.ones((t.size, 3))), channel("current", t[:1], t[:1])
    )
    assert set(bins.values) == {"thrust"}
    assert bins.get("current") is None


def test_means_of_filtered_noise_have_the_variance_that_averaging_leaves() -> None:
    values = np.random.default_rng(2).standard_normal(40_000)
    means = binned(channel("thrust", clock(40.0), values)).values["thrust"]
    assert np.std(means) == pytest.approx(1.0 / np.sqrt(20.0), rel=0.05)
