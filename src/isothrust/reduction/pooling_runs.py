"""Which runs of a campaign count for a figure, and which are set aside and why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from isothrust.quantities import MEASURANDS, OF_STEPS
from isothrust.records.book import Decision
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import last_decisions, standing_of

__all__ = ["ACCEPTED", "SetAside", "counts_for", "kinds_for", "sort_out"]

CURVE_KINDS = frozenset({"ramp", "holds"})
"""Kinds of run that curves and peaks are taken from."""
STEP_KINDS = frozenset({"steps"})
"""Kinds of run that show how a rotor answers."""
ACCEPTED = "fail-accepted"
"""Flag of a figure that rests on a run which failed a check and was accepted by a decision."""


@dataclass(frozen=True, slots=True)
class SetAside:
    """A run that does not count, and why."""

    campaign: str
    run: str
    design: str
    reason: str
    by_hand: bool = False
    """Whether somebody left it out, and no fail did."""
    may_be_accepted: bool = False
    """Whether it has figures, and a check alone keeps them out."""


def sort_out(
    runs: Iterable[ReducedRun], decisions: Iterable[Decision]
) -> tuple[tuple[ReducedRun, ...], tuple[SetAside, ...], frozenset[str]]:
    """Return the runs that count, those set aside, and the names of runs accepted in spite of a fail.

    The last decision on a run holds; an acceptance covers the fails that it names, not those that turn up later.
    """
    holding = last_decisions(decisions)
    kept: list[ReducedRun] = []
    aside: list[SetAside] = []
    accepted: set[str] = set()
    for run in runs:
        standing = standing_of(run, holding)
        if standing.counts:
            kept.append(run)
        else:
            may_be = not standing.left_out and not standing.gives_nothing
            told = SetAside(run.campaign, run.run, run.design, standing.reason, standing.left_out, may_be)
            aside.append(told)
        if standing.accepted:
            accepted.add(run.run)
    return tuple(kept), tuple(aside), frozenset(accepted)


def kinds_for(measurand: str) -> frozenset[str] | None:
    """Return the kinds of run that a measurand is taken from; None: any."""
    if measurand in OF_STEPS:
        return STEP_KINDS
    if MEASURANDS[measurand].condition is not None or measurand.startswith("peak-"):
        return CURVE_KINDS
    return None


def counts_for(run: ReducedRun, measurand: str) -> bool:
    """Say whether a run of this kind counts for the measurand."""
    kinds = kinds_for(measurand)
    return kinds is None or run.kind in kinds
