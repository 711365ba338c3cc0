"""isothrust compare: designs ranked within their class, with ties, and in sentences."""

from __future__ import annotations

import textwrap

import click

from isothrust.book.load import load_book
from isothrust.cli.aside import say_set_aside
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_lines, show_notes, show_tables, show_text, width_of_screen
from isothrust.cli.selectors import selection_options
from isothrust.cli.session import book_option, json_option
from isothrust.present.comparison_table import (
    comparison_legend,
    comparison_remarks,
    comparison_table,
    comparison_title,
    lone_line,
)
from isothrust.present.objects import comparison_object, json_text
from isothrust.present.plain import Line
from isothrust.records.result import Comparison
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
    with computing(outcome):
        compared = compare_designs(outcome.book, reduced_runs(outcome), selection, across_blades=across_blades)
    if as_json:
        show_text(json_text(comparison_object(comparison) for comparison in compared.comparisons))
        say_set_aside(compared.set_aside, book)
        return 0
    show_comparisons(compared, outcome.book.standard_density)
    say_set_aside(compared.set_aside, book)
    return 0


def show_comparisons(compared: Compared, standard_density: float) -> None:
    """Print the comparisons, those of one measurand at one condition under one title."""
    titles: dict[str, list[Comparison]] = {}
    for comparison in compared.comparisons:
        titles.setdefault(comparison_title(comparison), []).append(comparison)
    for number, (title, comparisons) in enumerate(titles.items()):
        show_lines([*([Line("body", ""), Line("body", "")] if number else []), Line("title", title)])
        lone = [comparison for comparison in comparisons if len(comparison.ranks) == 1]
        for comparison in comparisons:
            if len(comparison.ranks) != 1 or comparison.absent:
                _show_class(comparison)
        if lone:
            show_notes(tuple(lone_line(comparison) for comparison in lone))
    if any(rank.result.interval for comparison in compared.comparisons for rank in comparison.ranks):
        show_notes((comparison_legend(standard_density),))
    if not compared.comparisons:
        say("nothing to compare: no run of the designs asked for in the campaigns asked for")


def _show_class(comparison: Comparison) -> None:
    """Print one class: its table, what that says in sentences, and what must be said besides."""
    show_text("")
    show_tables([comparison_table(comparison)])
    for sentence in comparison.sentences if len(comparison.ranks) > 1 else ():
        show_text("\n" + textwrap.fill(sentence, width_of_screen(), break_on_hyphens=False))
    remarks = comparison_remarks(comparison)
    if remarks:
        show_notes(remarks)
