"""Predictions from hand-made runs: closed forms, refusals, marks, and what moves an interval."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

import made_runs
from isothrust.errors import UsageError
from isothrust.records.prediction import Craft, Estimated, Power, Prediction
from isothrust.workflows.predict import PredictAsked, predict_designs
from support.match_books import GF, KV, RPM, book, runs

ASKED = PredictAsked(("Auk",), "m1", Power(14.0))
CRAFT = Craft(0.9, 4, 0.012)


def predicted(asked: PredictAsked = ASKED) -> Prediction:
    (prediction,) = predict_designs(book(), runs(), asked)
    return prediction


def value(figure: Estimated) -> float:
    assert figure.value is not None, figure.absent
    return figure.value


def test_full_throttle_solves_the_motors_equations() -> None:
    found = predicted()
    omega, current = value(found.figure("peak-speed")), value(found.figure("peak-current"))
    torque = made_runs.DENSITY0 * made_runs.KQ * (1.1 - 5e-5 * omega) * omega**2
    motor = KV * torque + 0.6
    copper = 0.08 * (1.0 + 0.0039 * 20.0)
    assert omega / KV + copper * motor == pytest.approx(14.0, rel=2e-4)
    assert current == pytest.approx(motor + (0.005 * motor**2 + 1.0) / 14.0, rel=2e-4)
    thrust = made_runs.DENSITY0 * made_runs.KT * 1.002 * (0.9 + 1e-4 * omega) * omega**2
    assert value(found.figure("peak-thrust")) == pytest.approx(thrust, rel=2e-3)


def test_hover_power_is_what_the_drive_takes_at_the_weights_share() -> None:
    found = predicted(replace(ASKED, craft=CRAFT))
    omega = value(found.figure("hover-speed"))
    share = 0.9 * 9.80665 / 4.0
    assert made_runs.DENSITY0 * made_runs.KT * 1.002 * (0.9 + 1e-4 * omega) * omega**2 == pytest.approx(share, rel=2e-3)
    whole, one = (value(found.figure(name)) for name in ("craft-hover-power", "hover-electrical-power"))
    assert whole == pytest.approx(4.0 * one)
    shaft = made_runs.DENSITY0 * made_runs.KQ * (1.1 - 5e-5 * omega) * omega**3
    assert one > shaft > share * math.sqrt(share / (2.0 * made_runs.DENSITY0 * math.pi * made_runs.DIAMETER**2 / 4.0))


def test_endurance_without_sag_is_energy_over_power() -> None:
    found = predicted(replace(ASKED, craft=CRAFT, power=Power(14.0, usable_energy=72e3)))
    assert value(found.figure("endurance")) == pytest.approx(72e3 / value(found.figure("craft-hover-power")), rel=1e-9)


def test_shared_battery_sags_by_the_current_of_all_rotors() -> None:
    stiff = predicted(replace(ASKED, craft=CRAFT))
    sagging = predicted(replace(ASKED, craft=CRAFT, power=Power(14.0, 0.02)))
    current, voltage = (value(sagging.figure(name)) for name in ("peak-current", "peak-voltage"))
    assert voltage == pytest.approx(14.0 - 4.0 * 0.02 * current, rel=1e-9)
    assert value(sagging.figure("peak-thrust")) < value(stiff.figure("peak-thrust"))


def test_every_value_has_an_interval_and_a_budget_that_makes_it() -> None:
    found = predicted(replace(ASKED, craft=CRAFT, power=Power(14.0, usable_energy=72e3)))
    told = [figure for figure in found.figures if figure.value is not None]
    assert len(told) > 12
    for figure in told:
        if figure.name == "peak-voltage":  # a stiff supply does not sag
            continue
        assert figure.interval is not None
        assert figure.interval[0] < value(figure) < figure.interval[1], figure.name
        assert figure.standard_uncertainty == pytest.approx(
            math.sqrt(sum(line.contribution**2 for line in figure.budget)), rel=1e-9
        )


def test_thrust_scale_of_the_rig_passes_into_the_thrust_with_its_key() -> None:
    figure = predicted().figure("peak-thrust")
    scale = next(line for line in figure.budget if line.key == "rig loft thrust scale")
    assert scale.contribution == pytest.approx(0.004 * value(figure), rel=1e-6)
    assert scale.scope == "rig"


def test_interval_agrees_with_monte_carlo_draws_of_the_motors_constants() -> None:
    """JCGM 101: draw KV, resistance and friction, solve each, and look at the scatter."""
    figure = predicted().figure("peak-thrust")
    draws = np.random.default_rng(5).standard_normal((4, 40_000))
    kv, resistance = KV * (1.0 + 0.03 * draws[0]), 0.08 * (1.0 + 0.15 * draws[1])
    friction = 0.6 * (1.0 + 0.2 * draws[2]) / kv
    copper = resistance * (1.0 + 0.0039 * (20.0 + 15.0 * draws[3]))
    omega = np.full(kv.size, 1500.0)
    for _ in range(60):
        torque = made_runs.DENSITY0 * made_runs.KQ * (1.1 - 5e-5 * omega) * omega**2
        omega = 0.5 * omega + 0.5 * kv * (14.0 - copper * kv * (torque + friction))
    thrust = made_runs.DENSITY0 * made_runs.KT * (0.9 + 1e-4 * omega) * omega**2
    ours = math.sqrt(sum(line.contribution**2 for line in figure.budget if line.key.startswith("motor m1")))
    assert ours == pytest.approx(float(np.std(thrust)), rel=0.03)


def test_speed_beyond_the_measured_ones_is_refused_with_the_way_out() -> None:
    figure = predicted(replace(ASKED, power=Power(20.0))).figure("peak-thrust")
    assert figure.value is None
    assert figure.absent is not None
    assert "beyond the measured speeds" in figure.absent
    assert "--extrapolate" in figure.absent


def test_extrapolated_figure_is_marked_and_its_interval_wider() -> None:
    inside = predicted().figure("peak-thrust")
    beyond = predicted(replace(ASKED, power=Power(20.0), extrapolate=True)).figure("peak-thrust")
    assert beyond.flags == ("extrapolated",)
    assert any("beyond the measured speeds" in line.source for line in beyond.budget)
    widths = [(figure.standard_uncertainty or 0.0) / value(figure) for figure in (inside, beyond)]
    assert widths[1] > widths[0]


def test_extrapolating_changes_nothing_inside_the_measured_speeds() -> None:
    plain, extended = predicted(), predicted(replace(ASKED, extrapolate=True))
    assert value(extended.figure("peak-thrust")) == pytest.approx(value(plain.figure("peak-thrust")), rel=1e-9)
    assert extended.figure("peak-thrust").flags == ()


def test_even_extrapolation_has_an_end() -> None:
    figure = predicted(replace(ASKED, power=Power(40.0), extrapolate=True)).figure("peak-thrust")
    assert figure.value is None
    assert figure.absent is not None
    assert "even what may be extrapolated" in figure.absent


def test_craft_too_heavy_to_hover_says_so_and_still_tells_full_throttle() -> None:
    found = predicted(replace(ASKED, craft=Craft(12.0, 4)))
    assert value(found.figure("peak-thrust")) > 0.0
    assert value(found.figure("thrust-to-weight")) < 1.0
    assert "hover takes" in (found.figure("hover-speed").absent or "")
    assert found.figure("endurance").value is None


def test_limit_of_current_below_hover_says_so() -> None:
    found = predicted(replace(ASKED, craft=CRAFT, power=Power(14.0, current_limit=1.0)))
    assert "within 1 A" in (found.figure("hover-speed").absent or "")


def test_limit_that_holds_full_throttle_back_is_marked() -> None:
    figure = predicted(replace(ASKED, power=Power(14.0, current_limit=10.0))).figure("peak-current")
    assert value(figure) == pytest.approx(10.0, rel=1e-5)
    assert "current-limited" in figure.flags


def test_design_without_torque_is_absent_with_the_reason() -> None:
    found = predicted(replace(ASKED, designs=("Tern",)))
    assert [figure.name for figure in found.figures] == ["peak-thrust"]
    assert found.figure("peak-thrust").absent == "the rig has no torque channel"


def test_thin_air_takes_thrust_and_counts_reynolds_number() -> None:
    low, high = predicted(), predicted(replace(ASKED, altitude=2500.0))
    assert high.place.density == pytest.approx(0.956954, rel=1e-5)
    assert value(high.figure("peak-thrust")) < value(low.figure("peak-thrust"))
    assert any("Reynolds" in line.source for line in high.figure("peak-thrust").budget)


def test_other_motor_changes_the_inertia_by_its_rotor() -> None:
    asked = replace(ASKED, craft=CRAFT, power=Power(11.0))
    own, other = predicted(asked), predicted(replace(asked, motor="m2"))
    omega = value(own.figure("hover-speed"))
    slope = made_runs.DENSITY0 * made_runs.KQ * (2.2 * omega - 1.5e-4 * omega**2)
    for found, inertia, kv, resistance in ((own, 3e-5, 120.0, 0.08), (other, 3.1e-5, 150.0, 0.05)):
        line = 1.0 / (kv**2 * resistance * (1.0 + 0.0039 * 20.0))
        tau = value(found.figure("hover-time-constant"))
        assert tau == pytest.approx(inertia / (slope + line), rel=2e-3)
        assert value(found.figure("control-bandwidth")) == pytest.approx(1.0 / (2.0 * math.pi * tau))


def test_airspeeds_are_bounds_and_say_so() -> None:
    found = predicted(replace(ASKED, craft=CRAFT))
    for name in ("climb-speed", "level-flight-speed"):
        figure = found.figure(name)
        assert figure.value is None
        assert figure.interval is not None
        assert 0.0 < figure.interval[0] < figure.interval[1]
        assert "bounds-only" in figure.flags


def test_top_speed_needs_a_drag_area() -> None:
    found = predicted(replace(ASKED, craft=Craft(0.9, 4)))
    assert "--drag-area" in (found.figure("level-flight-speed").absent or "")


def test_throttle_of_a_controller_that_was_not_tested_is_absent() -> None:
    figure = predicted(replace(ASKED, craft=CRAFT)).figure("hover-throttle")
    assert figure.value is None
    assert figure.absent


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        (replace(ASKED, motor="m3"), "unknown-motor"),
        (replace(ASKED, motor="bare"), "motor-unknown-constants"),
        (replace(ASKED, designs=("Auks",)), "unknown-design"),
        (replace(ASKED, designs=("Skua",)), "no-runs-of-design"),
        (replace(ASKED, campaigns=("autumn",)), "unknown-campaign"),
        (replace(ASKED, altitude=50e3), "out-of-range"),
        (replace(ASKED, temperature=500.0), "out-of-range"),
    ],
)
def test_what_cannot_be_predicted_is_told_in_the_usual_form(asked: PredictAsked, code: str) -> None:
    with pytest.raises(UsageError) as caught:
        predict_designs(book(), runs(), asked)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.where is not None
    assert problem.expected
    assert problem.fix


def test_tip_mach_is_that_of_the_speed_in_the_air_of_the_place() -> None:
    found = predicted(replace(ASKED, temperature=293.15))
    omega = value(found.figure("peak-speed"))
    expected = omega * made_runs.DIAMETER / 2.0 / 343.234
    assert value(found.figure("static-tip-mach")) == pytest.approx(expected, rel=1e-5)
    assert value(found.figure("peak-speed")) / RPM > 5000.0
    disc = math.pi * made_runs.DIAMETER**2 / 4.0
    induced = math.sqrt(value(found.figure("peak-thrust")) / (2.0 * found.place.density * disc))
    tip = omega * made_runs.DIAMETER / 2.0
    assert value(found.figure("static-inflow-ratio")) == pytest.approx(induced / tip, rel=1e-6)
    assert value(found.figure("peak-thrust")) > 100 * GF
