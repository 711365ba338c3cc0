"""The earlier runs of a design as they lie reduced in the book: what a fresh recording is held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from isothrust.book.store import StoredRun, read_stored, run_file
from isothrust.records.book import Book, Campaign, Run
from isothrust.records.job import RunJob
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.pooling import CampaignRuns
from isothrust.reduction.pooling_runs import CURVE_KINDS
from isothrust.workflows.campaign_findings import joined_as_stored
from isothrust.workflows.donors import Lender
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.runs import RunName, Task, tasks_as_recorded

__all__ = ["EarlierRuns", "earlier_runs", "home_campaign"]

_OTHERS: Final = 60
"""Runs of other designs that are read for how mountings and samples scatter: enough to know it within a tenth."""


@dataclass(frozen=True, slots=True)
class EarlierRuns:
    """Runs of one campaign that are reduced as the book stands now."""

    runs: CampaignRuns
    own: tuple[str, ...]
    """Those of the design that give curves."""
    not_current: int
    """Runs of the design that give curves and are not reduced, or were changed since."""
    lenders: tuple[Lender, ...]
    """Runs of the design that found their own rotor inertia."""
    together: tuple[ReducedRun, ...] = ()
    """All that were read, those set aside too."""
    jobs: Mapping[RunName, RunJob] = field(default_factory=dict)
    """Of these."""


def home_campaign(book: Book, design: str, rig: str, listed: Run | None) -> Campaign | None:
    """Return the campaign whose runs a fresh one is held against: its own, else one on the same rig, the latest."""
    if listed is not None:
        return book.campaigns[listed.campaign]
    there = [campaign for campaign in book.campaigns.values() if _of_design(campaign, design)]
    return max(
        there,
        key=lambda campaign: (campaign.rig.name == rig, max(run.date for run in _of_design(campaign, design))),
        default=None,
    )


def _of_design(campaign: Campaign, design: str) -> list[Run]:
    return [run for run in campaign.runs if run.design == design and run.kind in CURVE_KINDS]


def earlier_runs(book: Book, campaign: Campaign, design: str, *, without: str = "") -> EarlierRuns:
    """Read what is reduced of a design in a campaign, and as much of other designs as tells how mountings scatter.

    Recordings are taken to be those that were first seen: `check` and `reduce` of the book find one that has changed.
    `without` is a run that does not count.
    """
    own = [run for run in campaign.runs if run.design == design and run.name != without]
    tasks = tasks_as_recorded(book, campaign, [*own, *_others(campaign, design)])
    stored = {name: found for name, task in tasks.items() if (found := _current(book, campaign, name, task))}
    curves = [run.name for run in own if run.kind in CURVE_KINDS]
    together = joined_as_stored(book, (found.reduced for found in stored.values()))
    kept = campaign_runs(book, campaign, together)
    lenders = (
        Lender(tasks[run.name].job, found.reduced, found.reduced.inertia)
        for run in own
        if (found := stored.get(run.name)) is not None
        and found.reduced.inertia is not None
        and not found.borrowed
        and not any(finding.severity == "fail" for finding in found.reduced.findings)
    )
    return EarlierRuns(
        runs=replace(kept, missing={}),
        own=tuple(name for name in curves if name in stored),
        not_current=sum(name not in stored for name in curves),
        lenders=tuple(lenders),
        together=tuple(together),
        jobs={(campaign.name, name): tasks[name].job for name in stored},
    )


def _others(campaign: Campaign, design: str) -> list[Run]:
    """Return runs of other designs, whole designs at a time, until there are enough."""
    by_design: dict[str, list[Run]] = {}
    for run in campaign.runs:
        if run.design != design and run.kind in CURVE_KINDS:
            by_design.setdefault(run.design, []).append(run)
    chosen: list[Run] = []
    for runs in by_design.values():
        if len(chosen) >= _OTHERS:
            break
        chosen += runs
    return chosen


def _current(book: Book, campaign: Campaign, name: str, task: Task) -> StoredRun | None:
    stored = read_stored(run_file(book.root, campaign.name, name))
    return stored if stored is not None and stored.base_key == task.base_key else None
