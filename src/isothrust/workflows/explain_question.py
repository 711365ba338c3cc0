"""What is explained of a design or a run where not everything was named: the first figure of use that it has."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal

import numpy as np

from isothrust.errors import UsageError, raise_problems
from isothrust.quantities import MEASURANDS, OF_STEPS
from isothrust.records.book import Book
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.figures import RunContext, evaluate_figure, single_figure
from isothrust.reduction.pooling import CampaignRuns, Question
from isothrust.reduction.pooling_runs import counts_for
from isothrust.workflows.selection import Selection, questions_for, unsuited

__all__ = ["questions_to_explain"]

AT_THRUST: Final = ("shaft-efficiency", "electrical-efficiency", "speed", "current", "throttle")
AT_SPEED: Final = ("shaft-power", "thrust", "electrical-power")
OF_A_RUN: Final = (
    "peak-thrust",
    "peak-electrical-power",
    "peak-current",
    "rotor-inertia",
    "propeller-inertia",
    *OF_STEPS,
)
"""In the order in which somebody who names none is likely to want them."""


def questions_to_explain(
    book: Book, selection: Selection, campaign: CampaignRuns, runs: Sequence[ReducedRun]
) -> list[Question]:
    """Return the questions of a selection; of what it leaves open, the first that some of the runs answer.

    Raises
    ------
    UsageError
        As `questions_for`.
    """
    conditioned = bool(selection.thrusts or selection.speeds)
    if selection.measurands and conditioned:
        return _one_each(questions_for(book, selection))
    if selection.measurands:
        questions_for(book, selection)  # an unknown name is told here
        candidates_of = {name: _usual_conditions(book, name) for name in selection.measurands}
        raise_problems([unsuited(name) for name, found in candidates_of.items() if not found], UsageError)
        return [_first_answered(found, campaign, runs) for found in candidates_of.values()]
    if conditioned:
        open_questions = [[_at(name, "thrust", value) for name in AT_THRUST] for value in selection.thrusts]
        open_questions += [[_at(name, "speed", value) for name in AT_SPEED] for value in selection.speeds]
        return [_first_answered(candidates, campaign, runs) for candidates in open_questions]
    candidates = [question for name in AT_THRUST for question in _usual_conditions(book, name)]
    candidates += [question for name in AT_SPEED for question in _usual_conditions(book, name)]
    candidates += [Question(name, None, (), ()) for name in OF_A_RUN]
    return [_first_answered(candidates, campaign, runs)]


def _one_each(questions: Iterable[Question]) -> list[Question]:
    """Return one question a condition: each is explained by itself."""
    out = []
    for question in questions:
        if question.quantity is None:
            out.append(question)
        else:
            out += [_at(question.measurand, question.quantity, value) for value in question.conditions]
    return out


def _at(measurand: str, quantity: Literal["thrust", "speed"], value: float) -> Question:
    return Question(measurand, quantity, (value,), ())


def _usual_conditions(book: Book, measurand: str) -> list[Question]:
    """Return the measurand at the book's comparison points, the middle one first, thrusts before speeds."""
    kind = MEASURANDS[measurand].condition
    if kind is None:
        return [Question(measurand, None, (), ())]
    questions = []
    if kind in {"thrust", "both"}:
        questions += [_at(measurand, "thrust", value) for value in _middle_first(book.comparison_thrusts)]
    if kind in {"speed", "both"}:
        questions += [_at(measurand, "speed", value) for value in _middle_first(book.comparison_speeds)]
    return questions


def _middle_first(values: Sequence[float]) -> list[float]:
    rising = sorted(values)
    middle = (len(rising) - 1) // 2
    return sorted(rising, key=lambda value: abs(rising.index(value) - middle))


def _first_answered(candidates: Sequence[Question], campaign: CampaignRuns, runs: Sequence[ReducedRun]) -> Question:
    return next((question for question in candidates if _answered(question, campaign, runs)), candidates[0])


def _answered(question: Question, campaign: CampaignRuns, runs: Sequence[ReducedRun]) -> bool:
    name = question.measurand
    for run in runs:
        if not counts_for(run, name):
            continue
        if question.quantity is None:
            figure = single_figure(run, name)
        else:
            context = campaign.contexts.get(run.run, RunContext())
            figure = evaluate_figure(run, name, question.quantity, np.array(question.conditions), context).at(0)
        if figure.value is not None:
            return True
    return False
