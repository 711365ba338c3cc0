"""Step logs of other benches: rates, or precisely why there are none."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.errors import ReductionError
from isothrust.records.response import Step, StepKind
from support.field import needs_field, read_field, reduce_field, why_absent

pytestmark = needs_field

ESC = "esc-log/f40_steps_5-2.csv"


def test_every_step_of_a_controllers_telemetry_has_a_rate_or_a_reason() -> None:
    response = reduce_field(ESC, "esc-log", "steps").response
    assert response is not None
    assert response.followed == "speed"
    assert len(response.steps) >= 7
    for step in response.steps:
        assert (step.rate is not None) == step.used
        assert step.used or step.why
    assert {kind.method for kind in response.kinds if not kind.absent} == {"model"}  # 70 readings a second


def test_its_rates_are_those_of_its_readings_as_far_as_these_can_tell() -> None:
    response = reduce_field(ESC, "esc-log", "steps").response
    assert response is not None
    speed = read_field(ESC, "esc-log").channels["speed"]
    for kind in (one for one in response.kinds if not one.absent):
        step = next(one for one in response.steps if one.used and _levels(one) == _levels(kind))
        inside = (speed.time > step.start) & (speed.time < step.start + 0.5)
        way = (speed.values[inside] - step.from_level) / (step.to_level - step.from_level)
        time = speed.time[inside]
        late, early = time[way > 0.9][0], time[way < 0.1][-1] if np.any(way < 0.1) else step.start
        assert kind.rate is not None
        assert kind.u_across is not None
        # The readings enclose the way from 10 to 90 %: it took no longer than that, and two intervals less at most
        longest = 0.8 * abs(step.to_level - step.from_level) / abs(kind.rate)
        assert longest < late - early + 2.0 * kind.u_across, step
        assert longest > late - early - 2.5 * response.interval - 2.0 * kind.u_across, step


def _levels(one: Step | StepKind) -> tuple[float | None, float | None]:
    return one.from_throttle, one.to_throttle


def test_a_single_step_from_next_to_no_thrust_says_that_it_starts_from_rest() -> None:
    reduced = reduce_field("dshot-steps/0500_thrust_response.csv", "dshot-steps", "steps")
    assert why_absent(reduced, "thrust-rise-rate").startswith("it starts from rest")
    assert why_absent(reduced, "spin-up-rate") == "rig dshot-steps has no speed channel"


def test_a_staircase_of_thrust_alone_says_of_each_step_why_it_gives_no_rate() -> None:
    reduced = reduce_field("dshot-steps/increasing_thrust_response.csv", "dshot-steps", "steps")
    assert reduced.response is not None
    assert reduced.response.followed == "thrust"
    assert all(step.used or step.why for step in reduced.response.steps)
    assert why_absent(reduced, "thrust-rise-rate")


@pytest.mark.parametrize("number", [1, 2, 3])
def test_a_coast_of_speed_alone_is_no_step_log(number: int) -> None:
    with pytest.raises(ReductionError, match="nothing but speed"):
        reduce_field(f"rotor-coastdown/MS_Decay_{number}.csv", "rotor-coastdown", "steps")
