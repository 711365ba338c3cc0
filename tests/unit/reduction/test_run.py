"""Whole runs of every kind against the simulator's truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.errors import ReductionError
from isothrust.records.recording import Channel, Recording
from isothrust.reduction import reduce_run
from isothrust.reduction.method import METHOD_VERSION
from isothrust.science.splines import basis_matrix
from unit.reduction.bench import KINDS, changed, curve, recorded, reduced, simulated, without

TURNING = [kind for kind in KINDS if kind != "zero"]
STANDARD = 1.225
SPEEDS = np.array([0.35, 0.5, 0.65, 0.8, 0.9, 0.98])


def abscissae(kind: str) -> np.ndarray:
    """Where a run measured: over the range of a ramp or holds, on the upper level of steps, on that of a coast."""
    found = reduced(kind).curves["thrust"]
    if kind in {"steps", "coast"}:
        return np.array([found.high - 1.0])
    return SPEEDS[found.low < SPEEDS * found.high] * found.high


@pytest.mark.parametrize("kind", TURNING)
def test_thrust_at_a_speed_in_standard_air_is_true_to_six_tenths_of_a_per_cent(kind: str) -> None:
    x, truth = abscissae(kind), simulated(kind).truth.mounting
    error = curve(reduced(kind), "thrust", x) * STANDARD * x**2 / truth.thrust(x) - 1.0
    assert np.abs(error).max() < 0.006


@pytest.mark.parametrize("kind", TURNING)
def test_torque_at_a_speed_in_standard_air_is_true_to_eight_tenths_of_a_per_cent(kind: str) -> None:
    x, truth = abscissae(kind), simulated(kind).truth.mounting
    error = curve(reduced(kind), "torque", x) * STANDARD * x**2 / truth.torque(x) - 1.0
    assert np.abs(error).max() < 0.008


@pytest.mark.parametrize("kind", TURNING)
def test_power_current_and_throttle_of_the_steady_state_are_true_to_one_and_a_half_per_cent(kind: str) -> None:
    x, run = abscissae(kind), reduced(kind)
    steady = simulated(kind).truth.steady_state(x)
    for name, ours, truth in (
        ("electrical-power", curve(run, "electrical-power", x) * STANDARD * x**3, steady.power),
        ("current", curve(run, "current", x) * x**2, steady.current),
        ("throttle", curve(run, "throttle", x), steady.throttle),
        ("voltage", curve(run, "voltage", x), steady.voltage),
    ):
        assert np.abs(ours / truth - 1.0).max() < 0.015, name
    assert run.flags == ()


@pytest.mark.parametrize("kind", TURNING)
def test_inertia_is_true_to_two_per_cent_and_within_three_of_its_uncertainty(kind: str) -> None:
    found, truth = reduced(kind).inertia, simulated(kind).truth.inertia
    assert found is not None
    assert found.value == pytest.approx(truth, rel=0.02)
    assert abs(found.value - truth) < 3.0 * found.uncertainty
    assert not reduced(kind).inertia_wanted


@pytest.mark.parametrize("kind", TURNING)
@pytest.mark.parametrize("channel", ["thrust", "torque"])
def test_lags_are_true_to_three_milliseconds(kind: str, channel: str) -> None:
    found, truth = reduced(kind).lags[channel], simulated(kind).truth.lags[channel]
    assert found.value == pytest.approx(truth, abs=0.003)
    assert abs(found.value - truth) < 3.0 * found.uncertainty


@pytest.mark.parametrize("kind", ["ramp", "holds", "steps", "coast"])
def test_the_electrical_lag_is_true_to_three_milliseconds_where_there_is_a_drop(kind: str) -> None:
    assert reduced(kind).lags["electrical"].value == pytest.approx(simulated(kind).truth.lags["current"], abs=0.003)


@pytest.mark.parametrize("kind", list(KINDS))
@pytest.mark.parametrize("channel", ["thrust", "torque"])
def test_zeros_before_and_after_are_those_of_the_log(kind: str, channel: str) -> None:
    found, truth = reduced(kind).zeros[channel], simulated(kind).truth.zeros[channel]
    time = simulated(kind).columns["time"]
    for level, window in ((found.before, found.before_window), (found.after, found.after_window)):
        if kind == "zero" and window is None:
            continue
        assert window is not None
        inside = (time >= window[0]) & (time <= window[1])
        # a rotor too slow for the tachometer still gives a tenth of a gram-force
        assert level == pytest.approx(float(np.mean(truth[inside])), abs=0.25 * found.uncertainty)


def test_a_run_with_the_motor_off_gives_its_zeros_and_reasons() -> None:
    run = reduced("zero")
    assert run.curves == {}
    assert set(run.zeros) == {"thrust", "torque"}
    assert all(figure.value is None and figure.absent for figure in run.figures)
    assert all("motor is off" in reason for reason in run.absent.values())


def test_peaks_are_the_settled_end_of_the_plateau_of_the_day() -> None:
    run, truth = reduced("ramp"), simulated("ramp").truth
    figures = {f.measurand: f for f in run.figures}
    top = truth.top_speed
    day = simulated("ramp").plan.air
    assert figures["peak-thrust"].value == pytest.approx(float(truth.mounting.thrust(top, day)), rel=0.01)
    steady = truth.steady_state(top, day)
    assert figures["peak-electrical-power"].value == pytest.approx(float(steady.power), rel=0.02)
    assert figures["peak-current"].value == pytest.approx(float(steady.current), rel=0.02)
    assert all(figures[name].flags == () for name in ("peak-thrust", "peak-current"))


def test_holds_are_kept_as_recorded_one_by_one() -> None:
    run = simulated("holds")
    points = reduced("holds").holds
    assert 9 <= len(points) <= 10
    for point in points:
        inside = (run.columns["time"] > point.start) & (run.columns["time"] < point.end)
        assert point.throttle == pytest.approx(float(np.mean(run.columns["throttle"][inside])), abs=1e-3)
        assert point.speed == pytest.approx(float(np.mean(run.columns["speed"][inside])), rel=1e-3)
        assert point.current == pytest.approx(float(np.mean(run.columns["current"][inside])), rel=2e-3)
    assert reduced("ramp").holds == ()


def test_the_same_run_gives_the_same_bytes() -> None:
    again = reduce_run(*recorded("ramp"))
    for name, found in reduced("ramp").curves.items():
        assert np.array_equal(found.coefficients, again.curves[name].coefficients)
        assert np.array_equal(found.covariance, again.curves[name].covariance)
    assert again.method_version == METHOD_VERSION


def test_coefficients_thinned_to_a_tenth_of_the_rate_stay_within_their_uncertainty() -> None:
    recording, job = recorded("ramp")
    thinned = {n: Channel(n, c.time[::10], c.values[::10], c.resolution) for n, c in recording.channels.items()}
    thin = reduce_run(replace(recording, channels=thinned), job)
    x = abscissae("ramp")
    for name in ("thrust", "torque"):
        found = reduced("ramp").curves[name]
        basis = basis_matrix(x, found.knots)
        noise = np.sqrt(np.einsum("ij,jk,ik->i", basis, found.covariance, basis))
        lag = next(i for i in reduced("ramp").influences if i.source == f"{name} lag").shifts[name]
        off = curve(thin, name, x) - curve(reduced("ramp"), name, x)
        assert np.all(np.abs(off) < 3.0 * np.hypot(noise, basis @ lag))


def test_the_diameter_leaves_thrust_torque_and_power_alone() -> None:
    recording, job = recorded("ramp")
    other = reduce_run(recording, replace(job, design=replace(job.design, diameter=0.2)))
    unknown = reduce_run(recording, replace(job, design=replace(job.design, diameter=None)))
    for run in (other, unknown):
        for name, found in reduced("ramp").curves.items():
            assert np.allclose(run.curves[name].coefficients, found.coefficients, rtol=1e-9)


@pytest.mark.parametrize(
    ("missing", "gone"),
    [
        ("thrust", {"thrust"}),
        ("torque", {"torque"}),
        ("current", {"current", "electrical-power"}),
        ("voltage", {"voltage", "electrical-power"}),
        ("throttle", {"throttle"}),
        ("speed", {"thrust", "torque"}),
    ],
)
def test_what_a_log_lacks_is_absent_with_the_reason_and_the_rest_stands(missing: str, gone: set[str]) -> None:
    recording, job = recorded("ramp")
    run = reduce_run(without(recording, missing), job)
    assert set(reduced("ramp").curves) - set(run.curves) == gone
    assert set(run.absent) == gone
    assert all(missing in reason for reason in run.absent.values())
    assert (run.abscissa == "root-thrust") == (missing == "speed")


def test_a_run_without_inertia_says_that_it_wants_one() -> None:
    recording, job = recorded("ramp")
    cut = {n: replace(c, time=c.time[:12_000], values=c.values[:12_000]) for n, c in recording.channels.items()}
    run = reduce_run(replace(recording, channels=cut), job)
    assert run.inertia is None
    assert run.inertia_wanted
    assert "electrical-as-recorded" in run.flags


def test_findings_carry_the_name_of_the_run() -> None:
    recording, job = recorded("ramp")
    spiky = changed(recording, "thrust", lambda t, v: np.where(np.arange(t.size) == 6000, 500.0, v))
    run = reduce_run(spiky, job)
    assert {f.code for f in run.findings} >= {"spikes"}
    assert all(f.run == "ramp" for f in run.findings)


def test_without_air_nothing_is_referred_and_a_flag_says_so() -> None:
    recording, job = recorded("ramp")
    run = reduce_run(recording, replace(job, run=replace(job.run, air=None)))
    assert run.density is None
    assert "air-unknown" in run.flags
    assert not [i for i in run.influences if i.source.startswith("air")]


def test_an_unread_recording_is_refused() -> None:
    with pytest.raises(ReductionError, match="nothing-to-reduce"):
        reduce_run(Recording("r", {}, ()), recorded("ramp")[1])
