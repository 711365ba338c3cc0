"""Gradients against a Monte-Carlo draw and finite differences; influences with their signs."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Literal

import numpy as np
import pytest

import made_runs
from isothrust.records.curve import Influence
from isothrust.records.recording import Floats
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures import RunContext, evaluate_figure

Quantity = Literal["thrust", "speed"]
CONTEXT = RunContext(diameter=made_runs.DIAMETER)
ASKED: list[tuple[str, Quantity, float]] = [
    ("thrust", "speed", 1200.0),
    ("figure-of-merit", "speed", 1200.0),
    ("inflow-ratio", "speed", 1200.0),
    ("power-coefficient", "speed", 300.0),
    ("speed", "thrust", 9.0),
    ("torque", "thrust", 9.0),
    ("shaft-power", "thrust", 9.0),
    ("electrical-power", "thrust", 20.0),
    ("shaft-efficiency", "thrust", 9.0),
    ("electrical-efficiency", "thrust", 3.0),
    ("drive-efficiency", "thrust", 9.0),
    ("current", "thrust", 9.0),
    ("throttle", "thrust", 9.0),
    ("figure-of-merit", "thrust", 9.0),
]


def shifted(run: ReducedRun, shifts: Mapping[str, Floats], factor: float = 1.0) -> ReducedRun:
    curves = {
        name: dataclasses.replace(curve, coefficients=curve.coefficients + factor * shifts.get(name, 0.0))
        for name, curve in run.curves.items()
    }
    return dataclasses.replace(run, curves=curves)


@pytest.mark.parametrize(("measurand", "quantity", "condition"), ASKED)
def test_an_influence_moves_a_figure_by_its_contribution(measurand: str, quantity: Quantity, condition: float) -> None:
    rng = np.random.default_rng(7)
    plain = made_runs.run()
    shifts = {n: 1e-5 * rng.standard_normal(c.coefficients.size) * c.coefficients for n, c in plain.curves.items()}
    influence = Influence("made up", "rig loft made up", "rig", math.inf, shifts)
    run = dataclasses.replace(plain, influences=(influence,))
    where = np.array([condition])
    told = evaluate_figure(run, measurand, quantity, where, CONTEXT).at(0).budget[-1]
    assert told.key == "rig loft made up"
    up, down = (
        evaluate_figure(shifted(plain, shifts, sign), measurand, quantity, where, CONTEXT).values[0]
        for sign in (1.0, -1.0)
    )
    assert told.contribution == pytest.approx((up - down) / 2, rel=1e-4)


@pytest.mark.parametrize(("measurand", "quantity", "condition"), ASKED)
def test_noise_is_what_a_draw_of_the_coefficients_scatters_by(
    measurand: str, quantity: Quantity, condition: float
) -> None:
    run = made_runs.run(curves=made_runs.standard_curves(noise=0.003))
    rng = np.random.default_rng(11)
    where = np.array([condition])
    told = evaluate_figure(run, measurand, quantity, where, CONTEXT).at(0).budget[0]
    assert (told.key, told.scope) == ("run spring/r01 noise", "run")
    draws = []
    for _ in range(150):
        shifts = {
            n: rng.multivariate_normal(np.zeros(c.coefficients.size), c.covariance, method="cholesky")
            for n, c in run.curves.items()
        }
        draws.append(evaluate_figure(shifted(run, shifts), measurand, quantity, where, CONTEXT).values[0])
    # the standard deviation of 150 draws is itself known to 5.8 % (one sigma)
    assert told.contribution == pytest.approx(np.std(draws, ddof=1), rel=0.2)


def test_a_thrust_scale_error_acts_on_power_at_thrust_by_the_known_power_law() -> None:
    # constant coefficients: P at fixed T goes as k_T^-1.5, so +0.3 % in k_T is -0.45 %
    curves = {"thrust": made_runs.curve("thrust", made_runs.KT), "torque": made_runs.curve("torque", made_runs.KQ)}
    run = made_runs.run(curves=curves, influences=(made_runs.scale_influence("thrust", curves, 0.003),))
    figure = evaluate_figure(run, "shaft-power", "thrust", np.array([9.0]), CONTEXT).at(0)
    assert figure.budget[-1].contribution == pytest.approx(-1.5 * 0.003 * figure.value, rel=1e-9)


def test_a_torque_scale_error_does_not_stand_in_the_budget_of_a_speed() -> None:
    curves = made_runs.standard_curves(noise=0.001)
    run = made_runs.run(
        curves=curves,
        influences=(
            made_runs.scale_influence("torque", curves, 0.006),
            made_runs.scale_influence("thrust", curves, 0.003),
        ),
    )
    budget = evaluate_figure(run, "speed", "thrust", np.array([9.0]), CONTEXT).at(0).budget
    assert [line.source for line in budget] == ["noise left by the fit", "thrust scale"]


def test_degrees_of_freedom_of_noise_follow_welch_and_satterthwaite() -> None:
    # GUM G.2b: two equal variances with 5 and 20 degrees of freedom give 4/(1/5 + 1/20) = 16
    curves = {
        "thrust": made_runs.curve("thrust", made_runs.KT, noise=0.001 / 1.5, dof=5.0),
        "torque": made_runs.curve("torque", made_runs.KQ, noise=0.001, dof=20.0),
    }
    run = made_runs.run(curves=curves)
    # FM goes as k_T^1.5/k_Q: the two curves weigh 1.5 and 1
    budget = evaluate_figure(run, "figure-of-merit", "speed", np.array([900.0]), CONTEXT).at(0).budget
    assert budget[0].degrees_of_freedom == pytest.approx(16.0, rel=1e-9)


def test_figures_at_many_conditions_equal_those_at_each() -> None:
    run = made_runs.run(curves=made_runs.standard_curves(noise=0.002))
    thrusts = np.array([0.01, 2.0, 9.0, 500.0])
    series = evaluate_figure(run, "shaft-efficiency", "thrust", thrusts, CONTEXT)
    for index, thrust in enumerate(thrusts):
        alone = evaluate_figure(run, "shaft-efficiency", "thrust", np.array([thrust]), CONTEXT).at(0)
        together = series.at(index)
        assert (together.value is None) == (alone.value is None)
        assert together.absent == alone.absent
        if alone.value is not None:
            assert together.value == pytest.approx(alone.value, rel=1e-12)
            assert together.budget[0].contribution == pytest.approx(alone.budget[0].contribution, rel=1e-9)
