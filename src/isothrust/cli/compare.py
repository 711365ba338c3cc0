"""isothrust compare: designs ranked within their class, with ties, and in sentences."""

from __future__ import annotations

import textwrap

import click

from isothrust.book.load import load_book
from isothrust.cli.aside import say_set_aside
from isothrust.cli.reducing import jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_notes, show_tables, show_text, width_of_screen
from isothrust.cli.selectors import selection_options
from isothrust.cli.session import book_option, json_option
from isothrust.present.comparison_table import COMPARISON_LEGEND, comparison_table
from isothrust.present.objects import comparison_object, json_text
from isothrust.workflows.compare import Compared, compare_designs
from isothrust.workflows.selection import Selection, check_selection

__all__ = ["command", "show_comparisons"]


@click.command("compare", help="Rank designs within their class at equal thrust or speed, with ties, in a sentence.")
@selection_options
@click.option("--across-blades", is_flag=True, help="Compare across blade counts as well, and say so.")
@json_option
@jobs_option
@book_option
def command(
    *,
    selection: Selection,
    across_blades: bool,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Show the comparisons asked for."""
    check_selection(load_book(book), selection)
    outcome = up_to_date(book, jobs)
    compared = compare_designs(outcome.book, reduced_runs(outcome), selection, across_blades=across_blades)
    if as_json:
        show_text(json_text(comparison_object(comparison) for comparison in compared.comparisons))
        return 0
    show_comparisons(compared)
    return 0


def show_comparisons(compared: Compared) -> None:
    """Print each comparison: the table, then what it says."""
    for number, comparison in enumerate(compared.comparisons):
        if number:
            show_text("\n")
        show_tables([comparison_table(comparison)])
        for sentence in comparison.sentences:
            show_text("\n" + textwrap.fill(sentence, width_of_screen()))
    if any(comparison.pairs for comparison in compared.comparisons):
        show_notes((COMPARISON_LEGEND,))
    if not compared.comparisons:
        say("nothing to compare: no run of the designs asked for in the campaigns asked for")
    say_set_aside(compared.set_aside)
