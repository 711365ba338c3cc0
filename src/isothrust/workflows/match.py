"""How a book's designs suit the motors they were tested on, or another one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Campaign
from isothrust.records.motor import MotorModel
from isothrust.records.prediction import Match, Power
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.matching import match_design
from isothrust.reduction.propellerload import propeller_load
from isothrust.workflows.motor_choice import check_motor, motor_named
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection, campaigns_asked, designs_asked

__all__ = ["MatchAsked", "check_match", "match_designs", "motor_name_of", "usual_power"]


@dataclass(frozen=True, slots=True)
class MatchAsked:
    """Which designs are matched with which motor."""

    designs: tuple[str, ...] = ()
    motor: str | None = None
    """None: the one that the campaign ran on."""
    campaigns: tuple[str, ...] = ()
    voltage: float | None = None
    """[V]; None: the campaign's supply."""
    current_limit: float | None = None
    """Into the controller [A]."""
    hover: float | None = None
    """A thrust to be held [N]."""


def check_match(book: Book, asked: MatchAsked) -> None:
    """Raise UsageError where anything asked is not in the book: before hours of reducing, not after."""
    selection = Selection(designs=asked.designs, campaigns=asked.campaigns)
    designs_asked(book, selection)
    check_motor(book, asked.motor)
    for name in campaigns_asked(book, selection):
        motor_name_of(book.campaigns[name], asked)
        usual_power(book.campaigns[name], None, asked)


def match_designs(book: Book, reduced: Iterable[ReducedRun], asked: MatchAsked) -> tuple[Match, ...]:
    """Return one match for each design and campaign that has runs of it, in the book's standard air.

    Raises
    ------
    UsageError
        Where a design, motor or campaign is unknown, or the motor or the voltage is not said anywhere.
    """
    check_match(book, asked)
    return tuple(_matches(book, list(reduced), asked))


def _matches(book: Book, runs: list[ReducedRun], asked: MatchAsked) -> Iterator[Match]:
    selection = Selection(designs=asked.designs, campaigns=asked.campaigns)
    for name in campaigns_asked(book, selection):
        campaign = book.campaigns[name]
        ran = {run.design for run in campaign.runs}
        designs = [design for design in designs_asked(book, selection) if design in ran]
        if not designs:
            continue
        chosen = motor_named(book, runs, motor_name_of(campaign, asked), name)
        motor = chosen.model
        power = usual_power(campaign, motor, asked)
        counted = campaign_runs(book, campaign, [run for run in runs if run.campaign == name])
        for design in designs:
            load, reason = propeller_load(counted, design, book.standard_density)
            if load is None:
                yield Match(design, name, motor, power, None, (), absent=reason)
            else:
                yield match_design(load, chosen.model, power, asked.hover, chosen.heating)


def motor_name_of(campaign: Campaign, asked: MatchAsked) -> str:
    """Return the motor asked for, or the campaign's own.

    Raises
    ------
    UsageError
        `motor-needed`.
    """
    own = campaign.motor.name if campaign.motor is not None else campaign.rig.motor
    name = asked.motor or own
    if name is None:
        raise UsageError(
            f"campaign {campaign.name} does not say which motor it ran on",
            code="motor-needed",
            where=Where(f"campaigns/{campaign.name}/campaign.toml"),
            expected="a motor of motors.csv",
            fix='add --motor NAME, or motor = "NAME" to campaign.toml',
        )
    return name


def usual_power(campaign: Campaign, motor: MotorModel | None, asked: MatchAsked) -> Power:
    """Return what feeds the controller: the voltage asked for, that of the runs, or what the campaign states.

    The bench's own limit of current holds on the bench's own supply.

    Raises
    ------
    UsageError
        `voltage-needed`.
    """
    limit = asked.current_limit
    if limit is None and asked.voltage is None:
        limit = campaign.rig.current_limit
    if asked.voltage is not None:
        return Power(asked.voltage, current_limit=limit, words=f"{asked.voltage:g} V")
    supply = None if motor is None else motor.supply
    if supply is not None:
        words = f"the supply of the runs, {supply.voltage:.1f} V"
        return Power(supply.voltage, supply.resistance, current_limit=limit, words=words)
    stated = campaign.rig.supply_voltage
    if stated is None:
        raise UsageError(
            f"campaign {campaign.name} does not say the voltage of its supply",
            code="voltage-needed",
            where=Where(f"campaigns/{campaign.name}/campaign.toml"),
            expected="a voltage",
            fix='add --voltage "24 V", or supply_voltage = "24 V" to campaign.toml',
        )
    return Power(stated, current_limit=limit, words=f"{stated:g} V, as the campaign states")
