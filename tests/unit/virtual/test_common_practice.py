"""The simulated stand lies within what benches see: CHECKS section M, common practice, no published source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.virtual import Factors, Propeller, PropellerTruth, RunPlan, make_propeller, simulate, steps
from isothrust.virtual.demo_designs import DESIGNS
from unit.virtual.motors import RPM

GF = 9.80665e-3
LOW = make_propeller("low", diameter=5.5 * 0.0254, pitch=0.0762, blades=3, ct=0.108, cp=0.050, inertia=5.5e-6)
HIGH = make_propeller("high", diameter=6.0 * 0.0254, pitch=0.1143, blades=3, ct=0.195, cp=0.118, inertia=9.5e-6)


def truth(propeller: Propeller) -> PropellerTruth:
    return PropellerTruth(propeller, Factors())


def test_m1_thrust_at_14000_rpm_of_three_blades_of_5_5_to_6_inch() -> None:
    # About 250 gf (low pitch, 5.5 inch) to 750 gf (high pitch, 6 inch).
    assert truth(LOW).thrust(14_000 * RPM) / GF == pytest.approx(250, rel=0.15)
    assert truth(HIGH).thrust(14_000 * RPM) / GF == pytest.approx(750, rel=0.15)


@pytest.mark.parametrize("propeller", [LOW, HIGH], ids=["low", "high"])
def test_m2_thrust_per_mechanical_watt_at_1000_gf(propeller: Propeller) -> None:
    # About 3.5 (or a little less) to a little over 4 gf/W.
    assert 3.3 < float(truth(propeller).shaft_efficiency(1000 * GF)) / GF < 4.3


def test_m3_mean_spin_up_rate_of_a_step_from_10_to_50_per_cent() -> None:
    # About 120 000 (heavy, high pitch) to 180 000 rpm/s (light, low pitch).
    runs = simulate([RunPlan("l", LOW, schedule=steps(repeats=1)), RunPlan("h", HIGH, schedule=steps(repeats=1))], 1)
    rates = [_spin_up(run.columns["time"], run.columns["speed"] / RPM) for run in runs]
    assert 140_000 < rates[0] < 220_000
    assert 100_000 < rates[1] < 160_000
    assert rates[0] > 1.15 * rates[1]


def _spin_up(time: np.ndarray, rpm: np.ndarray) -> float:
    leg = (time > 3.15) & (time < 4.05)
    low, high = rpm[leg][0], rpm[leg][-100:].mean()
    at = [time[leg][np.argmax(rpm[leg] > low + part * (high - low))] for part in (0.1, 0.9)]
    return 0.8 * (high - low) / float(at[1] - at[0])


@pytest.mark.parametrize("design", DESIGNS, ids=[design.name for design in DESIGNS])
def test_m5_efficiency_always_falls_with_thrust(design: Propeller) -> None:
    thrusts = np.linspace(150, 1200, 40) * GF
    assert (np.diff(truth(design).shaft_efficiency(thrusts)) < 0).all()


def test_m7_and_m8_more_pitch_and_more_diameter_give_more_thrust_at_equal_speed() -> None:
    at = {design.name: float(truth(design).thrust(14_000 * RPM)) for design in DESIGNS}
    assert at["shalder-7x5"] > at["dunter-7x4.5"] > at["maalie-7x4"] > at["tirrick-7x3.5"]
    assert at["maalie-7x4"] > at["laverick-6x4"]
    inertia = {design.name: design.inertia for design in DESIGNS}
    assert inertia["maalie-7x4"] > 1.5 * inertia["laverick-6x4"]


def test_no_design_beats_what_was_ever_measured() -> None:
    # CHECKS B11: figure of merit over 3903 static rows of a university's tables: 1 % 0.2343, 99 % 0.7543.
    speed = np.linspace(3000, 24_000, 60) * RPM
    for design in DESIGNS:
        merit = truth(design).figure_of_merit(speed)
        assert merit.min() > 0.35
        assert merit.max() < 0.70


def test_the_kink_of_a_fluttering_design_makes_its_efficiency_dive() -> None:
    soft = next(design for design in DESIGNS if design.flutter is not None)
    calm = replace(soft, flutter=None)
    thrust = 800 * GF
    assert truth(soft).shaft_efficiency(thrust) < 0.975 * truth(calm).shaft_efficiency(thrust)
    assert truth(soft).shaft_efficiency(500 * GF) == pytest.approx(truth(calm).shaft_efficiency(500 * GF), rel=1e-9)
