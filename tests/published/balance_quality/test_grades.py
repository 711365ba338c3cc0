"""ISO 21940-11 (formerly ISO 1940-1): permissible unbalance from a grade. Definition read, values recomputed.

The turbine rotor of the standard's own example is quoted from memory: 3600 kg at 3000 r/min, G 2.5, 28.6e3 g mm.
"""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.science.balance import balance_grade, grade_name, permissible_unbalance

RPM = 2.0 * np.pi / 60.0
GRAM_MILLIMETRE = 1e-6


def test_eccentricity_of_a_grade_is_the_grade_over_the_speed() -> None:
    # G 6.3 at 3000 r/min permits 20.05 micrometres
    assert float(permissible_unbalance(6.3, 1.0, 3000.0 * RPM)) == pytest.approx(20.0535e-6, rel=1e-5)


@pytest.mark.parametrize(("grade", "printed"), [(2.5, "0.03581"), (6.3, "0.09024"), (16.0, "0.22918")])
def test_thirty_grams_at_twenty_thousand(grade: float, printed: str) -> None:
    found = float(permissible_unbalance(grade, 0.030, 20_000.0 * RPM)) / GRAM_MILLIMETRE
    assert found == pytest.approx(float(printed), abs=0.5e-5)


def test_turbine_rotor_of_the_standard_from_memory() -> None:
    found = float(permissible_unbalance(2.5, 3600.0, 3000.0 * RPM)) / GRAM_MILLIMETRE
    assert found == pytest.approx(28.6e3, abs=0.05e3)


def test_a_grade_and_its_permissible_unbalance_are_each_other_s_inverse() -> None:
    unbalance = permissible_unbalance(np.array([0.4, 6.3, 630.0]), 0.05, 1500.0)
    np.testing.assert_allclose(balance_grade(unbalance, 0.05, 1500.0), [0.4, 6.3, 630.0], rtol=1e-12)


def test_double_speed_doubles_the_grade_and_the_next_grade_up_is_named() -> None:
    one = float(balance_grade(2e-6, 0.05, 1000.0))
    assert float(balance_grade(2e-6, 0.05, 2000.0)) == pytest.approx(2.0 * one, rel=1e-12)
    assert one == pytest.approx(40.0)
    assert grade_name(one) == "G 40"
    assert grade_name(40.001) == "G 100"
