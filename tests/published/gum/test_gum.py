"""JCGM 100:2008 (the GUM): worked examples and table G.2. NIST TN 1900; two uncertainty packages as witnesses."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from isothrust.science.arrays import Floats
from isothrust.science.repeatability import variance_component
from isothrust.science.uncertainty import combine, combine_correlated, coverage_factor
from support.validation import Printed

GUM = "JCGM 100:2008"
FROM_MEMORY = f"{GUM} (from memory, recomputed)"


def test_g41_product_of_three_inputs(printed: Printed) -> None:
    total = combine(["x1", "x2", "x3"], [0.25, 0.57, 0.82], [9, 4, 14])
    printed(total.uncertainty, "1.03", source=FROM_MEMORY, what="G.4.1: combined relative uncertainty [%]")
    printed(total.degrees_of_freedom, "19.0", source=FROM_MEMORY, what="G.4.1: effective degrees of freedom")
    k = coverage_factor(np.floor(total.degrees_of_freedom + 0.5))
    printed(k, "2.093", source=FROM_MEMORY, what="G.4.1: coverage factor for 95 %", relative=1e-3)
    printed(k * total.uncertainty, "2.2", source=FROM_MEMORY, what="G.4.1: expanded uncertainty [%]")


def test_h1_end_gauge(printed: Printed) -> None:
    # H.1.3 and H.1.6: standard; repeated readings, random and systematic error of the comparator; difference of the
    # expansion coefficients; difference of the temperatures. Degrees of freedom from memory.
    components = [25.0, 5.8, 3.9, 6.7, 2.9, 16.6]
    dof = [18.0, 24.0, 5.0, 8.0, 50.0, 2.0]
    total = combine(list("abcdef"), components, dof)
    printed(total.uncertainty, "32", source=GUM, what="H.1: combined standard uncertainty [nm]")
    printed(total.degrees_of_freedom, "16", source=GUM, what="H.1: effective degrees of freedom", absolute=1.0)
    expanded = coverage_factor(np.floor(total.degrees_of_freedom), level=0.99) * total.uncertainty
    printed(expanded, "93", source=GUM, what="H.1: expanded uncertainty, 99 % [nm]", absolute=1.0)


# Table H.2: V [V], I [mA], phi [rad]
H2 = np.array(
    [
        [5.007, 19.663, 1.0456],
        [4.994, 19.639, 1.0438],
        [5.005, 19.640, 1.0468],
        [4.990, 19.685, 1.0428],
        [4.999, 19.678, 1.0433],
    ]
)


def impedance() -> tuple[Floats, Floats, Floats]:
    """Return values of R, X, Z, their partial derivatives by V, I, phi, and V, I, phi themselves."""
    v, i, phi = H2.mean(axis=0) * [1.0, 1e-3, 1.0]
    z, c, s = v / i, np.cos(phi), np.sin(phi)
    values = np.array([z * c, z * s, z])
    by = np.array([[c / i, -z * c / i, -z * s], [s / i, -z * s / i, z * c], [1.0 / i, -z / i, 0.0]])
    return values, by, np.array([v, i, phi])


def test_h2_resistance_and_reactance(printed: Printed) -> None:
    u = H2.std(axis=0, ddof=1) / np.sqrt(5.0) * [1.0, 1e-3, 1.0]
    correlation = np.corrcoef(H2.T)
    values, by, _ = impedance()
    ours = combine_correlated(by, u, correlation)
    for name, value, one, text, u_text in zip(
        "RXZ", values, ours, ("127.732", "219.847", "254.260"), (".071", ".295", ".236"), strict=True
    ):
        printed(value, text, source=GUM, what=f"H.2: {name} [ohm]", absolute=0.001)
        printed(one, u_text, source=GUM, what=f"H.2: u({name}) [ohm]", absolute=0.001)


def test_h2_correlations_of_the_results(printed: Printed) -> None:
    u = H2.std(axis=0, ddof=1) / np.sqrt(5.0) * [1.0, 1e-3, 1.0]
    correlation = np.corrcoef(H2.T)
    _, by, _ = impedance()
    single = combine_correlated(by, u, correlation)
    for (i, j), text in {(0, 1): "-.588", (0, 2): "-.485", (1, 2): ".993"}.items():
        # u^2 of a sum is the sum of both and twice their covariance.
        both = combine_correlated(by[i] + by[j], u, correlation)
        r = (both**2 - single[i] ** 2 - single[j] ** 2) / (2.0 * single[i] * single[j])
        printed(r, text, source=GUM, what=f"H.2: r({'RXZ'[i]},{'RXZ'[j]})", absolute=0.001)


def test_h2_without_the_correlation_would_be_something_else(printed: Printed) -> None:
    u = H2.std(axis=0, ddof=1) / np.sqrt(5.0) * [1.0, 1e-3, 1.0]
    _, by, _ = impedance()
    wrong = combine_correlated(by, u, np.eye(3))
    source = "H.2 of JCGM 100:2008 with its correlations left out, worked out outside the project"
    for name, ours, text in zip("RXZ", wrong, (".1945", ".2009", ".2041"), strict=True):
        printed(ours, text, source=source, what=f"u({name}), the trap [ohm]", absolute=1e-4)


# H.5: means of ten days [uV above 10 V], standard deviations of the five readings of each day [uV]
DAYS = np.array([172.0, 116.0, 13.0, 144.0, 106.0, 31.0, 60.0, 125.0, 163.0, 41.0])
WITHIN = np.array([60.0, 77.0, 111.0, 101.0, 67.0, 93.0, 80.0, 73.0, 88.0, 86.0])


def test_h5_days_that_differ(printed: Printed) -> None:
    within = np.mean(WITHIN**2)
    between = variance_component(DAYS, within / 5.0, ["voltage"] * 10)
    printed(np.mean(DAYS), "97.1", source=FROM_MEMORY, what="H.5: mean of the days [uV]")
    printed(np.sqrt(within), "85", source=FROM_MEMORY, what="H.5: pooled standard deviation within a day [uV]")
    printed(np.sqrt(between.variance), "43", source=FROM_MEMORY, what="H.5: standard deviation between days [uV]")
    u = np.sqrt((between.variance + within / 5.0) / 10.0)
    printed(u, "18", source=FROM_MEMORY, what="H.5: uncertainty of the mean [uV]")


def test_h5_if_days_did_not_differ(printed: Printed) -> None:
    # All fifty readings then scatter alike: 40 contrasts within days and 9 between.
    pooled = (40.0 * np.mean(WITHIN**2) + 9.0 * 5.0 * DAYS.var(ddof=1)) / 49.0
    total = combine(["readings"], [np.sqrt(pooled / 50.0)], 49.0)
    printed(total.uncertainty, "13", source=FROM_MEMORY, what="H.5: uncertainty of the mean, no effect of days [uV]")
    assert_allclose(total.degrees_of_freedom, 49.0)


@pytest.mark.parametrize(
    ("level", "factors"),
    [
        (0.95, ("12.71", "4.30", "3.18", "2.57", "2.23", "2.09", "2.04")),
        (0.9545, ("13.97", "4.53", "3.31", "2.65", "2.28", "2.14", "2.09")),
    ],
)
def test_table_g2(printed: Printed, level: float, factors: tuple[str, ...]) -> None:
    for dof, text in zip((1, 2, 3, 5, 10, 19, 30), factors, strict=True):
        what = f"table G.2: t for {100 * level:g} %, {dof} degrees of freedom"
        printed(coverage_factor(dof, level=level), text, source=GUM, what=what, absolute=0.005)


def test_budget_of_a_thrust_coefficient(printed: Printed) -> None:
    # CT = T/(rho n2 D4): signs as the derivatives have them.
    total = combine(["T", "rho", "n", "D"], [0.5, -0.2, -2 * 0.05, -4 * 0.2], np.inf)
    source = f"{GUM}, 5.1.6, worked out outside the project"
    what = "u(CT) from 0.5 % of T, 0.2 % of density, 0.05 % of n, 0.2 % of D [%]"
    printed(total.uncertainty, ".96954", source=source, what=what)


def test_budget_of_a_thrust_coefficient_agrees_with_another_package() -> None:
    from uncertainties import ufloat

    t, rho, n, d = (ufloat(x, x * u) for x, u in ((7.84, 0.005), (1.2, 0.002), (108.8, 0.0005), (0.254, 0.002)))
    ct = t / (rho * n**2 * d**4)
    total = combine(["T", "rho", "n", "D"], [0.5, -0.2, -2 * 0.05, -4 * 0.2], np.inf)
    assert_allclose(total.uncertainty / 100.0, ct.std_dev / ct.nominal_value, rtol=1e-6)


def test_effective_degrees_of_freedom_agree_with_another_package() -> None:
    from GTC import ureal

    x = [ureal(1.0, 0.25, 9), ureal(1.0, 0.57, 4), ureal(1.0, 0.82, 14)]
    y = x[0] + x[1] - x[2]
    total = combine(["a", "b", "c"], [0.25, 0.57, -0.82], [9, 4, 14])
    assert_allclose((total.uncertainty, total.degrees_of_freedom), (y.u, y.df), rtol=1e-9)


def test_thermal_expansion(printed: Printed) -> None:
    l0, t0, l1, t1 = 1.4999, 288.15, 1.5021, 373.10
    span = t1 - t0
    alpha = (l1 - l0) / (l0 * span)
    by = np.array([-l1 / (l0**2 * span), alpha / span, 1.0 / (l0 * span), -alpha / span])
    total = combine(["L0", "T0", "L1", "T1"], by * [1e-4, 0.02, 2e-4, 0.05], 3.0)
    source = "NIST Technical Note 1900, example E13"
    printed(1e5 * alpha, "1.7266", source=source, what="coefficient of thermal expansion [1e-5/K]", absolute=1e-4)
    printed(1e6 * total.uncertainty, "1.76", source=source, what="its standard uncertainty [1e-6/K]", relative=0.01)
