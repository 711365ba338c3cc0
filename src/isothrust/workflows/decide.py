"""Decide on runs: accept one in spite of a fail, leave one out by hand, or withdraw what was decided."""

from __future__ import annotations

import getpass
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Final, Literal

from isothrust.book.decisions import DECISIONS, append_decisions
from isothrust.book.load import load_book
from isothrust.book.lock import book_locked
from isothrust.book.store import read_results
from isothrust.errors import IsothrustError, Problem, UsageError, Where, raise_problems
from isothrust.records.book import Decision
from isothrust.records.decided import DecidedRun
from isothrust.records.moved import Moves
from isothrust.records.result import Result
from isothrust.records.standing import GIVES_NOTHING, Standing, last_decisions, standing_of
from isothrust.workflows.moved import store_and_compare
from isothrust.workflows.reduce import ReduceOutcome
from isothrust.workflows.runs import RunName, selected

__all__ = ["Action", "Decided", "Wish", "decide"]

Action = Literal["accept", "leave-out"]
DONE: Final[Mapping[str, str]] = MappingProxyType({"accept": "accepted", "leave-out": "left out"})


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody decides."""

    runs: tuple[str, ...]
    """As `run` or `campaign/run`."""
    action: Action
    because: str
    withdraw: bool = False
    """Whether the action is taken back."""
    by: str | None = None
    """Who decides; None: the name that the system knows the user by."""


@dataclass(frozen=True, slots=True)
class Decided:
    """What was decided, and what it does to the figures."""

    runs: tuple[DecidedRun, ...]
    outcome: ReduceOutcome
    """The book as it stands now."""
    moves: Moves
    """Figures that moved since they were last told; call `moves_told` once these are."""


def decide(outcome: ReduceOutcome, wish: Wish) -> Decided:
    """Append a decision on each run to decisions.jsonl and return what changes.

    Parameters
    ----------
    outcome
        The book, brought up to date.
    wish
        What is decided. A decision needs a reason; a run is accepted for the fails that are known of it now.

    Raises
    ------
    UsageError
        Where a run is unknown, the reason is empty, or there is nothing to accept or to withdraw. Nothing is then
        written.
    """
    because = _reason(wish)
    names = _names(outcome, wish)
    holding = last_decisions(outcome.book.decisions)
    standings = {name: standing_of(outcome.stored[name].reduced, holding) for name in names}
    raise_problems((found for name in names if (found := _hindrance(name, standings[name], wish))), UsageError)
    # What is stored is brought up to date first: what moves then is the decision's doing.
    store_and_compare(outcome)
    former = _resting_on(outcome, names)
    who, when = wish.by or _user(), datetime.now().astimezone().isoformat(timespec="seconds")
    made = {name: _decision(name, wish, because, standings[name], who, when) for name in names}
    root = Path(outcome.book.root)
    with book_locked(root, _wait_silently):
        append_decisions(root, list(made.values()))
        book = load_book(root)
    changed = replace(outcome, book=book)
    moves = store_and_compare(changed)
    now, figures = last_decisions(book.decisions), _resting_on(changed, names)
    runs = [
        DecidedRun(run, made[name], standings[name], standing_of(run, now), former[name], figures[name])
        for name in names
        for run in [outcome.stored[name].reduced]
    ]
    return Decided(tuple(runs), changed, moves)


def _reason(wish: Wish) -> str:
    """Return the reason in one line, of signs that any file can hold."""
    because = " ".join(wish.because.encode("utf-8", "replace").decode("utf-8").split())
    if not because:
        raise UsageError(
            "a decision without a reason helps nobody who reads it later",
            code="reason-needed",
            where=Where("--because"),
            expected="a sentence: what was seen, and why the run counts or does not",
            fix='--because "the guard touched the cable before the ramp began; thrust is untouched"',
        )
    return because


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, ImportError, OSError) as error:
        raise UsageError(
            f"the system does not tell who is deciding ({error})",
            code="who-needed",
            where=Where("--by"),
            expected="a name",
            fix='--by "A. Tester"',
        ) from error


def _names(outcome: ReduceOutcome, wish: Wish) -> list[RunName]:
    found: dict[RunName, None] = {}
    problems: list[Problem] = []
    for name in wish.runs:
        try:
            named = sorted(selected(outcome.book, [name]) or ())
        except IsothrustError as error:
            problems += error.problems
            continue
        if len(named) > 1:
            told = ", ".join("/".join(one) for one in named)
            place = Where(f"isothrust {wish.action} {name}")
            what = f"{len(named)} campaigns have a run {name}"
            problems.append(Problem("ambiguous-name", what, place, told, "name it as campaign/run"))
        found |= dict.fromkeys(named)
    raise_problems(problems, UsageError)
    return list(found)


def _hindrance(name: RunName, standing: Standing, wish: Wish) -> Problem | None:
    run = "/".join(name)
    place = Where(f"isothrust {wish.action} {run}")
    if wish.withdraw:
        held = standing.decision
        if held is not None and held.action == wish.action:
            return None
        what = f"run {run} is not {DONE[wish.action]}: there is nothing to withdraw"
        fix = f"isothrust report  lists the decisions of the book; {DECISIONS} holds them"
        if held is not None:
            what = f"run {run} is {_done(held.action)}, not {DONE[wish.action]}"
            fix = f'isothrust {held.action} {run} --withdraw --because "…"'
        return Problem("nothing-to-withdraw", what, place, f"a run that is {DONE[wish.action]}", fix)
    if wish.action == "leave-out":
        return None
    nothing = sorted({finding.code for finding in standing.fails} & GIVES_NOTHING)
    if nothing:
        what = f"run {run} gives no figure ({', '.join(nothing)}): there is nothing to accept"
        return Problem("nothing-to-accept", what, place, "a run that was reduced", f"isothrust check {run}  says why")
    if not standing.fails:
        what = f"run {run} has no fail: there is nothing to accept"
        counts = "it counts as it is"
        if standing.left_out:
            counts = f'it was left out by hand:  isothrust leave-out {run} --withdraw --because "…"  takes it back in'
        return Problem("nothing-to-accept", what, place, "a run that a check has set aside", counts)
    return None


def _done(action: str) -> str:
    return DONE.get(action, action)


def _decision(name: RunName, wish: Wish, because: str, standing: Standing, who: str, when: str) -> Decision:
    campaign, run = name
    action = "withdraw" if wish.withdraw else wish.action
    codes = tuple(dict.fromkeys(finding.code for finding in standing.fails)) if action == "accept" else None
    return Decision(run, campaign, action, because, " ".join(who.split()), when, codes)


def _resting_on(outcome: ReduceOutcome, names: Iterable[RunName]) -> Mapping[RunName, tuple[Result, ...]]:
    """Return the usual results that rest on each of the runs."""
    results: Sequence[Result] = read_results(outcome.book.root) or ()
    return {
        (campaign, run): tuple(one for one in results if one.campaign == campaign and run in one.runs and _has(one))
        for campaign, run in names
    }


def _has(result: Result) -> bool:
    return result.value is not None


def _wait_silently() -> None:
    """Wait for another process of this book: it takes moments."""
