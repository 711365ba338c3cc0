"""Short study of predictions: twenty campaigns, a motor and a voltage that the propellers were never run on.

The full study is benchmarks/predict.py.
"""

from __future__ import annotations

import numpy as np
import pytest

from support.foretold import foretold_cases
from support.study import Case, scores

CAMPAIGNS = 20
TOGETHER = 20
"""Campaigns that are simulated at once: a step costs little more for many runs than for few."""


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    """Logs thinned to 250 Hz to keep the study short."""
    parts = [range(first, first + TOGETHER) for first in range(0, CAMPAIGNS, TOGETHER)]
    return [case for part in parts for case in foretold_cases(part, thin=4, step=1e-3)]


def test_thrust_is_foretold_within_2_per_cent_and_current_within_4(cases: list[Case]) -> None:
    found = scores(cases)
    assert found["peak-thrust"].within_95 <= 0.02
    assert found["peak-current"].within_95 <= 0.04
    assert found["hover-current"].within_95 <= 0.04


def test_predictions_are_not_off_to_one_side(cases: list[Case]) -> None:
    assert all(abs(score.mean_error) < 0.005 for score in scores(cases).values())


def test_intervals_of_predictions_hold_the_truth_and_say_something(cases: list[Case]) -> None:
    # Twenty campaigns do not tell 99 from 100 per cent: an interval that is too wide shows in the errors over u.
    found = scores(cases)
    assert float(np.mean([case.held for case in cases])) >= 0.90
    assert not {name: score.coverage for name, score in found.items() if score.coverage < 0.90}
    assert not {name: score.rms_z for name, score in found.items() if not 0.4 < score.rms_z < 1.2}
