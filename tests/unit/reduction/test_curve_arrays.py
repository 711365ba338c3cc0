"""Curves as arrays: values and covariances against closed forms and an independent spline, NaN outside the range."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.interpolate import BSpline

import made_runs
from isothrust.errors import UsageError
from isothrust.records.curve import Influence
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.curve_arrays import curve_arrays
from isothrust.reduction.figures import RunContext, evaluate_figure

SPEEDS = np.array([250.0, 700.0, 1234.5, 1600.0])
CONTEXT = RunContext(0.1778, frozenset({"speed", "thrust", "torque", "current", "voltage", "throttle"}))


def noisy_run(**others: object) -> ReducedRun:
    curves = made_runs.standard_curves(noise=0.002)
    thrust = made_runs.scale_influence("thrust", curves, 0.003)
    zero = Influence(
        "thrust zero",
        "run spring/r01 thrust zero",
        "run",
        20.0,
        {"thrust": 1e-9 * np.linspace(3.0, -1.0, made_runs.COEFFICIENTS)},
    )
    return made_runs.run(curves=curves, influences=(thrust, zero), **others)


@pytest.mark.parametrize(
    ("name", "expected", "unit"),
    [
        ("thrust", lambda w: 1.225 * made_runs.KT * (0.9 + 1e-4 * w) * w**2, "N"),
        ("torque", lambda w: 1.225 * made_runs.KQ * (1.1 - 5e-5 * w) * w**2, "N m"),
        ("electrical-power", lambda w: 1.225 * made_runs.KE * (1.2 - 1e-4 * w) * w**3, "W"),
        ("current", lambda w: made_runs.KI * w**2, "A"),
        ("voltage", lambda w: 24.0 + 0.0 * w, "V"),
        ("throttle", lambda w: w / 2000.0, "1"),
    ],
)
def test_readings_are_those_that_the_curve_was_made_from(
    name: str, expected: Callable[[np.ndarray], np.ndarray], unit: str
) -> None:
    arrays = curve_arrays(noisy_run(), name, SPEEDS)
    assert arrays.y == pytest.approx(expected(SPEEDS), rel=1e-12)
    assert (arrays.unit, arrays.x_unit) == (unit, "rad/s")


def test_noise_between_points_is_that_of_an_independent_spline() -> None:
    run = noisy_run()
    curve = run.curves["thrust"]
    basis = BSpline.design_matrix(SPEEDS, curve.knots, 3).toarray()
    size = 1.225 * SPEEDS**2
    expected = np.outer(size, size) * (basis @ curve.covariance @ basis.T)
    assert curve_arrays(run, "thrust", SPEEDS).noise == pytest.approx(expected, rel=1e-10)


def test_a_scale_error_moves_all_points_in_proportion_and_together() -> None:
    thrust = curve_arrays(noisy_run(), "thrust", SPEEDS)
    assert thrust.effects["rig loft thrust scale"] == pytest.approx(0.003 * thrust.y, rel=1e-12)
    without = thrust.covariance - thrust.noise - np.outer(*[thrust.effects["run spring/r01 thrust zero"]] * 2)
    assert without == pytest.approx(np.outer(0.003 * thrust.y, 0.003 * thrust.y), rel=1e-9)


def test_uncertainty_is_that_of_the_figure_s_budget() -> None:
    run = noisy_run()
    arrays = curve_arrays(run, "thrust", SPEEDS)
    series = evaluate_figure(run, "thrust", "speed", SPEEDS, CONTEXT)
    for place in range(SPEEDS.size):
        figure = series.at(place)
        u = math.sqrt(sum(line.contribution**2 for line in figure.budget))
        assert arrays.y[place] == pytest.approx(figure.value, rel=1e-12)
        assert arrays.uncertainty[place] == pytest.approx(u, rel=1e-9)


def test_covariance_is_symmetric_and_has_no_negative_variance() -> None:
    covariance = curve_arrays(noisy_run(), "thrust").covariance
    assert covariance.shape == (101, 101)
    assert np.allclose(covariance, covariance.T, rtol=1e-12)
    assert np.linalg.eigvalsh(covariance).min() > -1e-12 * np.trace(covariance)


def test_sources_of_one_key_add_up_before_they_are_squared() -> None:
    curves = made_runs.standard_curves()
    twice = (made_runs.scale_influence("thrust", curves, 0.003), made_runs.scale_influence("thrust", curves, -0.001))
    arrays = curve_arrays(made_runs.run(curves=curves, influences=twice), "thrust", SPEEDS)
    assert arrays.uncertainty == pytest.approx(0.002 * arrays.y, rel=1e-9)


def test_nothing_is_read_outside_the_measured_range() -> None:
    arrays = curve_arrays(noisy_run(), "thrust", [199.0, 200.0, 1700.0, 1701.0])
    assert np.isfinite(arrays.y).tolist() == [False, True, True, False]
    assert np.isfinite(arrays.uncertainty).tolist() == [False, True, True, False]


def test_without_abscissae_the_measured_range_is_covered() -> None:
    arrays = curve_arrays(noisy_run(), "torque")
    assert (arrays.x[0], arrays.x[-1], arrays.x.size) == (made_runs.LOW, made_runs.HIGH, 101)
    assert np.isfinite(arrays.y).all()


def test_a_run_without_speed_gives_its_curves_over_the_root_of_thrust_as_recorded() -> None:
    curves = {"electrical-power": made_runs.curve("electrical-power", 6.0, low=1.0, high=4.0)}
    arrays = curve_arrays(made_runs.run(curves=curves, abscissa="root-thrust"), "electrical-power", [2.0])
    assert arrays.y == pytest.approx([6.0 * 2.0**3], rel=1e-12)
    assert (arrays.abscissa, arrays.x_unit, arrays.unit) == ("root-thrust", "N^0.5", "W")


def test_a_missing_curve_is_told_with_its_reason() -> None:
    run = made_runs.run(
        curves={"thrust": made_runs.curve("thrust", 1e-5)}, absent={"torque": "the rig has no torque channel"}
    )
    with pytest.raises(UsageError, match='no curve "torque": the rig has no torque channel') as raised:
        curve_arrays(run, "torque")
    assert raised.value.code == "no-curve"
    assert "thrust" in str(raised.value)


def test_a_name_that_is_no_curve_is_told_with_those_that_there_are() -> None:
    with pytest.raises(UsageError, match="expected: thrust, torque"):
        curve_arrays(noisy_run(), "shaft-efficiency")
