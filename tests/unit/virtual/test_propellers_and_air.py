"""What the simulated propellers and their air are made of, against independent values and limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from isothrust.virtual import STANDARD_AIR, Factors, Flutter, PropellerTruth, TrueAir, coefficient_table
from isothrust.virtual.monotone import Monotone
from unit.virtual.motors import RPM, five_inch, seven_inch

GF = 9.80665e-3


@pytest.mark.parametrize(
    ("celsius", "pressure", "humidity", "density"),
    [
        # CHECKS A1-A7: CIPM-2007 (Picard et al., Metrologia 45 (2008) 149), 400 ppm CO2.
        (20, 101_325, 0.5, 1.199314),
        (20, 101_325, 0.0, 1.204557),
        (23, 101_325, 0.4, 1.187330),
        (25, 101_325, 0.6, 1.175922),
        (35, 84_000, 0.2, 0.945017),
        (40, 70_000, 0.2, 0.772630),
        (30, 100_000, 0.9, 1.132946),
    ],
)
def test_density_by_its_own_formula_agrees_with_published_air(
    celsius: float, pressure: float, humidity: float, density: float
) -> None:
    assert TrueAir(celsius + 273.15, pressure, humidity).density == pytest.approx(density, rel=2e-4)


def test_standard_air_is_that_of_sea_level() -> None:
    # CHECKS A11: ISO 2533.
    assert STANDARD_AIR.density == pytest.approx(1.2250, rel=1e-7)
    assert STANDARD_AIR.pressure == pytest.approx(101_325, rel=5e-4)
    assert STANDARD_AIR.viscosity == pytest.approx(1.78938e-5, rel=1e-3)


def test_viscosity_follows_the_published_law() -> None:
    # CHECKS A15: Sutherland's formula, 273.15 K and 313.15 K.
    assert TrueAir(temperature=273.15).viscosity == pytest.approx(1.716079e-5, rel=2e-3)
    assert TrueAir(temperature=313.15).viscosity == pytest.approx(1.907574e-5, rel=2e-3)


def test_interpolation_agrees_with_a_general_purpose_library_between_the_ends() -> None:
    x = np.array([0.0, 1, 2.5, 3, 5, 8, 9])
    y = np.array([0.0, 2, 2, 5, 1, 1.5, 7])
    fine = np.linspace(1.0, 8.0, 400)
    np.testing.assert_allclose(Monotone.through(x, y)(fine), PchipInterpolator(x, y)(fine), rtol=1e-12, atol=1e-12)


def test_interpolation_goes_through_its_points_and_never_beyond_them() -> None:
    random = np.random.default_rng(5)
    for _ in range(40):
        x = np.cumsum(random.uniform(0.1, 2.0, 9))
        y = random.uniform(-1, 1, 9)
        table = Monotone.through(x, y)
        np.testing.assert_allclose(table(x), y, atol=1e-12)
        between = table(np.linspace(x[3], x[4], 60))
        assert between.min() >= min(y[3], y[4]) - 1e-12
        assert between.max() <= max(y[3], y[4]) + 1e-12
    assert table(x[-1] + 10.0) == pytest.approx(y[-1])


def test_coefficients_have_a_knee_at_low_speed_and_the_value_asked_for_at_14000_rpm() -> None:
    table = coefficient_table(0.11, power=0.045, depth=0.12, knee=95.0)
    assert table(14_000 / 60) == pytest.approx(0.11, rel=1e-3)
    below = (table(95.0) - table(85.0)) / 10
    above = (table(112.0) - table(96.0)) / 16
    assert below > 3 * above > 0


def test_flutter_puts_a_corner_into_cp_at_its_onset_and_nowhere_else() -> None:
    plain = seven_inch()
    soft = replace(plain, flutter=Flutter(onset=210.0, power_rise=0.05, thrust_loss=0.01, width=60.0))
    n = np.array([150.0, 209.9, 215.0, 270.0, 300.0])
    rise = soft.power_coefficient(n) / plain.power_coefficient(n) - 1
    np.testing.assert_allclose(rise, [0, 0, 0.05 * np.sin(np.pi * 5 / 120), 0.05, 0.05], atol=1e-12)
    assert soft.thrust_coefficient(280.0) == pytest.approx(0.99 * plain.thrust_coefficient(280.0))


def test_thinner_air_moves_the_coefficients_a_little_and_the_forces_in_proportion() -> None:
    truth = PropellerTruth(five_inch(), Factors())
    thin = TrueAir(temperature=300.0, pressure=90_000.0, humidity=0.3)
    ratio = thin.density / STANDARD_AIR.density
    moved = truth.thrust_coefficient(1500.0, thin) / truth.thrust_coefficient(1500.0)
    assert 1e-4 < abs(float(moved) - 1) < 0.02
    assert truth.thrust(1500.0, thin) / truth.thrust(1500.0) == pytest.approx(ratio * moved, rel=1e-9)


def test_truth_keeps_to_the_definitions() -> None:
    truth = PropellerTruth(seven_inch(), Factors(1.01, 0.98))
    omega = 14_000 * RPM
    n, rho, d = omega / (2 * np.pi), STANDARD_AIR.density, 0.1778
    assert truth.thrust(omega) == pytest.approx(truth.thrust_coefficient(omega) * rho * n**2 * d**4)
    assert truth.shaft_power(omega) == pytest.approx(truth.power_coefficient(omega) * rho * n**3 * d**5)
    # CHECKS B4: FM = 0.79788456 CT^1.5/CP.
    expected = 0.79788456 * truth.thrust_coefficient(omega) ** 1.5 / truth.power_coefficient(omega)
    assert truth.figure_of_merit(omega) == pytest.approx(expected, rel=1e-8)
    thrusts = np.array([300.0, 500.0, 800.0]) * GF
    np.testing.assert_allclose(truth.thrust(truth.speed_at_thrust(thrusts)), thrusts, rtol=1e-9)


def test_factors_of_sample_and_mounting_multiply() -> None:
    both = Factors(1.01, 0.99).times(Factors(0.98, 1.02))
    assert (both.thrust, both.power) == pytest.approx((1.01 * 0.98, 0.99 * 1.02))
