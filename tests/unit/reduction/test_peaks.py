"""Peaks: the settled end of the greatest command, or the end of the curve where there was no plateau."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.reduced import Figure, ReducedRun
from isothrust.reduction import reduce_run
from isothrust.virtual import RunPlan, VirtualRun, ramp, simulate
from support.simulated import job_of, recording_of
from unit.reduction.bench import AIR, DRIVE, changed, recorded, reduced, seven_inch, simulated, without


def peak(run: ReducedRun, name: str) -> Figure:
    return next(f for f in run.figures if f.measurand == f"peak-{name}")


def test_a_plateau_gives_the_mean_of_its_settled_end() -> None:
    run = simulated("holds")
    figure = peak(reduced("holds"), "thrust")
    time, throttle = run.columns["time"], run.columns["throttle"]
    top = time[throttle >= 0.999]
    inside = (time > 0.5 * (top[0] + top[-1])) & (time < top[-1])
    zero = float(np.mean(run.truth.zeros["thrust"][inside]))
    assert figure.value == pytest.approx(float(np.mean(run.columns["thrust"][inside])) - zero, rel=2e-3)
    assert figure.flags == ()


@pytest.fixture(scope="module")
def pointed() -> VirtualRun:
    """A ramp that is cut at the very moment it reaches the top."""
    return simulate([RunPlan("pointed", seven_inch(), DRIVE, schedule=ramp(rise=6.0, plateau=0.001), air=AIR)], 6)[0]


def test_without_a_plateau_the_peak_is_the_end_of_the_curve_and_says_so(pointed: VirtualRun) -> None:
    run = reduce_run(recording_of(pointed), job_of(pointed.plan))
    truth = float(pointed.truth.mounting.thrust(pointed.truth.top_speed, AIR))
    figure = peak(run, "thrust")
    assert figure.value == pytest.approx(truth, rel=0.03)
    assert figure.flags == ("peak-without-plateau",)


def test_the_inertial_part_is_taken_out_of_electrical_peaks() -> None:
    recording, job = recorded("ramp")
    steady = float(simulated("ramp").truth.steady_state(simulated("ramp").truth.top_speed, AIR).power)
    assert peak(reduced("ramp"), "electrical-power").value == pytest.approx(steady, rel=0.01)
    assert peak(reduce_run(without(recording, "torque"), job), "electrical-power").value != pytest.approx(
        peak(reduced("ramp"), "electrical-power").value, rel=1e-6
    )


def test_budgets_name_noise_scale_and_zero() -> None:
    thrust = peak(reduced("ramp"), "thrust")
    assert {e.source for e in thrust.budget} == {"noise", "thrust scale", "thrust zero"}
    scale = next(e for e in thrust.budget if e.source == "thrust scale")
    assert scale.contribution == pytest.approx(0.003 * (thrust.value or 0.0))
    assert scale.key == "rig loft thrust scale"
    power = peak(reduced("ramp"), "electrical-power")
    assert {e.source for e in power.budget} == {"noise", "voltage scale", "current scale"}
    current = peak(reduced("ramp"), "current")
    assert {e.source for e in current.budget} == {"noise", "current scale", "current offset"}


def test_the_spread_of_repeated_runs_is_what_the_noise_says() -> None:
    recording, job = recorded("holds")
    values, stated = [], []
    for seed in range(12):
        noise = np.random.default_rng(seed)
        louder = changed(recording, "thrust", lambda _, v, g=noise: v + 0.5 * g.standard_normal(v.size))
        figure = peak(reduce_run(louder, job), "thrust")
        values.append(figure.value)
        stated.append(next(e.contribution for e in figure.budget if e.source == "noise"))
    assert np.std(values) < 2.0 * np.mean(stated)


@pytest.mark.parametrize(
    ("lost", "absent"), [("thrust", "thrust"), ("current", "current"), ("voltage", "electrical-power")]
)
def test_a_missing_channel_is_a_reason(lost: str, absent: str) -> None:
    recording, job = recorded("ramp")
    figure = peak(reduce_run(without(recording, lost), job), absent)
    assert figure.value is None
    assert figure.absent == f"the run has no {absent} channel"


def test_a_channel_that_ends_before_the_top_has_no_peak() -> None:
    recording, job = recorded("ramp")
    current = recording.channels["current"]
    early = replace(current, time=current.time[:6000], values=current.values[:6000])
    run = reduce_run(replace(recording, channels={**recording.channels, "current": early}), job)
    assert peak(run, "current").value is None
    assert "nothing at the top" in (peak(run, "current").absent or "")
