"""isothrust results: figures with their uncertainty, in tables or as JSON."""

from __future__ import annotations

from dataclasses import replace

import click

from isothrust.book.load import load_book
from isothrust.cli.aside import say_set_aside
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_notes, show_tables, show_text, width_of_screen
from isothrust.cli.selectors import selection_options
from isothrust.cli.session import book_option, json_option
from isothrust.present.objects import json_text, result_object
from isothrust.present.results_table import results_legend, results_tables
from isothrust.present.shown import has_width
from isothrust.reduction.pooling import Per
from isothrust.workflows.results import collect_results
from isothrust.workflows.selection import Selection, check_selection

__all__ = ["command"]


@click.command("results", help="Show figures with their uncertainty, by design unless --per says otherwise.")
@selection_options
@click.option(
    "--per",
    type=click.Choice(["design", "sample", "run"]),
    default="design",
    show_default=True,
    help="One figure for each design, sample or run.",
)
@json_option
@jobs_option
@book_option
def command(
    *,
    selection: Selection,
    per: Per,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Show the results asked for."""
    selection = replace(selection, per=per)
    check_selection(load_book(book), selection)
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        answer = collect_results(outcome.book, reduced_runs(outcome), selection)
        tables = [] if as_json else results_tables(answer.results, width_of_screen(), per=per)
    if as_json:
        show_text(json_text(result_object(result) for result in answer.results))
        say_set_aside(answer.set_aside, book)
        return 0
    show_tables(tables)
    if any(has_width(result) for result in answer.results):
        show_notes((results_legend(outcome.book.standard_density),))
    if not answer.results:
        say("nothing to show: no run of the designs asked for in the campaigns asked for")
    say_set_aside(answer.set_aside, book)
    if not selection.measurands:
        say("\nthese are the usual figures; all that can be asked:  isothrust results --list")
    return 0
