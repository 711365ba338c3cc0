"""isothrust motor: motor and controller as a campaign's runs show them."""

from __future__ import annotations

import click

from isothrust.book.load import load_book
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import say, show_notes, show_tables, show_text
from isothrust.cli.session import book_option, json_option
from isothrust.present.motor_objects import motor_object
from isothrust.present.motor_table import correlation_table, left_out_table, motor_legend, motor_table
from isothrust.present.objects import json_text
from isothrust.workflows.motor import check_motor, motors_of
from isothrust.workflows.selection import Selection

__all__ = ["command"]


@click.command("motor", help="Show KV, resistance, friction and throttle map that the runs of a campaign tell.")
@click.argument("name", metavar="NAME", required=False)
@click.option("--campaign", metavar="NAME", help="Of this campaign only (default: each campaign that has runs).")
@click.option("--correlation", is_flag=True, help="Show how the errors of the constants go together.")
@json_option
@jobs_option
@book_option
def command(
    *, name: str | None, campaign: str | None, correlation: bool, as_json: bool, jobs: int | None, book: str
) -> int:
    """Show the motors asked for."""
    selection = Selection(campaigns=() if campaign is None else (campaign,))
    check_motor(load_book(book), name, selection)
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        found = motors_of(outcome.book, reduced_runs(outcome), name, selection)
    if as_json:
        show_text(json_text(motor_object(one.campaign, one.model) for one in found))
        return 0
    for number, one in enumerate(found):
        if number:
            show_text("")
        show_tables([motor_table(one.campaign, one.model)])
        tried = left_out_table(one.model)
        further = [tried] if tried is not None else []
        if correlation:
            further.append(correlation_table(one.model))
        for table in further:
            show_text("")
            show_tables([table])
    if found:
        show_notes((motor_legend(),))
    else:
        say("nothing to show: no campaign has a run with that motor")
    return 0
