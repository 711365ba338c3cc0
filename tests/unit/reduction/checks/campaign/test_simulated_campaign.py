"""Faults planted in one run of a simulated campaign are told of that run and of no other."""

from __future__ import annotations

import pytest

from support.faulty.campaign_trial import CampaignCase, Told, campaign_trials
from support.faulty.identity import CAMPAIGN_CASES

_SEED = 3
_GOOD = CampaignCase("", "nothing", "")


@pytest.fixture(scope="module")
def told() -> dict[CampaignCase, Told]:
    return dict(campaign_trials((*CAMPAIGN_CASES, _GOOD), [_SEED], thinned=1))


@pytest.mark.parametrize("case", CAMPAIGN_CASES, ids=lambda case: f"{case.code}: {case.fault[:40]}")
def test_the_run_with_the_fault_is_named_and_no_other(case: CampaignCase, told: dict[CampaignCase, Told]) -> None:
    assert told[case].names(case.code)


def test_a_good_campaign_is_told_nothing(told: dict[CampaignCase, Told]) -> None:
    assert told[_GOOD].findings == ()
