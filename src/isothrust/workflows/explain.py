"""From a figure back to files, hashes, zeros, lags, inertia, fits and budget."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isothrust.records.book import Book, Campaign, Design
from isothrust.records.reduced import Figure, ReducedRun
from isothrust.records.result import Condition, Result
from isothrust.records.trail import Explanation, FigureTrail, LeftOut, RunWorking
from isothrust.reduction.figures import RunContext, evaluate_figure, single_figure
from isothrust.reduction.figures_working import working_of
from isothrust.reduction.pooling import CampaignRuns, Question, figures_asked, parts_of, results_at
from isothrust.reduction.pooling_means import mean_of_figures
from isothrust.reduction.pooling_reasons import nothing_counts
from isothrust.reduction.pooling_results import Subject, absent_result
from isothrust.reduction.pooling_runs import counts_for
from isothrust.reduction.pooling_trail import pool_trail, statements_of
from isothrust.science.momentum import slipstream_thrust_ratio
from isothrust.workflows.explain_question import questions_to_explain
from isothrust.workflows.explain_target import Target
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.run_facts import run_facts
from isothrust.workflows.selection import Selection

__all__ = ["explain_figures"]


def explain_figures(
    book: Book, reduced: Iterable[ReducedRun], target: Target, selection: Selection
) -> tuple[Explanation, ...]:
    """Return how figures of a design or a run come about, one explanation a campaign.

    Parameters
    ----------
    book, reduced
        The book and its reduced runs.
    target
        From `find_target`.
    selection
        Measurands and conditions; what is left open is chosen: the first figure of use that the runs give.

    Raises
    ------
    UsageError
        Where a measurand is unknown, or holds at none of the conditions named.
    """
    runs = list(reduced)
    return tuple(
        _of_campaign(book, book.campaigns[name], [run for run in runs if run.campaign == name], target, selection)
        for name in target.campaigns
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is explained within one campaign."""

    campaign: CampaignRuns
    target: Target
    own: tuple[ReducedRun, ...]
    """Reduced runs of the design, or the one run; those set aside too."""


def _of_campaign(
    book: Book, campaign: Campaign, reduced: Sequence[ReducedRun], target: Target, selection: Selection
) -> Explanation:
    sorted_out = campaign_runs(book, campaign, reduced)
    own = tuple(run for run in reduced if _belongs(run, target))
    asked = _Asked(sorted_out, target, own)
    questions = questions_to_explain(book, selection, sorted_out, own)
    trails = tuple(_trail(asked, question) for question in questions)
    shown = {working.run for trail in trails for working in trail.workings}
    if target.kind == "run":
        shown.add(target.name)
    listed = {run.name: run for run in campaign.runs}
    aside = [one for one in sorted_out.set_aside if one.design == target.design]
    design = book.designs.get(target.design, Design(target.design))
    return Explanation(
        subject=target.name if target.kind == "design" else f"{campaign.name}/{target.name}",
        campaign=campaign.name,
        design=design,
        rig=campaign.rig,
        motor=campaign.motor,
        standard_density=book.standard_density,
        slipstream=_slipstream(campaign, design),
        trails=trails,
        runs=tuple(run_facts(book, listed[run.run], run) for run in own if run.run in shown),
        left_out=tuple(LeftOut(one.run, one.reason) for one in aside if target.kind == "design" or one.run in shown),
    )


def _belongs(run: ReducedRun, target: Target) -> bool:
    return run.run == target.name if target.kind == "run" else run.design == target.design


def _slipstream(campaign: Campaign, design: Design) -> float | None:
    area = campaign.rig.obstruction
    if area is None or design.diameter is None:
        return None
    return float(slipstream_thrust_ratio(area, design.diameter, drag_coefficient=campaign.rig.obstruction_drag))


def _trail(asked: _Asked, question: Question) -> FigureTrail:
    target = asked.target
    question = replace(question, designs=(target.design,), per=target.kind)
    (found,) = figures_asked(asked.campaign, question)
    parts = parts_of(found, target.design, question.per)
    results = results_at(asked.campaign, question, found)
    for members, result in zip(parts, results, strict=True):
        if target.kind == "run" and [run.run for run in members] != [target.name]:
            continue
        workings = [_working(asked, run, found.figures[run.run], found.condition) for run in members]
        there = found.there(members)
        if result.value is None:
            return FigureTrail(result, None, (), tuple(workings))
        means = mean_of_figures(asked.campaign.name, there, found.scatters)
        trail = pool_trail(there, means, found.scatters.at(target.design, 0))
        return FigureTrail(result, trail, statements_of(result, means), tuple(workings))
    return _does_not_count(asked, question, found.condition)


def _working(asked: _Asked, run: ReducedRun, figure: Figure, condition: Condition | None) -> RunWorking:
    return working_of(run, figure, condition, asked.campaign.contexts.get(run.run, RunContext()))


def _does_not_count(asked: _Asked, question: Question, condition: Condition | None) -> FigureTrail:
    """Return the trail of a run that counts for nothing: why, and what it gives by itself all the same."""
    target, campaign = asked.target, asked.campaign
    aside = [one for one in campaign.set_aside if one.run == target.name]
    kinds = [] if aside else [run.kind for run in asked.own]
    missing = None if asked.own else f"run {target.name} not reduced"
    reason = nothing_counts(campaign.name, question.measurand, aside, kinds, missing)
    subject = Subject(question.measurand, condition, target.design, None, campaign.name)
    version = max((run.method_version for run in asked.own), default=0)
    result: Result = absent_result(subject, reason, runs=(target.name,), method_version=version)
    workings = [
        _working(asked, run, _alone(asked, run, question), condition)
        for run in asked.own
        if counts_for(run, question.measurand) and (run.curves or run.figures)
    ]
    return FigureTrail(result, None, (), tuple(workings))


def _alone(asked: _Asked, run: ReducedRun, question: Question) -> Figure:
    if question.quantity is None:
        return single_figure(run, question.measurand)
    context = asked.campaign.contexts.get(run.run, RunContext())
    conditions = np.array(question.conditions)
    return evaluate_figure(run, question.measurand, question.quantity, conditions, context).at(0)
