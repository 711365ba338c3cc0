"""Bringing a book up to date before it is asked, and saying so."""

from __future__ import annotations

from collections.abc import Iterable

import click

from isothrust.cli.bookfindings import count_findings
from isothrust.cli.pool import executor_for
from isothrust.cli.progress import progress_bar
from isothrust.cli.screen import counted, say
from isothrust.cli.session import book_words
from isothrust.errors import BookError, Where
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.reduce import ReduceOutcome, reduce_book

__all__ = ["jobs_option", "reduced_runs", "reduced_with_bar", "up_to_date"]


def _at_least_one(ctx: click.Context, option: click.Parameter, value: int | None) -> int | None:
    if value is not None and value < 1:
        raise click.BadParameter("it is a number of processes, 1 or more", ctx, option)
    return value


jobs_option = click.option(
    "--jobs",
    type=int,
    callback=_at_least_one,
    metavar="N",
    help="Processes to reduce many runs with (default: one a core).",
)


def reduced_with_bar(book: str, jobs: int | None, runs: Iterable[str] | None = None) -> ReduceOutcome:
    """Reduce what is stale in the book, with a bar on a terminal."""
    with executor_for(jobs) as executor, progress_bar() as bar:
        return reduce_book(book, executor=executor, progress=bar, runs=runs)


def up_to_date(book: str, jobs: int | None) -> ReduceOutcome:
    """Reduce what is stale and say on standard error what was done; an empty book is an error."""
    outcome = reduced_with_bar(book, jobs)
    count_findings(outcome.book.findings, book)
    if not outcome.stored:
        raise BookError(
            "the book has no run yet",
            code="no-runs",
            where=Where(f"{book}/campaigns"),
            expected="a campaign with a runs.csv that lists recordings",
            fix=f"isothrust add FOLDER --campaign NAME --rig RIG{book_words(book)}",
        )
    if outcome.reduced:
        say(f"reduced first: {counted(len(outcome.reduced), 'run')} new or changed")
    return outcome


def reduced_runs(outcome: ReduceOutcome) -> list[ReducedRun]:
    """Return the stored runs of an outcome."""
    return [stored.reduced for stored in outcome.stored.values()]
