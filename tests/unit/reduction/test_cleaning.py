"""The order of the checks and their trail; raw data stay as they are."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Channel, Recording
from isothrust.reduction.cleaning import clean_channels
from unit.reduction.channels import channel, clock, ramped

T = clock(14.0)
NOISE = np.random.default_rng(1).standard_normal((6, T.size))


def channels() -> dict[str, Channel]:
    throttle = ramped(T, 1.0, end=12.0, stop=12.3)
    speed = 1500.0 * throttle
    made = {
        "throttle": throttle,
        "speed": speed + 0.6 * NOISE[0],
        "thrust": 20.0 * (speed / 1500.0) ** 2 + 0.02 * NOISE[1],
        "torque": 0.3 * (speed / 1500.0) ** 2 + 3e-4 * NOISE[2],
        "voltage": 24.0 - 1.2 * throttle**2 + 0.006 * NOISE[3],
        "current": 0.04 + 40.0 * throttle**3 + 0.03 * NOISE[4],
    }
    return {name: channel(name, T, values) for name, values in made.items()}


def cleaned(**changed: Channel | None) -> tuple[dict[str, Channel], list[str]]:
    given = {k: v for k, v in {**channels(), **changed}.items() if v is not None}
    kept, findings = clean_channels(Recording("r", given, ()))
    return dict(kept), [f.code for f in findings]


def test_a_sound_run_has_no_findings_and_is_passed_on() -> None:
    given = channels()
    kept, codes = cleaned(**given)
    assert codes == []
    assert all(np.array_equal(kept[name].values, c.values) for name, c in given.items())


def test_each_fault_is_found_in_its_own_channel() -> None:
    given = channels()
    speed, thrust, throttle = (given[n].values.copy() for n in ("speed", "thrust", "throttle"))
    speed[8000:8010] *= 2.0
    thrust[6000] = 90.0
    throttle[4000] = 30.0
    _, codes = cleaned(
        speed=channel("speed", T, speed),
        thrust=channel("thrust", T, thrust),
        throttle=channel("throttle", T, throttle),
        current=channel("current", T, np.zeros(T.size)),
    )
    assert sorted(codes) == ["channel-dead", "spikes", "tachometer-double-count", "throttle-out-of-range"]


def test_raw_data_are_not_touched() -> None:
    given = channels()
    thrust = given["thrust"].values.copy()
    thrust[6000] = 90.0
    raw = channel("thrust", T, thrust.copy())
    cleaned(thrust=raw)
    assert np.array_equal(raw.values, thrust)


def test_a_fault_of_the_shared_clock_is_told_once() -> None:
    time = T.copy()
    time[5000] = time[4999]
    shared = {name: Channel(name, time, c.values) for name, c in channels().items()}
    kept, codes = cleaned(**shared)
    assert codes == ["clock-repeated"]
    assert {c.time.size for c in kept.values()} == {T.size - 1}


def test_a_tachometer_that_repeats_old_values_is_left_out() -> None:
    frozen = channels()["speed"].values.copy()
    frozen[6000:] = frozen[6000]
    kept, codes = cleaned(speed=channel("speed", T, frozen))
    assert "speed" not in kept
    assert codes == ["tachometer-stuck"]


def test_a_tachometer_that_is_blind_under_power_is_left_out() -> None:
    blind = np.where((T > 5.0) & (T < 12.3), 0.0, channels()["speed"].values)
    kept, codes = cleaned(speed=channel("speed", T, blind))
    assert "speed" not in kept
    assert codes == ["tachometer-lost"]


def test_without_current_nothing_witnesses_against_the_tachometer() -> None:
    frozen = channels()["speed"].values.copy()
    frozen[6000:] = frozen[6000]
    kept, codes = cleaned(speed=channel("speed", T, frozen), current=None)
    assert "speed" in kept
    assert codes == []


def test_channels_of_several_axes_and_of_no_samples_pass_through() -> None:
    axes = channel("acceleration", T, np.ones((T.size, 3)))
    kept, codes = cleaned(acceleration=axes, voltage=channel("voltage", T[:0], T[:0]))
    assert kept["acceleration"] is axes
    assert codes == []


def test_a_constant_current_is_no_witness_and_no_crash() -> None:
    _, codes = cleaned(current=channel("current", T, np.full(T.size, 1e9)))
    assert codes == []
