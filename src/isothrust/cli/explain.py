"""isothrust explain: a figure, back to its files, as text that somebody could follow with a calculator."""

from __future__ import annotations

import functools

import click

from isothrust.book.load import load_book
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_lines, show_text, width_of_screen
from isothrust.cli.selectors import campaign_option, condition_option, list_option, of_option, selection_options
from isothrust.cli.session import book_option, book_words, json_option
from isothrust.present.explanation import explanation_lines
from isothrust.present.explanation_objects import explanation_object
from isothrust.present.objects import json_text
from isothrust.present.plain import Line
from isothrust.workflows.explain import explain_figures
from isothrust.workflows.explain_target import TargetKind, find_target
from isothrust.workflows.selection import Selection, check_selection

__all__ = ["command"]


OPTIONS = (list_option, of_option, condition_option("the book's middle comparison point"), campaign_option)


@click.command(
    "explain",
    help="Show where a figure of RUN or DESIGN comes from: files, zeros, lags, fits, arithmetic, uncertainty.",
)
@click.argument("name", metavar="RUN|DESIGN")
@functools.partial(selection_options, options=OPTIONS)
@click.option(
    "--as", "kind", type=click.Choice(["design", "run"]), help="Which, where a design and a run share a name."
)
@json_option
@jobs_option
@book_option
def command(
    *,
    name: str,
    selection: Selection,
    kind: TargetKind | None,
    as_json: bool,
    jobs: int | None,
    book: str,
) -> int:
    """Explain the figures asked for, or the first of use where none is named."""
    before = load_book(book)
    check_selection(before, selection)
    find_target(before, name, selection.campaigns, kind)
    outcome = up_to_date(book, jobs)
    target = find_target(outcome.book, name, selection.campaigns, kind)
    with computing(outcome):
        found = explain_figures(outcome.book, reduced_runs(outcome), target, selection)
    if as_json:
        show_text(json_text(explanation_object(explanation) for explanation in found))
        return 0
    for number, explanation in enumerate(found):
        lines = explanation_lines(explanation, width_of_screen())
        show_lines([*([Line("body", ""), Line("body", "")] if number else []), *lines])
    if not (selection.measurands and (selection.thrusts or selection.speeds)):
        say(f"\nothers:  isothrust explain {name} --of MEASURAND --at thrust=500gf{book_words(book)}")
        say("all that can be asked:  isothrust explain --list")
    if len(found) > 1:
        say(f"one campaign alone: add  --campaign {found[0].campaign}")
    return 0
