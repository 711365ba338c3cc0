"""Short coverage study: a hundred independent campaigns, each with its own draw of every error that its rig states.

The full study, condition by condition, is benchmarks/coverage.py.
"""

from __future__ import annotations

import numpy as np
import pytest

from support.study import DESIGNS, Case, Study, campaign_cases, scores

CAMPAIGNS = 100
TOGETHER = 20
"""Campaigns that are simulated at once: a step costs little more for many runs than for few."""


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    """Three designs in three mountings each, a hundred times; logs thinned to 250 Hz to keep the study short."""
    study = Study(thin=4, designs=DESIGNS[:3], step=1e-3)
    parts = [range(first, first + TOGETHER) for first in range(0, CAMPAIGNS, TOGETHER)]
    return [case for part in parts for case in campaign_cases(part, study)]


def test_stated_95_per_cent_intervals_hold_the_truth_in_90_to_99_per_cent(cases: list[Case]) -> None:
    share = float(np.mean([case.held for case in cases]))
    assert 0.90 <= share <= 0.99, share


def test_no_measurand_falls_below_90_per_cent(cases: list[Case]) -> None:
    # 300 cases of three designs on one rig: a true share of 95 % shows below 90 % less than once in a thousand
    low = {name: score.coverage for name, score in scores(cases).items() if score.coverage < 0.90}
    assert not low


def test_errors_are_as_large_as_their_stated_uncertainty_says(cases: list[Case]) -> None:
    z = np.array([(case.value - case.truth) / case.uncertainty for case in cases])
    assert 0.85 <= float(np.sqrt(np.mean(z**2))) <= 1.15
