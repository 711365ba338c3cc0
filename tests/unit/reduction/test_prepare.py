"""What a run starts from: the leading clock, usable bins, and refusals that name the next step."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import ReductionError
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording
from isothrust.reduction.prepare import prepare
from unit.reduction.bench import changed, only_while, recorded, without


def refusal(recording: Recording, job: RunJob) -> ReductionError:
    with pytest.raises(ReductionError) as caught:
        prepare(recording, job)
    (problem,) = caught.value.problems
    assert problem.where is not None
    assert problem.expected
    assert problem.fix
    return caught.value


def test_bins_stand_on_thrust_and_the_abscissa_is_speed() -> None:
    found = prepare(*recorded("ramp"))
    assert found.abscissa == "speed"
    assert found.bins.width == pytest.approx(0.02)
    assert found.site.x.size == np.count_nonzero(found.spells.steady)
    assert found.transients is not None


def test_without_speed_the_abscissa_is_the_root_of_thrust() -> None:
    recording, job = recorded("ramp")
    found = prepare(without(recording, "speed"), job)
    assert found.abscissa == "root-thrust"
    steady = found.steady("thrust")
    assert steady is not None
    assert np.allclose(found.site.x**2, steady)
    assert found.transients is None


def test_a_thrust_channel_that_ends_early_does_not_lead() -> None:
    recording, job = recorded("ramp")
    thrust = recording.channels["thrust"]
    early = Channel("thrust", thrust.time[:3000], thrust.values[:3000])
    found = prepare(replace(recording, channels={**recording.channels, "thrust": early}), job)
    assert found.bins.time[-1] > 15.0
    assert found.steady("thrust") is None
    assert found.steady("torque") is not None


def test_a_channel_with_a_few_gaps_costs_those_bins_and_one_with_many_is_given_up() -> None:
    recording, job = recorded("ramp")
    voltage = recording.channels["voltage"]
    for start, end, kept in ((6.0, 6.5, True), (2.0, 10.0, False)):
        there = (voltage.time < start) | (voltage.time > end)
        gappy = Channel("voltage", voltage.time[there], voltage.values[there])
        found = prepare(replace(recording, channels={**recording.channels, "voltage": gappy}), job)
        assert (found.steady("voltage") is not None) is kept
        assert found.steady("thrust") is not None


def test_a_channel_of_nothing_but_zeros_under_power_has_nothing_to_say() -> None:
    recording, job = recorded("ramp")
    idle = changed(recording, "torque", lambda t, v: np.where(t > 1.0, v[1500], v))
    found = prepare(idle, job)
    torque = found.steady("torque")
    assert torque is None or np.abs(torque).max() < 1e-3


def test_the_rate_of_change_is_that_of_the_ramp() -> None:
    found = prepare(*recorded("ramp"))
    rate = found.rate("throttle")
    inside = (found.bins.time[found.spells.steady] > 3.0) & (found.bins.time[found.spells.steady] < 11.5)
    assert np.allclose(rate[inside], 0.1, atol=1e-6)


@pytest.mark.parametrize(
    ("keep", "words"),
    [
        ((), "no two usable samples"),
        (("voltage", "throttle"), "no two usable samples"),
        (("speed",), "nothing but speed"),
        (("torque", "current"), "neither speed nor thrust"),
    ],
)
def test_a_log_that_holds_too_little_is_refused(keep: tuple[str, ...], words: str) -> None:
    recording, job = recorded("ramp")
    left = replace(recording, channels={n: c for n, c in recording.channels.items() if n in keep})
    error = refusal(left, job)
    assert error.code == "nothing-to-reduce"
    assert words in str(error)


@pytest.mark.parametrize("kind", ["ramp", "steps"])
def test_a_throttle_that_never_moves_is_refused_in_ramps_and_steps(kind: str) -> None:
    recording, job = recorded(kind)
    error = refusal(changed(recording, "throttle", lambda _, v: np.full_like(v, 0.4)), job)
    assert error.code == "throttle-still"
    assert "40.0 %" in str(error)
    assert f"kind = {kind}" in str(error)


@pytest.mark.parametrize("kind", ["holds", "coast"])
def test_a_still_throttle_is_no_error_where_it_need_not_move(kind: str) -> None:
    # DESIGN section 3: a still throttle is an error only in ramp and steps
    recording, job = recorded(kind)
    prepare(changed(recording, "throttle", lambda _, v: np.full_like(v, 0.4)), job)


def test_a_log_of_the_coast_alone_has_no_steady_spell() -> None:
    recording, job = recorded("ramp")
    error = refusal(only_while(without(recording, "throttle"), 12.35, 13.2), job)
    assert error.code == "no-steady-spell"
    assert "isothrust check ramp" in str(error)
