"""isothrust match: how designs and motors suit each other."""

from __future__ import annotations

import itertools
import textwrap

import click

from isothrust.book.load import load_book
from isothrust.cli.craft_options import Values
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import show_tables, show_text, width_of_screen
from isothrust.cli.selectors import campaign_option
from isothrust.cli.session import book_option, json_option
from isothrust.present.objects import json_text
from isothrust.present.predicted_objects import match_object
from isothrust.present.predicted_table import match_table, sensitivity_table
from isothrust.records.prediction import Match
from isothrust.workflows.match import MatchAsked, check_match, match_designs

__all__ = ["command"]


@click.command("match", help="Say whether torque or speed binds each DESIGN on a motor, and which KV would suit it.")
@click.argument("designs", metavar="[DESIGN...]", nargs=-1)
@click.option("--motor", metavar="NAME", help="Another motor than the one that the campaign ran on.")
@click.option("--voltage", metavar="VALUE", help='Another voltage than that of the campaign\'s supply: "16 V".')
@click.option("--limit", metavar="VALUE", help='Current that the controller may take: "40 A".')
@click.option("--hover", metavar="VALUE", help='Thrust of one rotor in hover, to find the most efficient KV: "500 gf".')
@campaign_option
@json_option
@jobs_option
@book_option
def command(
    *,
    designs: tuple[str, ...],
    campaigns: tuple[str, ...],
    as_json: bool,
    jobs: int | None,
    book: str,
    **words: str | None,
) -> int:
    """Show the matches asked for."""
    asked = _asked(designs, campaigns, words)
    check_match(load_book(book), asked)
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        found = match_designs(outcome.book, reduced_runs(outcome), asked)
    if as_json:
        show_text(json_text(match_object(match) for match in found))
        return 0
    for number, (_, group) in enumerate(itertools.groupby(found, key=lambda match: match.campaign)):
        if number:
            show_text("\n")
        _show(list(group))
    return 0


def _show(matches: list[Match]) -> None:
    """Print the matches of one campaign: sentences first, then the figures."""
    for match in matches:
        for place, sentence in enumerate(match.sentences):
            indent = "  " if place else ""
            text = textwrap.fill(
                sentence, width_of_screen(), initial_indent=indent, subsequent_indent="  ", break_on_hyphens=False
            )
            show_text(text)
    show_text("")
    show_tables(
        [match_table(matches), *([sensitivity_table(matches)] if any(m.sensitivities for m in matches) else [])]
    )


def _asked(designs: tuple[str, ...], campaigns: tuple[str, ...], words: dict[str, str | None]) -> MatchAsked:
    values = Values()
    asked = MatchAsked(
        designs=designs,
        motor=words["motor"],
        campaigns=campaigns,
        voltage=values.read("--voltage", words["voltage"], "voltage"),
        current_limit=values.read("--limit", words["limit"], "current"),
        hover=values.read("--hover", words["hover"], "thrust"),
    )
    values.check()
    return asked
