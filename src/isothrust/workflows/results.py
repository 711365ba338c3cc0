"""Results of a book: what was asked for, from the runs that were reduced."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from isothrust.records.book import Book, Campaign, Run
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.reduction.figures import RunContext
from isothrust.reduction.pooling import CampaignRuns, Question, pool_campaign
from isothrust.reduction.pooling_runs import SetAside, sort_out
from isothrust.workflows.selection import Selection, campaigns_asked, designs_asked, questions_for

__all__ = ["Answer", "answer_questions", "campaign_runs", "collect_results"]


@dataclass(frozen=True, slots=True)
class Answer:
    """Results in the order of campaign, question, condition and design, and the runs that do not count."""

    results: tuple[Result, ...]
    set_aside: tuple[SetAside, ...]


def collect_results(book: Book, reduced: Iterable[ReducedRun], selection: Selection) -> Answer:
    """Return the results asked for; every design asked gives one, absent ones with their reason.

    Raises
    ------
    UsageError
        Where a measurand, design or campaign is unknown, or a measurand does not hold at any condition named.
    """
    return answer_questions(book, reduced, selection, questions_for(book, selection))


def answer_questions(
    book: Book, reduced: Iterable[ReducedRun], selection: Selection, questions: Iterable[Question]
) -> Answer:
    """Return the results of the questions, campaign by campaign."""
    runs = list(reduced)
    asked = list(questions)
    designs = designs_asked(book, selection)
    results: list[Result] = []
    aside: list[SetAside] = []
    for name in campaigns_asked(book, selection):
        campaign = book.campaigns[name]
        sorted_out = campaign_runs(book, campaign, [run for run in runs if run.campaign == name])
        aside += [one for one in sorted_out.set_aside if one.design in designs]
        present = designs if selection.designs else _in_campaign(campaign, designs)
        results += pool_campaign(sorted_out, [replace(question, designs=present) for question in asked])
    return Answer(tuple(results), tuple(aside))


def _in_campaign(campaign: Campaign, designs: Iterable[str]) -> tuple[str, ...]:
    """Return the designs that the campaign has runs of: nobody asked for the others by name."""
    ran = {run.design for run in campaign.runs}
    return tuple(design for design in designs if design in ran)


def campaign_runs(book: Book, campaign: Campaign, reduced: Iterable[ReducedRun]) -> CampaignRuns:
    """Return the reduced runs of one campaign, sorted into those that count and those that do not."""
    by_name = {run.run: run for run in reduced}
    listed = {run.name: run for run in campaign.runs}
    kept, aside, accepted = sort_out((run for name, run in by_name.items() if name in listed), book.decisions)
    return CampaignRuns(
        name=campaign.name,
        runs=kept,
        set_aside=aside,
        accepted=accepted,
        contexts={name: _context(book, campaign, run) for name, run in listed.items()},
        missing=_missing(campaign, by_name),
    )


def _context(book: Book, campaign: Campaign, run: Run) -> RunContext:
    design = book.designs.get(run.design)
    recorded = {name for name, plan in campaign.rig.channels.items() if plan.file in run.files}
    return RunContext(None if design is None else design.diameter, frozenset(recorded))


def _missing(campaign: Campaign, reduced: Mapping[str, ReducedRun]) -> dict[str, str]:
    """Say, by design, which runs of the campaign have not been reduced at all."""
    runs: dict[str, list[str]] = {}
    for run in campaign.runs:
        if run.name not in reduced:
            runs.setdefault(run.design, []).append(run.name)
    return {
        design: f"run{'s' if len(names) > 1 else ''} {', '.join(names)} not reduced" for design, names in runs.items()
    }
