"""isothrust predict: what a design would do on a motor, a supply and a craft."""

from __future__ import annotations

import itertools

import click

from isothrust.book.load import load_book
from isothrust.cli.craft_options import Values, craft_of, power_of
from isothrust.cli.reducing import computing, jobs_option, reduced_runs, up_to_date
from isothrust.cli.screen import show_tables, show_text
from isothrust.cli.selectors import campaign_option
from isothrust.cli.session import book_option, json_option
from isothrust.errors import UsageError, Where
from isothrust.present.objects import json_text
from isothrust.present.predicted_objects import prediction_object
from isothrust.present.predicted_table import prediction_table
from isothrust.workflows.predict import PredictAsked, check_predict, predict_designs

__all__ = ["command"]


@click.command("predict", help="Say what DESIGNs would do on a motor, a supply and a craft, each figure with ±.")
@click.argument("designs", metavar="DESIGN...", nargs=-1, required=True)
@click.option("--motor", required=True, metavar="NAME", help="A motor that a campaign ran on, or one of motors.csv.")
@click.option("--voltage", metavar="VALUE", help='Of the supply without load, fully charged: "16.8 V".')
@click.option("--battery", metavar="TEXT", help='In place of --voltage, as "6S 1300mAh 25mohm".')
@click.option("--battery-resistance", metavar="VALUE", help='Of the battery that all rotors share: "25 mohm".')
@click.option("--empty-voltage", metavar="VALUE", help='Without load, where the usable energy ends: "14 V".')
@click.option("--usable-energy", metavar="VALUE", help='What the battery gives from full to empty: "20 Wh".')
@click.option("--limit", metavar="VALUE", help='Current that one controller may take: "40 A".')
@click.option("--mass", metavar="VALUE", help='Of the whole craft: "680 g"; without it, full throttle alone is told.')
@click.option("--rotors", type=int, default=4, show_default=True, metavar="N", help="How many carry the craft.")
@click.option("--drag-area", metavar="VALUE", help='Drag coefficient times area of the craft: "120 cm2".')
@click.option("--altitude", metavar="VALUE", help='Of the place above sea level: "1500 m".')
@click.option(
    "--temperature", metavar="VALUE", help='Of the air there: "30 degC" (default: of the standard atmosphere).'
)
@click.option("--extrapolate", is_flag=True, help="Go beyond the measured speeds, with a wider interval and a mark.")
@campaign_option
@json_option
@jobs_option
@book_option
def command(
    *, designs: tuple[str, ...], campaigns: tuple[str, ...], as_json: bool, jobs: int | None, book: str, **words: object
) -> int:
    """Show the predictions asked for."""
    asked = _asked(designs, campaigns, words)
    check_predict(load_book(book), asked)
    outcome = up_to_date(book, jobs)
    with computing(outcome):
        found = predict_designs(outcome.book, reduced_runs(outcome), asked)
    if as_json:
        show_text(json_text(prediction_object(prediction) for prediction in found))
        return 0
    campaigns_found = itertools.groupby(found, key=lambda prediction: prediction.campaign)
    show_tables(prediction_table(list(group)) for _, group in campaigns_found)
    return 0


def _asked(designs: tuple[str, ...], campaigns: tuple[str, ...], words: dict[str, object]) -> PredictAsked:
    """Return what is asked; all that is wrong in the words is told at once."""

    def given(name: str) -> str | None:
        value = words[name]
        return None if value is None else str(value)

    values = Values()
    power = power_of(given, values)
    rotors = words["rotors"]
    assert isinstance(rotors, int)
    craft = craft_of(given, rotors, values)
    altitude, temperature = (
        values.length("--altitude", given("altitude")),
        values.temperature("--temperature", given("temperature")),
    )
    values.check()
    if power is None:
        raise UsageError(
            "neither --voltage nor --battery says what feeds the motor",
            code="voltage-needed",
            where=Where("isothrust predict"),
            expected='a voltage, or a battery: --voltage "16.8 V", --battery "4S 1500mAh 20mohm"',
            fix="add one of the two",
        )
    return PredictAsked(
        designs=designs,
        motor=str(words["motor"]),
        power=power,
        campaigns=campaigns,
        craft=craft,
        altitude=altitude,
        temperature=temperature,
        extrapolate=bool(words["extrapolate"]),
    )
