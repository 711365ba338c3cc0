"""isothrust reduce: recordings to curves, only what changed."""

from __future__ import annotations

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, reduced_with_bar
from isothrust.cli.screen import show_tables, show_text
from isothrust.cli.session import book_option, json_option
from isothrust.cli.status import exit_status_for, tell_failures
from isothrust.present.moved_table import moved_objects, moved_table
from isothrust.present.objects import json_text
from isothrust.present.runs_table import Done, run_objects, runs_table
from isothrust.workflows.moved import moves_told, store_and_compare

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
    with computing(outcome):
        moves = store_and_compare(outcome)
    done = Done(outcome.reduced, outcome.failed, outcome.book.decisions)
    if as_json:
        objects = [*run_objects(runs, done), *moved_objects(moves)]
        show_text(json_text(objects))
    else:
        moved = moved_table(moves)
        show_tables([runs_table(outcome.book.title, runs, done), *([moved] if moved else [])])
    moves_told(outcome.book)
    tell_failures(runs, outcome.failed)
    return exit_status_for(runs, outcome.failed, outcome.book.decisions)
