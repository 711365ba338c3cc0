"""A current that falls as the rotor speeds up is refused; a sensor that only reads nothing is not."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.errors import ReductionError
from isothrust.reduction.checks.electrical.falling import refuse_falling_current
from unit.reduction.bench import changed, recorded, without


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps", "coast", "zero"])
def test_good_runs_are_not_refused(kind: str) -> None:
    recording, job = recorded(kind)
    refuse_falling_current(recording.channels, job)
    for name in ("current", "speed", "throttle"):
        refuse_falling_current(without(recording, name).channels, job)


@pytest.mark.parametrize("kind", ["ramp", "up-down", "holds", "steps"])
def test_a_supply_read_as_current_is_refused_with_both_readings(kind: str) -> None:
    recording, job = recorded(kind)
    voltage = recording.channels["voltage"].values
    sagging = changed(recording, "current", lambda _t, _v: voltage)
    with pytest.raises(ReductionError, match=r"falls from 24 A") as caught:
        refuse_falling_current(sagging.channels, job)
    assert caught.value.code == "current-falls"
    assert "channels.current" in str(caught.value)


def test_a_sensor_turned_round_its_middle_is_refused() -> None:
    recording, job = recorded("ramp")
    turned = changed(recording, "current", lambda _t, values: 40.0 - values)
    with pytest.raises(ReductionError, match="current"):
        refuse_falling_current(turned.channels, job)


@pytest.mark.parametrize("scatter", [0.02, 0.3])
def test_an_unconnected_sensor_that_wanders_is_not_refused(scatter: float) -> None:
    recording, job = recorded("ramp")
    random = np.random.default_rng(4)

    def loose(time: np.ndarray, values: np.ndarray) -> np.ndarray:
        return 1.0 + scatter * random.standard_normal(values.size) - scatter * time / time[-1]

    refuse_falling_current(changed(recording, "current", loose).channels, job)
