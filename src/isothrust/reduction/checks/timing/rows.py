"""How the logger kept time: rows lost, an uneven clock."""

from __future__ import annotations

from isothrust.records.finding import Finding
from isothrust.reduction.checks.timing.bursts import bursty
from isothrust.reduction.checks.timing.dropped import dropped
from isothrust.reduction.checks.timing.jitter import jitter
from isothrust.reduction.checks.timing.steps import steps_of
from isothrust.reduction.evidence import Evidence

__all__ = ["check_rows"]


def check_rows(evidence: Evidence) -> list[Finding]:
    """Return what the steps of each clock say; in bursts, neither gaps nor unevenness mean anything of their own."""
    found: list[Finding] = []
    for clock in steps_of(evidence.recording):
        if not bursty(clock):
            found += [*dropped(clock), *jitter(clock)]
    return found
