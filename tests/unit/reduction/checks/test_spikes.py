"""Spikes are found; edges, steps, digits, noise and start-up are left alone."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.reduction.checks.channels.spikes import check_spikes
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)


def noisy_ramp(seed: int = 1, noise: float = 0.05) -> np.ndarray:
    random = np.random.default_rng(seed)
    clean = 20.0 * (ramped(T, 1.0)) ** 2
    return clean + noise * (0.3 + clean / 10.0) * random.standard_normal(T.size)


def spikes_in(values: np.ndarray, resolution: float | None = None) -> int:
    cleaned, findings = check_spikes(channel("thrust", T[: values.size], values, resolution))
    assert cleaned.time.size == values.size
    return findings[0].count or 0 if findings else 0


@pytest.mark.parametrize("size", [5.0, -5.0, 200.0, 1e6, 1e300])
def test_a_single_wild_reading_is_bridged_and_counted(size: float) -> None:
    values = noisy_ramp()
    spoilt = values.copy()
    spoilt[6000] += size
    cleaned, (finding,) = check_spikes(channel("thrust", T, spoilt))
    assert finding.count == 1
    assert finding.start == pytest.approx(6.0)
    assert cleaned.values[6000] == pytest.approx(0.5 * (values[5999] + values[6001]))
    assert np.array_equal(np.delete(cleaned.values, 6000), np.delete(values, 6000))


@pytest.mark.parametrize("length", [1, 2, 3])
def test_up_to_three_wild_readings_in_a_row_go(length: int) -> None:
    values = noisy_ramp()
    values[7000 : 7000 + length] += 30.0
    assert spikes_in(values) == length


def test_spikes_of_very_different_height_do_not_hide_each_other() -> None:
    values = noisy_ramp()
    places = [6010, 6030, 6050, 6070, 6090, 6110]
    for place, height in zip(places, [1e7, 4.0, 1e4, 6.0, 300.0, 5.0], strict=True):
        values[place] += height
    assert spikes_in(values) == len(places)


def test_fifty_spikes_spread_over_the_run_are_all_found() -> None:
    random = np.random.default_rng(4)
    values = noisy_ramp()
    places = np.sort(random.choice(np.arange(100, T.size - 100), 50, replace=False))
    values[places] += random.choice([-1.0, 1.0], 50) * random.uniform(10.0, 100.0, 50)
    assert spikes_in(values) == 50


@pytest.mark.parametrize("seed", range(4))
def test_gaussian_noise_that_grows_with_speed_has_no_spikes(seed: int) -> None:
    assert spikes_in(noisy_ramp(seed)) == 0


@pytest.mark.parametrize("noise", [0.5, 5.0])
def test_heavy_noise_has_no_spikes(noise: float) -> None:
    assert spikes_in(noisy_ramp(3, noise)) == 0


def test_edges_of_steps_are_no_spikes() -> None:
    random = np.random.default_rng(5)
    levels = np.where((T // 0.9) % 2 > 0, 12.0, 1.0)
    assert spikes_in(levels) == 0
    assert spikes_in(levels + 0.02 * random.standard_normal(T.size)) == 0


def test_the_drop_after_a_ramp_and_the_start_from_rest_are_no_spikes() -> None:
    assert spikes_in(20.0 * ramped(T, 1.0)) == 0
    quiet = np.where(T < 2.0, 0.0, 5.0 + 0.3 * np.sin(2 * np.pi * 180.0 * T))
    assert spikes_in(quiet) == 0


@pytest.mark.parametrize("step", [0.01, 0.5, 2.0])
def test_a_quantised_channel_has_no_spikes_where_its_digit_is_known(step: float) -> None:
    random = np.random.default_rng(6)
    values = np.round((noisy_ramp() + 0.02 * random.standard_normal(T.size)) / step) * step
    assert spikes_in(values, resolution=step) == 0


def test_ripple_of_the_rotor_is_no_spike() -> None:
    values = noisy_ramp() + 2.0 * np.sin(2 * np.pi * 233.0 * T) * ramped(T, 1.0)
    assert spikes_in(values) == 0


def test_a_pulse_of_ten_samples_is_no_spike() -> None:
    values = noisy_ramp()
    values[6000:6010] += 8.0
    assert spikes_in(values) == 0


def test_a_pulse_that_comes_at_once_and_dies_away_in_eight_samples_is_no_spike() -> None:
    tail = 30.0 * 0.75 ** np.arange(8)
    values = noisy_ramp()
    values[6000:6008] += tail
    assert spikes_in(values) == 0
    values[7000] += 30.0
    assert spikes_in(values) == 1


def test_a_last_digit_that_turns_over_and_back_is_no_spike() -> None:
    values = np.where(T < 7.0, 0.53, 31.0)
    values[[3000, 3001, 4000]] = 0.54
    assert spikes_in(values) == 0


@pytest.mark.parametrize("noise", [0.02, 0.3])
def test_noise_that_the_converters_end_cuts_off_leaves_no_spikes(noise: float) -> None:
    random = np.random.default_rng(10)
    values = 20.0 * ramped(T, 1.0) ** 2 + noise * random.standard_normal(T.size)
    assert spikes_in(np.minimum(values, 19.5)) == 0
    assert spikes_in(np.maximum(values, 0.5)) == 0
    lost = np.minimum(values, 19.0)
    lost[np.flatnonzero(lost == 19.0)[50]] = 1.9
    assert spikes_in(lost) == 1


def slow_log(interval: float, rows: int = 2000) -> tuple[np.ndarray, np.ndarray]:
    random = np.random.default_rng(8)
    return interval * np.arange(rows), 2.0 + 1.5 * random.standard_normal(rows)


def test_a_blip_of_the_drive_in_a_log_of_one_row_a_second_is_no_spike() -> None:
    time, values = slow_log(1.0, 104)
    values[40:46] += [12.0, 25.0, 37.0, 60.0, 110.0, 105.0]
    assert check_spikes(channel("thrust", time, values))[1] == []


def test_bursts_of_wild_readings_in_a_slow_log_are_left_out_up_to_one_reading_in_twenty() -> None:
    time, values = slow_log(0.09)
    random = np.random.default_rng(9)
    burst = 900 + np.flatnonzero(random.random(200) < 0.3)
    values[burst] = -607.0
    values[300] = -384_000.0
    cleaned, (finding,) = check_spikes(channel("thrust", time, values))
    assert finding.count is not None
    assert 0.9 * burst.size < finding.count <= burst.size + 1  # four and more in a row may be a pulse
    assert np.count_nonzero(cleaned.values < -300.0) == burst.size + 1 - finding.count


def test_where_too_many_are_wild_for_glitches_those_that_stay_are_told() -> None:
    time, values = slow_log(0.09)
    values[::18] = -607.0
    values[300] = -384_000.0
    cleaned, (finding,) = check_spikes(channel("thrust", time, values))
    assert np.count_nonzero(cleaned.values < -300.0) > 80
    assert "too many for single glitches, and stay" in finding.message
    assert finding.effect is not None
    assert "none" not in finding.effect


def test_where_one_reading_in_ten_is_wild_the_channel_is_noisy_and_hardly_touched() -> None:
    random = np.random.default_rng(7)
    values = noisy_ramp()
    wild = random.random(T.size) < 0.1
    values[wild] += 50.0
    assert spikes_in(values) < T.size // 1000


def test_short_and_two_dimensional_channels_are_passed_on() -> None:
    short = channel("thrust", T[:8], np.ones(8))
    axes = channel("acceleration", T[:100], np.ones((100, 3)))
    assert check_spikes(short) == (short, [])
    assert check_spikes(axes) == (axes, [])
