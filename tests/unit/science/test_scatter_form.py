"""sqrt(a^2 + (b value)^2) is found where it holds, and neither part is ever below nil."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from isothrust.science.scatter import ScatterForm, fit_scatter_form, scatter


@given(st.floats(0.0, 5.0), st.floats(0.0, 0.1), st.floats(1e-3, 1e3))
def test_exact_variances_give_back_both_parts(fixed: float, proportional: float, unit: float) -> None:
    assume(fixed == 0.0 or fixed > 1e-100)  # below that the variance itself is too small for a float
    assume(proportional == 0.0 or proportional > 1e-100)
    values = np.array([5.0, 20.0, 50.0, 100.0]) * unit
    form = ScatterForm(fixed * unit, proportional)
    found = fit_scatter_form(values, scatter(form, values) ** 2)
    assert_allclose(scatter(found, values), scatter(form, values), rtol=1e-4, atol=1e-9 * unit)


def test_noisy_variances_give_both_parts_back_on_the_average() -> None:
    rng = np.random.default_rng(4)
    values = np.linspace(1.0, 10.0, 40)
    truth = ScatterForm(0.05, 0.01)
    forms = [
        fit_scatter_form(values, scatter(truth, values) ** 2 * rng.chisquare(8, 40) / 8.0, 8.0) for _ in range(300)
    ]
    assert_allclose(np.sqrt(np.mean([f.fixed**2 for f in forms])), 0.05, rtol=0.05)
    assert_allclose(np.sqrt(np.mean([f.proportional**2 for f in forms])), 0.01, rtol=0.05)


def test_a_falling_scatter_is_called_fixed_and_a_steep_one_proportional() -> None:
    falling = fit_scatter_form([1.0, 2.0, 3.0], [0.03, 0.02, 0.01])
    assert falling.proportional == 0.0
    assert falling.fixed > 0.0
    steep = fit_scatter_form([1.0, 2.0, 3.0], [0.0001, 0.02, 0.2])
    assert steep.fixed == 0.0
    assert steep.proportional > 0.0


def test_missing_variances_are_left_out_and_none_left_is_missing() -> None:
    values = [1.0, 2.0, 3.0]
    assert fit_scatter_form(values, [0.01, np.nan, 0.09]) == fit_scatter_form([1.0, 3.0], [0.01, 0.09])
    assert np.isnan(fit_scatter_form(values, [np.nan] * 3).fixed)
    assert fit_scatter_form(values, [0.0, 0.0, 0.0], np.inf) == ScatterForm(0.0, 0.0)
