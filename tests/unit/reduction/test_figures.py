"""Figures of one run against closed forms, and what is absent against its reason."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import pytest

import made_runs
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures import AIR_OF_THE_DAY, RunContext, evaluate_figure, single_figure

Quantity = Literal["thrust", "speed"]
CONTEXT = RunContext(diameter=made_runs.DIAMETER)
RHO = made_runs.DENSITY0
N_1000GF = 9.80665

CONSTANT = {
    "thrust": made_runs.curve("thrust", made_runs.KT),
    "torque": made_runs.curve("torque", made_runs.KQ),
    "electrical-power": made_runs.curve("electrical-power", made_runs.KE),
    "current": made_runs.curve("current", made_runs.KI),
    "throttle": made_runs.curve("throttle", lambda w: w / 2000.0),
}


def value(
    run: ReducedRun, measurand: str, quantity: Quantity, condition: float, context: RunContext = CONTEXT
) -> float:
    figure = evaluate_figure(run, measurand, quantity, np.array([condition]), context).at(0)
    assert figure.absent is None, figure.absent
    assert figure.value is not None
    return figure.value


def reason(run: ReducedRun, measurand: str, quantity: Quantity, condition: float, context: RunContext = CONTEXT) -> str:
    figure = evaluate_figure(run, measurand, quantity, np.array([condition]), context).at(0)
    assert figure.value is None
    assert figure.budget == ()
    assert figure.absent is not None
    return figure.absent


def test_figures_at_a_speed_follow_from_constant_coefficients() -> None:
    run = made_runs.run(curves=CONSTANT)
    w, d = 1400.0, made_runs.DIAMETER
    n = w / (2 * math.pi)
    thrust, torque = RHO * made_runs.KT * w**2, RHO * made_runs.KQ * w**2
    area = math.pi * d**2 / 4
    assert value(run, "thrust", "speed", w) == pytest.approx(thrust, rel=1e-12)
    assert value(run, "torque", "speed", w) == pytest.approx(torque, rel=1e-12)
    assert value(run, "shaft-power", "speed", w) == pytest.approx(torque * w, rel=1e-12)
    assert value(run, "thrust-coefficient", "speed", w) == pytest.approx(thrust / (RHO * n**2 * d**4), rel=1e-12)
    assert value(run, "power-coefficient", "speed", w) == pytest.approx(torque * w / (RHO * n**3 * d**5), rel=1e-12)
    ideal = thrust**1.5 / math.sqrt(2 * RHO * area)
    assert value(run, "figure-of-merit", "speed", w) == pytest.approx(ideal / (torque * w), rel=1e-12)
    induced = math.sqrt(thrust / (2 * RHO * area))
    assert value(run, "inflow-ratio", "speed", w) == pytest.approx(induced / (w * d / 2), rel=1e-12)
    # ISO 2533: the speed of sound at 288.15 K is 340.294 m/s
    assert value(run, "tip-mach", "speed", w) == pytest.approx(w * d / 2 / 340.294, rel=2e-6)


def test_figures_at_a_thrust_follow_from_constant_coefficients() -> None:
    run = made_runs.run(curves=CONSTANT)
    w = math.sqrt(N_1000GF / (RHO * made_runs.KT))
    shaft, electrical = RHO * made_runs.KQ * w**3, RHO * made_runs.KE * w**3
    expected = {
        "speed": w,
        "torque": shaft / w,
        "shaft-power": shaft,
        "electrical-power": electrical,
        "shaft-efficiency": N_1000GF / shaft,
        "electrical-efficiency": N_1000GF / electrical,
        "drive-efficiency": shaft / electrical,
        "current": made_runs.KI * w**2,
        "throttle": w / 2000.0,
        "figure-of-merit": N_1000GF**1.5 / math.sqrt(2 * RHO * math.pi * made_runs.DIAMETER**2 / 4) / shaft,
    }
    for measurand, truth in expected.items():
        assert value(run, measurand, "thrust", N_1000GF) == pytest.approx(truth, rel=1e-11), measurand


def test_a_thrust_asked_for_comes_back_from_its_own_speed() -> None:
    run = made_runs.run()
    thrusts = np.linspace(0.8, 25.0, 40)
    speeds = evaluate_figure(run, "speed", "thrust", thrusts, CONTEXT)
    assert all(reason is None for reason in speeds.absent)
    back = evaluate_figure(run, "thrust", "speed", speeds.values, CONTEXT)
    np.testing.assert_allclose(back.values, thrusts, rtol=1e-11)


def test_figures_hold_in_standard_air_whatever_the_air_of_the_day() -> None:
    thin, thick = made_runs.run(density=1.10), made_runs.run(density=1.25)
    for measurand in ("speed", "shaft-power", "electrical-power"):
        assert value(thin, measurand, "thrust", 5.0) == value(thick, measurand, "thrust", 5.0)


@pytest.mark.parametrize(
    ("quantity", "condition"), [("speed", 199.0), ("speed", 1701.0), ("thrust", 60.0), ("thrust", 0.1)]
)
def test_nothing_is_extrapolated(quantity: Quantity, condition: float) -> None:
    run = made_runs.run()
    measurand = "torque"
    told = reason(run, measurand, quantity, condition)
    assert "1910 to 16230 rpm" in told or "gf" in told
    assert "measured" in told


def test_the_measured_limits_themselves_count_as_measured() -> None:
    run = made_runs.run()
    for w in (made_runs.LOW, made_runs.HIGH):
        thrust = value(run, "thrust", "speed", w)
        assert value(run, "speed", "thrust", thrust) == pytest.approx(w, rel=1e-8)


def test_a_curve_with_a_narrower_range_says_so() -> None:
    curves = CONSTANT | {"electrical-power": made_runs.curve("electrical-power", made_runs.KE, high=900.0)}
    run = made_runs.run(curves=curves)
    told = reason(run, "electrical-power", "thrust", N_1000GF * 1.2)
    assert told.startswith("electrical-power was measured from 1910 to 8594 rpm, not at ")
    assert value(run, "shaft-power", "thrust", N_1000GF * 1.2) > 0


def test_a_thrust_reached_at_two_speeds_has_no_single_speed() -> None:
    falling = made_runs.curve("thrust", lambda w: made_runs.KT * (1.6 - w / 1100.0))
    run = made_runs.run(curves=CONSTANT | {"thrust": falling})
    assert "2 speeds" in reason(run, "speed", "thrust", 6.0)


def test_without_torque_what_needs_it_is_absent_with_the_runs_own_reason() -> None:
    curves = {name: curve for name, curve in CONSTANT.items() if name != "torque"}
    run = made_runs.run(curves=curves, absent={"torque": "the rig has no torque channel"})
    for measurand in ("torque", "shaft-power", "shaft-efficiency", "figure-of-merit", "drive-efficiency"):
        assert reason(run, measurand, "thrust", 5.0) == "the rig has no torque channel"
    assert value(run, "electrical-efficiency", "thrust", 5.0) > 0


def test_without_diameter_only_what_contains_it_is_absent() -> None:
    run = made_runs.run()
    nothing = RunContext()
    for measurand in ("thrust-coefficient", "power-coefficient", "figure-of-merit", "inflow-ratio", "tip-mach"):
        assert reason(run, measurand, "speed", 1000.0, nothing) == "no diameter is stated for Auk"
    for measurand in ("shaft-power", "shaft-efficiency", "electrical-efficiency", "drive-efficiency", "speed"):
        assert value(run, measurand, "thrust", 5.0, nothing) == value(run, measurand, "thrust", 5.0)


def test_thrust_torque_power_and_efficiencies_do_not_depend_on_the_diameter() -> None:
    run = made_runs.run(curves=made_runs.standard_curves(noise=0.01))
    for measurand in ("torque", "shaft-power", "electrical-power", "shaft-efficiency", "drive-efficiency"):
        one, two = (
            evaluate_figure(run, measurand, "thrust", np.array([5.0]), RunContext(diameter=d)).at(0)
            for d in (0.1778, 0.2)
        )
        assert two.value == pytest.approx(one.value, rel=1e-9)
        assert two.budget[0].contribution == pytest.approx(one.budget[0].contribution, rel=1e-9)


def test_without_air_the_coefficients_are_absent_and_the_rest_is_marked() -> None:
    run = made_runs.run(density=None)
    assert "density" in reason(run, "thrust-coefficient", "speed", 1000.0)
    figure = evaluate_figure(run, "shaft-power", "thrust", np.array([5.0]), CONTEXT).at(0)
    assert figure.value is not None
    assert AIR_OF_THE_DAY in figure.flags


def test_without_a_speed_channel_electrical_figures_hold_at_a_thrust_in_the_air_of_the_day() -> None:
    # x = sqrt(T): P = k x^3, i = m x^2
    low, high = 0.5, 5.0
    curves = {
        "electrical-power": made_runs.curve("electrical-power", 3.0, low=low, high=high),
        "current": made_runs.curve("current", 0.4, low=low, high=high),
        "throttle": made_runs.curve("throttle", lambda x: x / 6.0, low=low, high=high),
    }
    run = made_runs.run(curves=curves, abscissa="root-thrust", absent={"speed": "the rig has no speed channel"})
    assert value(run, "electrical-power", "thrust", 9.0) == pytest.approx(3.0 * 27.0, rel=1e-12)
    assert value(run, "electrical-efficiency", "thrust", 9.0) == pytest.approx(9.0 / 81.0, rel=1e-12)
    assert value(run, "current", "thrust", 9.0) == pytest.approx(0.4 * 9.0, rel=1e-12)
    assert value(run, "throttle", "thrust", 9.0) == pytest.approx(0.5, rel=1e-12)
    figure = evaluate_figure(run, "electrical-power", "thrust", np.array([9.0]), CONTEXT).at(0)
    assert AIR_OF_THE_DAY in figure.flags
    assert reason(run, "speed", "thrust", 9.0) == "the rig has no speed channel"
    assert reason(run, "thrust", "speed", 1000.0) == "the rig has no speed channel"
    assert "25.49 to 2549 gf" in reason(run, "current", "thrust", 30.0)


def test_vibration_and_sound_say_what_is_missing() -> None:
    run = made_runs.run()
    assert reason(run, "vibration", "thrust", 5.0) == "the run has no recording from an accelerometer"
    with_sound = RunContext(made_runs.DIAMETER, frozenset({"sound"}))
    assert reason(run, "sound-level", "thrust", 5.0, with_sound) == (
        "sound was recorded, but this version does not reduce it"
    )


def test_single_figures_are_handed_on_and_others_are_absent() -> None:
    run = made_runs.run(
        figures=(made_runs.peak("peak-thrust", 12.0, 0.1, "run spring/r01 peak"),), flags=("air-from-book",)
    )
    figure = single_figure(run, "peak-thrust")
    assert figure.value == 12.0
    assert figure.flags == ("air-from-book",)
    assert single_figure(run, "spin-up-rate").value is None


def test_an_inertia_that_nobody_knows_marks_what_rests_on_torque_and_nothing_else() -> None:
    run = made_runs.run(inertia_wanted=True)
    where = np.array([5.0])
    assert "inertia-not-removed" in evaluate_figure(run, "shaft-power", "thrust", where, CONTEXT).flags
    assert "inertia-not-removed" in evaluate_figure(run, "current", "thrust", where, CONTEXT).flags
    assert "inertia-not-removed" not in evaluate_figure(run, "speed", "thrust", where, CONTEXT).flags
