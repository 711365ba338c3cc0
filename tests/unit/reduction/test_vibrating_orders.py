"""What the vibration of simulated runs is made of: orders, resonances, mains, bands, the vector against the mark."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.records.reduced import ReducedRun
from isothrust.records.vibration import OrderCurve
from isothrust.reduction.figures import RunContext, evaluate_figure
from isothrust.virtual import Flutter, Mode, VirtualRun, simulate
from support.shaken import DESIGN, METER, reduced_of, shaken_plan, shaken_run

MODES = (Mode(38.0, 0.04), Mode(120.0, 0.05), Mode(730.0, 0.04))
MARKED = replace(METER, mark=True, rate=12_800.0, modes=MODES)


@pytest.fixture(scope="module")
def run() -> VirtualRun:
    return shaken_run(MARKED)


@pytest.fixture(scope="module")
def reduced(run: VirtualRun) -> ReducedRun:
    return reduced_of(run)


def curve_of(reduced: ReducedRun, order: int) -> OrderCurve:
    assert reduced.vibration is not None
    return next(curve for curve in reduced.vibration.orders if curve.order == order)


def true_amplitude(run: VirtualRun, curve: OrderCurve) -> np.ndarray:
    assert run.truth.shaking is not None
    return np.sqrt(np.sum(np.abs(run.truth.shaking.amplitude(curve.order, curve.speed)) ** 2, axis=-1))


@pytest.mark.parametrize("marked", [True, False])
def test_once_and_twice_per_revolution_have_their_true_amplitudes(run: VirtualRun, *, marked: bool) -> None:
    assert run.shaken is not None
    seen = run if marked else replace(run, shaken=replace(run.shaken, mark=None))
    reduced = reduced_of(seen)
    for order in (1, 2):
        curve = curve_of(reduced, order)
        # about a resonance a ramp leaves no time for the steady state
        clear = curve.speed > 1.3 * 2.0 * np.pi * 120.0
        assert clear.sum() > 30
        off = curve.amplitude[clear] / true_amplitude(run, curve)[clear] - 1.0
        assert np.median(np.abs(off)) < 0.02
        assert np.mean(np.abs(off) < 0.05) > 0.9
        z = (curve.amplitude - true_amplitude(run, curve))[clear] / curve.uncertainty[clear]
        assert 0.3 < float(np.sqrt(np.mean(z**2))) < 2.5


def test_labels_say_what_an_order_is(reduced: ReducedRun) -> None:
    assert reduced.vibration is not None
    labels = [curve.label for curve in reduced.vibration.orders]
    assert labels[:3] == ["1/rev", "2/rev", "blade passing"]
    assert DESIGN.blades == 3


def test_shares_of_the_orders_make_the_whole_with_what_is_off_them(reduced: ReducedRun) -> None:
    one = curve_of(reduced, 1)
    at = one.speed > 0.5 * one.speed.max()
    assert np.all(one.share[at] > 0.9)
    assert np.all(one.share <= 1.0)
    assert curve_of(reduced, 2).share[at].max() < 0.05


def test_vector_against_the_mark_has_size_and_phase_of_the_unbalance(run: VirtualRun, reduced: ReducedRun) -> None:
    assert reduced.vibration is not None
    turning = reduced.vibration.turning
    assert turning is not None
    assert turning.marked
    assert run.truth.shaking is not None
    true = run.truth.shaking.amplitude(1, turning.speed)[:, :2]
    ratio = (turning.real + 1j * turning.imaginary)[:, :2] / true
    clear = turning.speed > 1.3 * 2.0 * np.pi * 120.0
    assert np.abs(np.abs(ratio[clear]) - 1.0).max() < 0.02
    assert np.abs(np.degrees(np.angle(ratio[clear]))).max() < 2.0


def test_without_a_mark_the_vector_has_a_size_alone(run: VirtualRun) -> None:
    assert run.shaken is not None
    bare = reduced_of(replace(run, shaken=replace(run.shaken, mark=None)))
    assert bare.vibration is not None
    turning = bare.vibration.turning
    assert turning is not None
    assert not turning.marked
    assert np.all(turning.imaginary == 0.0)


def test_resonances_of_the_stand_are_found_with_frequency_damping_and_crossings(reduced: ReducedRun) -> None:
    assert reduced.vibration is not None
    found = {line.axis: line for line in reduced.vibration.lines if line.kind == "resonance"}
    for axis, mode in (("y", MODES[1]), ("z", MODES[2])):
        assert found[axis].frequency == pytest.approx(mode.frequency, rel=0.04)
        assert found[axis].damping == pytest.approx(mode.damping, rel=0.6)
    assert any(crossing.startswith("1/rev at 7") for crossing in found["y"].crossings)
    (told,) = [finding for finding in reduced.findings if finding.code == "mount-resonance"]
    assert "1/rev meets 1" in told.message
    assert "(y)" in told.message


def test_mains_are_told_apart_from_resonances(run: VirtualRun) -> None:
    hummed = reduced_of(shaken_run(replace(METER, hum=0.6)))
    assert hummed.vibration is not None
    mains = [line for line in hummed.vibration.lines if line.kind == "mains"]
    assert {round(line.frequency) for line in mains} >= {50, 150}
    strongest = max(mains, key=lambda line: line.level)
    assert strongest.level == pytest.approx(0.6 / 2.0**0.5, rel=0.1)
    assert "vibration-mains-hum" in {finding.code for finding in hummed.findings}


def test_thrust_bands_are_thirds_of_the_thrust_and_rise(run: VirtualRun, reduced: ReducedRun) -> None:
    assert reduced.vibration is not None
    bands = reduced.vibration.bands
    assert [band.name for band in bands] == ["low", "middle", "high"]
    widths = [band.high - band.low for band in bands]
    np.testing.assert_allclose(widths, widths[0], rtol=1e-9)
    assert bands[0].rms < bands[1].rms < bands[2].rms
    middle = np.linspace(bands[1].low, bands[1].high, 9)
    figure = evaluate_figure(reduced, "vibration", "thrust", middle, RunContext())
    assert bands[1].rms == pytest.approx(float(np.sqrt(np.mean(figure.values**2))), rel=0.01)
    # each axis is smoothed by itself, and about a resonance not quite as their sum is
    np.testing.assert_allclose([np.sqrt(np.sum(band.axes**2)) for band in bands], [b.rms for b in bands], rtol=0.04)


def test_map_has_the_greatest_density_along_once_per_revolution(reduced: ReducedRun) -> None:
    assert reduced.vibration is not None
    seen = reduced.vibration.map
    assert seen is not None
    assert seen.level.shape == (seen.speed.size, seen.frequency.size)
    fast = seen.speed > 0.5 * seen.speed.max()
    peak = seen.frequency[np.argmax(seen.level[fast], axis=1)]
    np.testing.assert_allclose(peak, seen.speed[fast] / (2.0 * np.pi), atol=25.0)


def test_energy_off_the_orders_shows_where_blades_begin_to_flutter() -> None:
    plan = shaken_plan(METER)
    soft = replace(plan, propeller=replace(plan.propeller, flutter=Flutter(onset=320.0, power_rise=0.05)))
    bare, fluttering = simulate([plan, soft], 3)
    good, found = (reduced_of(each).vibration for each in (bare, fluttering))
    assert good is not None
    assert good.off_orders is not None
    assert good.off_orders.onset is None
    assert found is not None
    assert found.off_orders is not None
    assert found.off_orders.onset is not None
    assert found.off_orders.onset / (2.0 * np.pi) == pytest.approx(320.0, rel=0.05)
    assert found.off_orders.rise is not None
    assert found.off_orders.rise > 2.0
