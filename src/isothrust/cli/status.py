"""Exit statuses of `reduce` and `check`, and the errors of runs that could not be reduced."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from isothrust.cli.screen import say
from isothrust.records.book import Decision
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import last_decisions, standing_of

__all__ = ["exit_status_for", "tell_failures"]

DONE, PARTLY, NOTHING = 0, 1, 2


def exit_status_for(
    runs: Sequence[ReducedRun], failed: Collection[tuple[str, str]], decisions: Iterable[Decision] = ()
) -> int:
    """Return 0 where all is done, 1 where a run was not reduced or is set aside, 2 where no run was done.

    A run on which a decision of the book holds has been dealt with, and is no trouble any more, until something is
    found that the decision does not cover.
    """
    done = [run for run in runs if (run.campaign, run.run) not in failed]
    if not done:
        return NOTHING
    holding = last_decisions(decisions)
    return DONE if all(standing_of(run, holding).settled for run in runs) else PARTLY


def tell_failures(runs: Sequence[ReducedRun], failed: Collection[tuple[str, str]]) -> None:
    """Show on standard error, in the form of errors, why runs could not be reduced."""
    for run in runs:
        if (run.campaign, run.run) not in failed:
            continue
        for finding in run.findings:
            if finding.severity == "fail":
                name = f"{run.campaign}/{run.run}" if run.campaign else run.run
                say(f"\nrun {name} was not reduced:\n{finding.message}")
