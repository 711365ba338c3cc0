"""How a run's figure comes about, on hand-made runs whose curves are straight lines."""

from __future__ import annotations

import math

import numpy as np
import pytest

import made_runs
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Condition
from isothrust.records.trail import RunWorking
from isothrust.reduction.figures import RunContext, evaluate_figure, single_figure
from isothrust.reduction.figures_formulas import AT_ROOT_THRUST, AT_SPEED_POINT
from isothrust.reduction.figures_lines import AT_ROOT_THRUST_LINES, AT_SPEED_LINES, LAST_LINE, steps_to
from isothrust.reduction.figures_working import CURVE_SYMBOLS, working_of

CONTEXT = RunContext(made_runs.DIAMETER)
AT_SPEED = Condition("speed", 1100.0)
AT_THRUST = Condition("thrust", 9.0)


def worked(run: ReducedRun, measurand: str, condition: Condition) -> RunWorking:
    series = evaluate_figure(run, measurand, condition.quantity, np.array([condition.value]), CONTEXT)
    return working_of(run, series.at(0), condition, CONTEXT)


def noisy_run(**others: object) -> ReducedRun:
    curves = {**made_runs.standard_curves(noise=0.002), **made_runs.heard_curves(noise=0.002)}
    influences = (
        made_runs.scale_influence("thrust", curves, 0.003),
        made_runs.scale_influence("torque", curves, 0.006),
        made_runs.scale_influence("electrical-power", curves, 0.005),
    )
    return made_runs.run(curves=curves, influences=influences, **others)  # type: ignore[arg-type]


@pytest.mark.parametrize("measurand", sorted(AT_SPEED_POINT))
@pytest.mark.parametrize("condition", [AT_SPEED, AT_THRUST])
def test_the_last_line_is_the_figure(measurand: str, condition: Condition) -> None:
    working = worked(noisy_run(), measurand, condition)
    value = working.figure.value
    assert value is not None
    if measurand == "speed":
        assert (working.pieces[0].x if condition == AT_THRUST else condition.value) == value
    else:
        assert working.steps[-1].value == pytest.approx(value, rel=1e-12)
        assert working.steps[-1].symbol == LAST_LINE[measurand]


def test_a_line_of_thrust_is_the_product_that_it_spells() -> None:
    working = worked(noisy_run(), "thrust", AT_SPEED)
    (step,) = working.steps
    ordinate = made_runs.KT * (0.9 + 1e-4 * 1100.0)
    assert step.formula == "{rho0} * {y_T} * {omega}^2"
    assert dict(step.operands) == pytest.approx({"rho0": 1.225, "y_T": ordinate, "omega": 1100.0})
    assert step.value == pytest.approx(1.225 * ordinate * 1100.0**2)


def test_at_a_thrust_the_first_line_gives_that_thrust() -> None:
    working = worked(noisy_run(), "shaft-power", AT_THRUST)
    assert [step.symbol for step in working.steps] == ["T", "Q", "P"]
    assert working.steps[0].value == pytest.approx(9.0, rel=1e-10)
    assert [piece.curve for piece in working.pieces] == ["thrust", "torque"]


def test_a_piece_is_the_curve_at_the_condition() -> None:
    run = noisy_run()
    (piece,) = worked(run, "torque", AT_SPEED).pieces
    # between the knots 950 and 1200 rad/s of seven even ones from 200 to 1700 rad/s
    assert (piece.left, piece.width, piece.t) == pytest.approx((950.0, 250.0, 0.6))
    a0, a1, a2, a3 = piece.coefficients
    assert a0 == pytest.approx(made_runs.KQ * (1.1 - 5e-5 * 950.0))
    assert a1 == pytest.approx(made_runs.KQ * -5e-5 * 250.0)
    assert abs(a2) + abs(a3) < 1e-9 * a0
    assert piece.value == pytest.approx(made_runs.KQ * (1.1 - 5e-5 * 1100.0))


def test_sensitivities_are_those_of_the_formula() -> None:
    working = worked(noisy_run(), "shaft-efficiency", AT_THRUST)
    thrust, torque = working.pieces
    figure = working.figure.value
    assert figure is not None
    # T/P at T = const goes as 1/(y_Q omega^3), and the speed that a greater y_T needs falls: d ln omega = -1/(2 + s) of
    # d ln y_T, with s = d ln y_T/d ln omega
    w = thrust.x
    slope_t = 1e-4 * w / (0.9 + 1e-4 * w)
    slope_q = -5e-5 * w / (1.1 - 5e-5 * w)
    expected = (3.0 + slope_q) / (2.0 + slope_t)
    assert thrust.sensitivity * thrust.value / figure == pytest.approx(expected, rel=1e-9)
    assert torque.sensitivity * torque.value / figure == pytest.approx(-1.0, rel=1e-9)


@pytest.mark.parametrize("measurand", sorted(set(AT_SPEED_POINT) - {"tip-mach"}))
@pytest.mark.parametrize("condition", [AT_SPEED, AT_THRUST])
def test_the_budget_follows_from_what_each_source_does_to_the_curves(measurand: str, condition: Condition) -> None:
    working = worked(noisy_run(), measurand, condition)
    pieces = {piece.curve: piece for piece in working.pieces}
    assert working.budget or (measurand, condition) in {("thrust", AT_THRUST), ("speed", AT_SPEED)}
    for step in working.budget:
        parts = [pieces[name].sensitivity * pieces[name].value * moved for name, moved in step.relative.items()]
        noise = step.line.source.startswith("noise")
        expected = math.sqrt(sum(part**2 for part in parts)) if noise else sum(parts)
        assert step.line.contribution == pytest.approx(expected, rel=1e-9)


def test_a_run_without_speed_is_worked_over_the_root_of_thrust() -> None:
    curves = {
        "electrical-power": made_runs.curve("electrical-power", 9.0, low=0.5, high=4.0),
        "current": made_runs.curve("current", 0.4, low=0.5, high=4.0),
        "throttle": made_runs.curve("throttle", lambda x: x / 5.0, low=0.5, high=4.0),
        **made_runs.heard_curves(low=0.5, high=4.0),
    }
    run = made_runs.run(curves=curves, abscissa="root-thrust", density=None)
    for measurand in AT_ROOT_THRUST:
        working = worked(run, measurand, Condition("thrust", 4.0))
        assert working.steps[-1].value == pytest.approx(working.figure.value, rel=1e-12)
    working = worked(run, "electrical-efficiency", Condition("thrust", 4.0))
    assert [(step.symbol, step.value) for step in working.steps] == [
        ("x", pytest.approx(2.0)),
        ("P_el", pytest.approx(72.0)),
        ("T_per_P_el", pytest.approx(4.0 / 72.0)),
    ]


def test_an_absent_figure_has_its_reason_and_nothing_else() -> None:
    working = worked(noisy_run(), "shaft-power", Condition("thrust", 500.0))
    assert working.figure.absent is not None
    assert "500" in working.figure.absent or "gf" in working.figure.absent
    assert (working.pieces, working.steps, working.budget) == ((), (), ())


def test_a_peak_has_its_budget_and_no_curve() -> None:
    run = made_runs.run(figures=(made_runs.peak("peak-thrust", 14.0, 0.1, "run spring/r01 peak-thrust noise"),))
    working = working_of(run, single_figure(run, "peak-thrust"), None, CONTEXT)
    assert [step.line.contribution for step in working.budget] == [0.1]
    assert working.pieces == working.steps == ()


def test_every_figure_has_a_last_line_and_every_line_its_operands() -> None:
    assert set(LAST_LINE) == set(AT_SPEED_POINT)
    assert set(AT_ROOT_THRUST) <= set(LAST_LINE)
    given = {"rho0", "rho", "omega", "D", "a0", *CURVE_SYMBOLS.values()}
    for lines, known in ((AT_SPEED_LINES, given), (AT_ROOT_THRUST_LINES, given | {"T"})):
        for name, line in lines.items():
            assert set(line.operands) <= {*lines, *known}, name


def test_a_line_that_is_needed_twice_is_written_once() -> None:
    given = {"rho0": 1.2, "omega": 1000.0, "D": 0.18, "y_T": 1e-5, "y_Q": 1e-7}
    steps = steps_to("FM", AT_SPEED_LINES, given)
    assert [step.symbol for step in steps] == ["T", "A", "Q", "P", "FM"]
