"""After `reduce`: the usual results stored, and which of them moved since anybody was last told, and why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from isothrust import __version__
from isothrust.book.keys import results_key
from isothrust.book.store import (
    Former,
    FormerRun,
    forget_former,
    read_former,
    read_results,
    read_results_key,
    write_results,
)
from isothrust.records.book import Book
from isothrust.records.moved import Move, Moves, RunChange, Why
from isothrust.records.result import Condition, Result
from isothrust.reduction.moving import moved_figures
from isothrust.reduction.pooling_runs import SetAside
from isothrust.workflows.reduce import ReduceOutcome, has_failed
from isothrust.workflows.results import campaign_runs, collect_results
from isothrust.workflows.runs import RunName
from isothrust.workflows.selection import USUAL, Selection

__all__ = ["moves_told", "store_and_compare"]


_Question = tuple[str, str, Condition | None]
"""Campaign, measurand and condition."""


def store_and_compare(outcome: ReduceOutcome) -> Moves:
    """Write the usual results, for whoever reads Parquet, and return what moved since they were last told.

    Call `moves_told` once they are: until then they are told again, also where a process was killed in between.
    """
    book, key = outcome.book, _key(outcome)
    former = read_former(book.root)
    if former is None and read_results_key(book.root) == key:
        return Moves(compared=True)
    former = former or _lying_there(outcome)
    now = collect_results(book, [stored.reduced for stored in outcome.stored.values()], Selection()).results
    write_results(book.root, now, key=key)
    if former is None:
        return Moves()
    moves = moved_figures(former.results, now)
    asked = _questions(former.results) & _questions(now)
    reasons = _Reasons(outcome, former, asked) if moves else None
    return Moves(tuple(move if reasons is None else reasons.given(move) for move in moves), compared=True)


def _questions(results: Iterable[Result]) -> set[_Question]:
    return {(result.campaign, result.measurand, result.condition) for result in results}


def moves_told(book: Book) -> None:
    """Forget the former results: what moved was told."""
    forget_former(book.root)


def _key(outcome: ReduceOutcome) -> str:
    """Return the hash of what the usual results rest on, in the order in which they are added up."""
    book = outcome.book
    runs = [(*name, stored.key, has_failed(stored.reduced)) for name, stored in outcome.stored.items()]
    asked = {"thrusts": book.comparison_thrusts, "speeds": book.comparison_speeds, "measurands": USUAL}
    return results_key(
        {"version": __version__, "runs": runs, "designs": list(book.designs), "decisions": book.decisions, **asked}
    )


def _lying_there(outcome: ReduceOutcome) -> Former | None:
    """Return the results that no run's change has taken away: those told last."""
    results = read_results(outcome.book.root)
    if results is None:
        return None
    runs = {name: FormerRun(stored.reduced.design, stored.parts) for name, stored in outcome.stored.items()}
    return Former(results, runs)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A figure's design in a campaign."""

    campaign: str
    design: str


class _Reasons:
    """Why figures moved, design by design."""

    def __init__(self, outcome: ReduceOutcome, former: Former, asked: set[_Question]) -> None:
        self._outcome = outcome
        self._asked = asked
        self._former: Mapping[RunName, FormerRun] = former.runs
        self._campaigns = {result.campaign for result in former.results}
        self._aside = _set_aside(outcome)

    def given(self, move: Move) -> Move:
        """Return the move with its reason."""
        result = move.now or move.former
        assert result is not None
        asked = _Asked(result.campaign, result.design)
        if asked.campaign not in self._outcome.book.campaigns or asked.design not in self._outcome.book.designs:
            return replace(move, elsewhere="left")
        if (result.campaign, result.measurand, result.condition) not in self._asked:
            known = asked.campaign in self._campaigns
            return replace(move, elsewhere="asked" if known else "new")
        why = self._why(asked, _runs(move.former), _runs(move.now))
        return replace(move, why=why, elsewhere="scatter" if why.nothing else "")

    def _why(self, asked: _Asked, former: frozenset[str], now: frozenset[str]) -> Why:
        stored = self._outcome.stored
        changed: list[RunChange] = []
        found: dict[str, list[str]] = {"added": [], "removed": [], "counting": []}
        aside: list[tuple[str, str]] = []
        for run in sorted(former | now):
            name = (asked.campaign, run)
            then, is_now = self._former.get(name), stored.get(name)
            parts = () if then is None or is_now is None else _differing(then.parts, is_now.parts)
            if then is None:
                # A run that counted and that no record was kept of: this version could not read what was stored.
                changed += [RunChange(run, ("version",))] if run in former else []
                found["added"] += [run] if run not in former else []
            elif is_now is None or (run in former and is_now.reduced.design != asked.design):
                found["removed"].append(run)
            elif run in former - now and name in self._aside:
                aside.append((run, self._aside[name].reason))
            elif parts:
                changed.append(RunChange(run, parts))
            elif run in now - former:
                found["counting"].append(run)
        return Why(
            tuple(changed), tuple(found["added"]), tuple(found["removed"]), tuple(aside), tuple(found["counting"])
        )


def _runs(result: Result | None) -> frozenset[str]:
    return frozenset() if result is None else frozenset(result.runs)


def _differing(former: Mapping[str, str], now: Mapping[str, str]) -> tuple[str, ...]:
    """Return the parts that differ; one that only one side has differs as well."""
    return tuple(name for name in {**former, **now} if former.get(name) != now.get(name))


def _set_aside(outcome: ReduceOutcome) -> dict[RunName, SetAside]:
    found: dict[RunName, SetAside] = {}
    for name, campaign in outcome.book.campaigns.items():
        runs = [stored.reduced for (of, _), stored in outcome.stored.items() if of == name]
        found |= {(one.campaign, one.run): one for one in campaign_runs(outcome.book, campaign, runs).set_aside}
    return found
