"""Recursive filters are what their definition says, row by row."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from isothrust.virtual.recursion import recurse

FILTERS = [([0.1], [1.0, -0.9]), ([0.2, 0.3, 0.1], [1.0, -1.6, 0.81]), ([1.0], [1.0, -1.99, 0.995]), ([2.0], [1.0])]


@pytest.mark.parametrize(("top", "bottom"), FILTERS)
@pytest.mark.parametrize("rows", [1, 2, 3, 500])
def test_each_row_follows_from_those_before_it(top: list[float], bottom: list[float], rows: int) -> None:
    x = np.random.default_rng(4).normal(size=rows)
    expected: list[float] = []
    for k in range(rows):
        row = sum(share * x[k - age] for age, share in enumerate(top) if age <= k)
        row -= sum(share * expected[k - age] for age, share in enumerate(bottom) if 0 < age <= k)
        expected.append(row)
    np.testing.assert_allclose(recurse(top, bottom, x), expected, rtol=1e-11, atol=1e-11)


def test_the_values_given_are_left_as_they_were() -> None:
    x = np.ones(5)
    recurse([1.0], [1.0, -0.5], x)
    assert x.tolist() == [1.0] * 5


def test_to_simulate_loads_no_library_of_filters() -> None:
    words = "import sys, isothrust.virtual; print(*{'scipy.signal', 'scipy.stats'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=300, check=True)
    assert done.stdout.split() == []
