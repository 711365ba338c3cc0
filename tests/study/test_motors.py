"""Motors found from simulated campaigns, rig errors drawn from what is stated: a short form of benchmarks/motor.py."""

from __future__ import annotations

import numpy as np
import pytest

from support.motors import MotorScore, motor_cases, motor_scores

CAMPAIGNS = 5


@pytest.fixture(scope="module")
def found() -> dict[str, MotorScore]:
    """Scores over a few campaigns of four designs, mounted twice."""
    return motor_scores(motor_cases(range(900, 900 + CAMPAIGNS), mountings=2))


def test_kv_is_within_one_per_cent_and_resistance_within_five(found: dict[str, MotorScore]) -> None:
    assert found["KV"].worst < 0.01
    assert found["resistance"].worst < 0.05


def test_friction_at_mid_speed_is_within_ten_per_cent_on_the_whole(found: dict[str, MotorScore]) -> None:
    assert found["friction at mid speed"].rms < 0.07
    assert found["friction at mid speed"].worst < 0.15


def test_a_design_left_out_is_foretold_within_two_per_cent_of_thrust_and_four_of_current(
    found: dict[str, MotorScore],
) -> None:
    assert found["left out: thrust"].count == 4 * CAMPAIGNS
    assert found["left out: thrust"].worst < 0.02
    assert found["left out: current"].worst < 0.04
    assert found["left out: thrust-mid"].worst < 0.02


def test_errors_are_as_large_as_stated(found: dict[str, MotorScore]) -> None:
    z = [found[name].rms_z for name in ("KV", "resistance", "friction at mid speed")]
    assert all(value is not None for value in z)
    together = float(np.sqrt(np.mean(np.square(np.array(z, dtype=np.float64)))))
    assert 0.4 < together < 1.6
