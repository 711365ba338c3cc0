"""A tachometer is believed as long as the current does not say otherwise."""

from __future__ import annotations

import numpy as np

from isothrust.records.recording import Channel
from isothrust.reduction.checks.speed.witness import check_witness

RPM = np.pi / 30.0


def channels(speed: np.ndarray, current: np.ndarray, rate: float = 10.0) -> tuple[Channel, Channel]:
    time = np.arange(speed.size) / rate
    return Channel("speed", time, speed), Channel("current", time, current)


def climb(count: int = 200) -> tuple[np.ndarray, np.ndarray]:
    speed = np.linspace(0.0, 1000.0, count)
    return speed, 12.0 * (speed / 1000.0) ** 2


def test_a_rotor_that_turns_with_its_current_is_believed() -> None:
    assert check_witness(*channels(*climb())) == []


def test_a_tachometer_that_repeats_old_values_is_stuck() -> None:
    speed, current = climb()
    speed[60:199] = speed[60]
    (finding,) = check_witness(*channels(speed, current))
    assert (finding.code, finding.severity, finding.channel) == ("tachometer-stuck", "warning", "speed")
    assert f"repeats {speed[60] / RPM:.0f} rpm" in finding.message
    assert finding.done == "the speed channel was left out"
    assert (finding.start, finding.end, finding.count) == (6.0, 19.8, 139)


def test_a_speed_that_stands_when_the_motor_is_off_is_stuck() -> None:
    speed, current = climb()
    speed = np.concatenate([speed, np.full(150, speed[-1])])
    current = np.concatenate([current, np.full(50, current[-1]), np.zeros(100)])
    (finding,) = check_witness(*channels(speed, current))
    assert finding.code == "tachometer-stuck"
    assert "from 12 to 0 A" in finding.message


def test_a_quantised_speed_with_a_late_current_is_not_stuck() -> None:
    # A controller's own telemetry: speed in coarse counts, current behind a filter of half a second after each step.
    speed = np.repeat([200.0, 500.0, 900.0], 300)
    target = np.repeat([1.0, 4.0, 11.0], 300)
    current = np.empty_like(target)
    current[0] = target[0]
    for k in range(1, target.size):
        current[k] = current[k - 1] + (target[k] - current[k - 1]) * 0.01 / 0.15
    assert check_witness(*channels(speed, current, rate=100.0)) == []


def test_a_tachometer_that_reads_nothing_under_power_is_lost() -> None:
    speed, current = climb()
    speed[130:] = 0.0
    (finding,) = check_witness(*channels(speed, current))
    assert finding.code == "tachometer-lost"
    assert "under power" in finding.message


def test_a_tachometer_that_hardly_ever_reads_anything_is_lost_too() -> None:
    speed, current = climb()
    speed[:] = 0.0
    speed[197] = 300.0
    (finding,) = check_witness(*channels(speed, current))
    assert finding.code == "tachometer-lost"


def test_a_rotor_at_rest_without_current_is_not_lost() -> None:
    speed, current = climb()
    quiet = np.zeros(300)
    assert check_witness(*channels(np.concatenate([quiet, speed]), np.concatenate([quiet, current]))) == []


def test_short_dropouts_are_left_to_the_other_checks() -> None:
    speed, current = climb()
    speed[150:155] = 0.0
    assert check_witness(*channels(speed, current)) == []


def test_a_current_that_never_rises_is_no_witness() -> None:
    speed, _ = climb()
    assert check_witness(*channels(speed, np.full(speed.size, 0.05))) == []
    assert check_witness(*channels(speed[:3], np.full(3, 5.0))) == []
