"""Comparisons of a book's designs: results of the same question, ranked by class and said in sentences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from isothrust.present.sentences import comparison_sentences
from isothrust.quantities import MEASURANDS
from isothrust.records.book import Book
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Comparison
from isothrust.reduction.comparing import Grounds, compare_results
from isothrust.reduction.comparing_notes import Stand
from isothrust.reduction.pooling import Question
from isothrust.reduction.pooling_runs import SetAside
from isothrust.workflows.results import answer_questions
from isothrust.workflows.selection import Selection, questions_for

__all__ = ["USUAL", "Compared", "compare_designs"]

USUAL = ("shaft-power", "electrical-power", "peak-thrust")
"""What is compared when no measurand is named."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Comparisons by campaign, measurand, condition and class, and the runs that do not count."""

    comparisons: tuple[Comparison, ...]
    set_aside: tuple[SetAside, ...]


def compare_designs(
    book: Book, reduced: Iterable[ReducedRun], selection: Selection, *, across_blades: bool = False
) -> Compared:
    """Return the comparisons asked for, each within one class unless blade counts are to be mixed.

    Raises
    ------
    UsageError
        As `collect_results`.
    """
    runs = list(reduced)
    by_design = replace(selection, per="design")
    answer = answer_questions(book, runs, by_design, _questions(book, by_design))
    comparisons = compare_results(answer.results, _grounds(book, runs, across_blades=across_blades))
    return Compared(
        tuple(replace(comparison, sentences=comparison_sentences(comparison)) for comparison in comparisons),
        answer.set_aside,
    )


def _questions(book: Book, selection: Selection) -> list[Question]:
    """Return the questions; where no condition is named, what holds at both is compared at equal thrust."""
    questions = questions_for(book, selection, USUAL)
    if selection.thrusts or selection.speeds:
        return questions
    return [
        question
        for question in questions
        if question.quantity != "speed" or MEASURANDS[question.measurand].condition == "speed"
    ]


def _grounds(book: Book, runs: Iterable[ReducedRun], *, across_blades: bool) -> Grounds:
    return Grounds(
        designs=book.designs,
        class_edges=book.class_edges,
        stands={
            name: Stand(campaign.rig.layout, campaign.rig.obstruction, campaign.rig.supply_voltage)
            for name, campaign in book.campaigns.items()
        },
        densities={(run.campaign, run.run): run.density for run in runs if run.density is not None},
        across_blades=across_blades,
    )
