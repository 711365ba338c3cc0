"""Short study of steps: simulated campaigns, each run's rates and inertia beside the motion itself.

The full study, with more campaigns and conditions, is benchmarks/response.py.
"""

from __future__ import annotations

import numpy as np
import pytest

from support.responses import ResponseCase, response_cases

RATES_OF_CHANGE = ("spin-up-rate", "spin-down-rate", "thrust-rise-rate", "rise-time")
CONDITIONS = {"plain": (), "different-lags": ("different-lags",)}


@pytest.fixture(scope="module", params=list(CONDITIONS))
def cases(request: pytest.FixtureRequest) -> list[ResponseCase]:
    """Four designs in each of three campaigns, every run reduced at 1000, 200, 100 and 50 readings a second."""
    return response_cases(range(70, 73), conditions=CONDITIONS[request.param])


def _errors(cases: list[ResponseCase], names: tuple[str, ...], rates: tuple[int, ...]) -> np.ndarray:
    return np.array([case.value / case.truth - 1.0 for case in cases if case.measurand in names and case.rate in rates])


def test_rates_are_within_two_per_cent_from_200_hz_on(cases: list[ResponseCase]) -> None:
    assert np.abs(_errors(cases, RATES_OF_CHANGE, (1000, 200))).max() < 0.02


def test_at_100_and_50_hz_the_fit_to_all_repeats_stays_within_four_per_cent(cases: list[ResponseCase]) -> None:
    assert np.abs(_errors(cases, RATES_OF_CHANGE, (100, 50))).max() < 0.04


def test_rotor_inertia_is_within_three_per_cent(cases: list[ResponseCase]) -> None:
    assert np.abs(_errors(cases, ("rotor-inertia",), (1000, 200))).max() < 0.03


def test_intervals_hold_the_truth_in_nine_of_ten_cases(cases: list[ResponseCase]) -> None:
    for rates in ((1000, 200), (100, 50)):
        inside = [
            abs(case.value - case.truth) <= case.half_width
            for case in cases
            if case.measurand in RATES_OF_CHANGE and case.rate in rates
        ]
        assert np.mean(inside) >= 0.90, rates
