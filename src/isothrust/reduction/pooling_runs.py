"""Which runs of a campaign count for a figure, and which are set aside and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from isothrust.quantities import MEASURANDS
from isothrust.records.book import Decision
from isothrust.records.finding import Finding
from isothrust.records.reduced import ReducedRun

__all__ = ["ACCEPTED", "SetAside", "counts_for", "kinds_for", "sort_out"]

CURVE_KINDS = frozenset({"ramp", "holds"})
"""Kinds of run that curves and peaks are taken from."""
ACCEPTED = "fail-accepted"
"""Flag of a figure that rests on a run which failed a check and was accepted by a decision."""


@dataclass(frozen=True, slots=True)
class SetAside:
    """A run that does not count, and why."""

    campaign: str
    run: str
    design: str
    reason: str


def sort_out(
    runs: Iterable[ReducedRun], decisions: Iterable[Decision]
) -> tuple[tuple[ReducedRun, ...], tuple[SetAside, ...], frozenset[str]]:
    """Return the runs that count, those set aside, and the names of runs accepted in spite of a fail.

    The last decision on a run holds.
    """
    last = {(decision.campaign, decision.run): decision for decision in decisions}
    kept: list[ReducedRun] = []
    aside: list[SetAside] = []
    accepted: set[str] = set()
    for run in runs:
        decision = last.get((run.campaign, run.run))
        fails = [finding for finding in run.findings if finding.severity == "fail"]
        if decision is not None and decision.action == "leave-out":
            aside.append(SetAside(run.campaign, run.run, run.design, f"left out by {decision.who}: {decision.because}"))
        elif fails and (decision is None or decision.action != "accept"):
            reason = "; ".join(_told(finding) for finding in fails)
            aside.append(SetAside(run.campaign, run.run, run.design, reason))
        else:
            kept.append(run)
            if fails:
                accepted.add(run.run)
    return tuple(kept), tuple(aside), frozenset(accepted)


def _told(finding: Finding) -> str:
    """Return a fail in one line; of a run that could not be reduced the message is a whole error, so its first line."""
    first = " ".join(finding.message.split("\n", maxsplit=1)[0].split())
    if finding.code == "not-reduced":
        return f"it could not be reduced: {first}"
    return f"{first.rstrip('. ')} [{finding.code}]"


def kinds_for(measurand: str) -> frozenset[str] | None:
    """Return the kinds of run that a measurand is taken from; None: any."""
    if MEASURANDS[measurand].condition is not None or measurand.startswith("peak-"):
        return CURVE_KINDS
    return None


def counts_for(run: ReducedRun, measurand: str) -> bool:
    """Say whether a run of this kind counts for the measurand."""
    kinds = kinds_for(measurand)
    return kinds is None or run.kind in kinds
