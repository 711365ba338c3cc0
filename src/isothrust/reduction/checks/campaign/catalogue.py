"""The checks that look at all runs of a campaign together, in the order in which their findings are told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from isothrust.records.finding import Finding
from isothrust.reduction.checks.campaign.evidence import CampaignEvidence
from isothrust.reduction.checks.campaign.lookalike import check_lookalike
from isothrust.reduction.checks.campaign.noise import check_noise
from isothrust.reduction.checks.campaign.ring import check_ring
from isothrust.reduction.checks.campaign.twice import check_twice
from isothrust.reduction.checks.campaign.zeros import check_zeros

__all__ = ["CAMPAIGN_CHECKS", "CampaignCheck", "examine_campaign", "names_of_checks"]

CampaignCheck = Callable[[CampaignEvidence], list[Finding]]

CAMPAIGN_CHECKS: Final[tuple[CampaignCheck, ...]] = (check_twice, check_lookalike, check_zeros, check_noise, check_ring)
"""One function a file; each is independent of the others, and every finding carries its run's name."""


def examine_campaign(evidence: CampaignEvidence) -> list[Finding]:
    """Return what all the checks of a campaign find."""
    found = [finding for check in CAMPAIGN_CHECKS for finding in check(evidence)]
    names = {run.run for run in evidence.runs}
    assert all(finding.run in names for finding in found), "a finding of a campaign's check names one of its runs"
    return found


def names_of_checks() -> tuple[str, ...]:
    """Return what tells this set of checks from another one."""
    return tuple(check.__name__ for check in CAMPAIGN_CHECKS)
