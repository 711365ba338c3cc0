"""Faults planted in one run of a simulated campaign are told of that run and of no other."""

from __future__ import annotations

import pytest

from support.faulty.campaign_trial import CampaignCase, told_by_campaign
from support.faulty.identity import CAMPAIGN_CASES

_SEED = 3
"""One campaign, simulated once for all of these tests."""


@pytest.mark.parametrize("case", CAMPAIGN_CASES, ids=lambda case: f"{case.code}: {case.fault[:40]}")
def test_the_run_with_the_fault_is_named_and_no_other(case: CampaignCase) -> None:
    victim, told = told_by_campaign(case, _SEED)
    assert {finding.run for finding in told if finding.code == case.code} == {victim}


def test_a_good_campaign_is_told_nothing() -> None:
    _, told = told_by_campaign(CampaignCase("", "", ""), _SEED)
    assert told == []
