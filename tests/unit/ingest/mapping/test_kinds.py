"""The kind of a run by the course of its throttle."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.ingest.mapping import propose_kind
from isothrust.virtual.schedules import Schedule, coast, holds, ramp, ramp_up_down, steps, zero

SCHEDULES = [ramp(), ramp(rise=6.0), ramp_up_down(), holds(), holds((0.3, 0.6, 1.0)), steps(), coast(), zero()]


@pytest.mark.parametrize("rate", [20.0, 100.0, 1000.0])
@pytest.mark.parametrize("schedule", SCHEDULES, ids=lambda schedule: schedule.kind)
@pytest.mark.parametrize(("low", "span"), [(0.0, 1.0), (0.0, 100.0), (1000.0, 1000.0)])
def test_every_schedule_is_known_by_its_course(schedule: Schedule, rate: float, low: float, span: float) -> None:
    time = np.arange(0.0, schedule.duration, 1.0 / rate)
    proposal = propose_kind(low + span * schedule.throttle(time))
    assert proposal is not None
    assert proposal.kind == schedule.kind
    assert proposal.reason


def test_a_course_that_tells_nothing_gives_no_kind() -> None:
    assert propose_kind(np.full(500, 1350.0)) is None
    assert propose_kind(np.full(500, np.nan)) is None
    assert propose_kind(np.linspace(0, 1, 12)) is None
    assert propose_kind(np.random.default_rng(3).uniform(0, 1, 500)) is None


def test_on_and_off_again_and_again_are_steps_and_once_is_a_coast() -> None:
    once = np.repeat([0.0, 100.0, 0.0], [50, 100, 80])
    assert [propose_kind(times).kind for times in (once, np.tile(once, 4)) if propose_kind(times)] == ["coast", "steps"]
