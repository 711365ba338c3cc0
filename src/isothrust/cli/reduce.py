"""isothrust reduce: recordings to curves, only what changed."""

from __future__ import annotations

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.reducing import jobs_option, reduced_runs, reduced_with_bar
from isothrust.cli.screen import show_tables, show_text
from isothrust.cli.session import book_option, json_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.present.objects import json_text
from isothrust.present.runs_table import run_objects, runs_table
from isothrust.workflows.results import store_results

__all__ = ["command"]


@click.command("reduce", help="Reduce every run that is new or changed; the others are left as they are.")
@json_option
@jobs_option
@book_option
def command(*, as_json: bool, jobs: int | None, book: str) -> int:
    """Reduce, and say what was done."""
    outcome = reduced_with_bar(book, jobs)
    tell_findings(outcome.book.findings)
    runs = reduced_runs(outcome)
    store_results(outcome.book, runs)
    if as_json:
        show_text(json_text(run_objects(runs, outcome.reduced, outcome.failed)))
    else:
        show_tables([runs_table(outcome.book.title, runs, outcome.reduced, outcome.failed)])
    tell_failures(runs, outcome.failed)
    return exit_status_for(runs, outcome.failed, outcome.book.decisions)
