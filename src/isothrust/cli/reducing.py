"""Bringing a book up to date before it is asked, and saying so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.cli.bookfindings import count_findings
from isothrust.cli.pool import executor_for
from isothrust.cli.progress import progress_bar
from isothrust.cli.screen import counted, say
from isothrust.cli.session import book_words
from isothrust.errors import BookError, Where
from isothrust.records.reduced import ReducedRun
from isothrust.workflows.reduce import ReduceOutcome, reduce_book

__all__ = ["computing", "jobs_option", "no_runs", "reduced_runs", "reduced_with_bar", "up_to_date"]

MANY = 60
"""Runs whose figures take about a second to compute."""


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
    """Reduce what is stale in the book, with a bar on a terminal; an empty book is an error."""
    with executor_for(jobs) as executor, progress_bar() as bar:
        outcome = reduce_book(book, executor=executor, progress=bar, runs=runs)
    if not outcome.stored:
        raise no_runs(book)
    return outcome


def no_runs(book: str) -> BookError:
    """Return the error of a book that has no run."""
    return BookError(
        "the book has no run yet",
        code="no-runs",
        where=Where(str(Path(book) / CAMPAIGNS)),
        expected="a campaign with a runs.csv that lists recordings",
        fix=f"isothrust add FOLDER --campaign NAME --rig RIG{book_words(book)}",
    )


def up_to_date(book: str, jobs: int | None) -> ReduceOutcome:
    """Reduce what is stale and say on standard error what was done."""
    outcome = reduced_with_bar(book, jobs)
    count_findings(outcome.book.findings, book)
    if outcome.reduced:
        say(f"reduced first: {counted(len(outcome.reduced), 'run')} new or changed")
    return outcome


@contextmanager
def computing(outcome: ReduceOutcome) -> Iterator[None]:
    """Say on a terminal, while figures of a large book are computed, that they are."""
    count = len(outcome.stored)
    with progress_bar() as bar:
        if count >= MANY:
            bar(0, 0, f"computing figures of {count} runs")
        yield


def reduced_runs(outcome: ReduceOutcome) -> list[ReducedRun]:
    """Return the stored runs of an outcome."""
    return [stored.reduced for stored in outcome.stored.values()]
