"""isothrust balance: what to add to a propeller and where, from runs with a trial mass."""

from __future__ import annotations

import textwrap

import click

from isothrust.book.load import load_book
from isothrust.cli.craft_options import Values
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import show_tables, show_text, width_of_screen
from isothrust.cli.selectors import campaign_option
from isothrust.cli.session import book_option, json_option
from isothrust.present.balance_table import balance_object, balance_sentences, balance_table
from isothrust.present.objects import json_text
from isothrust.records.balance import Balance
from isothrust.workflows.balance import BalanceAsked, balance_samples, check_balance

__all__ = ["command"]


@click.command("balance", help="Say what balances DESIGN's samples and where, from runs with and without trial masses.")
@click.argument("design", metavar="DESIGN")
@click.option("--sample", metavar="NAME", help="One sample (default: all that had a trial mass).")
@click.option(
    "--rotor-mass", metavar="VALUE", help='Of all that turns, for the grade: "42 g" (default: from the book).'
)
@click.option("--speed", metavar="VALUE", help='Service speed of the grade: "24000 rpm" (default: the greatest run).')
@campaign_option
@json_option
@jobs_option
@book_option
def command(
    *,
    design: str,
    sample: str | None,
    campaigns: tuple[str, ...],
    as_json: bool,
    jobs: int | None,
    book: str,
    **words: str | None,
) -> int:
    """Show the balance of each sample."""
    values = Values()
    asked = BalanceAsked(
        design=design,
        sample=sample,
        campaigns=campaigns,
        rotor_mass=values.read("--rotor-mass", words["rotor_mass"], "mass"),
        speed=values.read("--speed", words["speed"], "speed"),
    )
    values.check()
    check_balance(load_book(book), asked)
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        found = balance_samples(outcome.book, reduced_runs(outcome), asked)
    if as_json:
        show_text(json_text(balance_object(balance) for balance in found))
        return 0
    for number, balance in enumerate(found):
        if number:
            show_text("\n")
        _show(balance)
    return 0


def _show(balance: Balance) -> None:
    for sentence in balance_sentences(balance):
        show_text(textwrap.fill(sentence, width_of_screen(), subsequent_indent="  ", break_on_hyphens=False))
    show_text("")
    show_tables([balance_table(balance)])
