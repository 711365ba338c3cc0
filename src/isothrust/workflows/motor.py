"""Motors of a book: found from the runs of a campaign that share one, or as motors.csv states them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book, Campaign
from isothrust.records.motor import MotorModel
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.motor_found import MotorRuns, find_motor
from isothrust.reduction.motor_stated import stated_motor
from isothrust.tables.nearest import names_told
from isothrust.workflows.results import campaign_runs
from isothrust.workflows.selection import Selection, campaigns_asked

__all__ = ["FoundMotor", "check_motor", "found_motor", "motors_in", "motors_of", "stated_motor_of"]

UNNAMED = "unnamed"
"""What the motor of a campaign is called that names none."""
COLUMN = "motor"
"""Column of runs.csv that says of a run which motor it was made with, where a campaign has several."""


@dataclass(frozen=True, slots=True)
class FoundMotor:
    """A motor and the campaign whose runs show it; empty for a motor that is only stated."""

    campaign: str
    model: MotorModel


def motors_in(campaign: Campaign) -> dict[str, frozenset[str]]:
    """Return the motors of a campaign, each with the runs made with it, in the order of the runs.

    Runs share the motor that rig or campaign names, but for those that a column `motor` of runs.csv gives another.
    """
    usual = campaign.rig.motor or (campaign.motor.name if campaign.motor is not None else UNNAMED)
    runs: dict[str, set[str]] = {}
    for run in campaign.runs:
        runs.setdefault(run.extra.get(COLUMN, "").strip() or usual, set()).add(run.name)
    return {name: frozenset(members) for name, members in runs.items()}


def found_motor(
    book: Book, reduced: Iterable[ReducedRun], campaign: str, motor: str | None = None, *, leave_one_out: bool = True
) -> MotorModel:
    """Return a motor as a campaign's runs show it; runs that are set aside do not count.

    Parameters
    ----------
    book
        The book.
    reduced
        Its reduced runs, of any campaign.
    campaign
        Whose runs are looked at.
    motor
        Which of the campaign's motors; None: its only one, or the first.
    leave_one_out
        Whether each design is foretold from the others' runs as well.

    Raises
    ------
    UsageError
        Where the campaign is not in the book or none of its runs has that motor.
    """
    (name,) = campaigns_asked(book, Selection(campaigns=(campaign,)))
    of = book.campaigns[name]
    motors = motors_in(of)
    wanted = motor or next(iter(motors), UNNAMED)
    if motor is not None and motor not in motors:
        raise _unknown(motor, motors, f"campaign {name}")
    counting = campaign_runs(book, of, [run for run in reduced if run.campaign == name]).runs
    runs = [run for run in counting if run.run in motors.get(wanted, frozenset())]
    stated = book.motors.get(wanted)
    return find_motor(MotorRuns(wanted, runs, {of.rig.name: of.rig}, stated), leave_one_out=leave_one_out)


def stated_motor_of(book: Book, name: str) -> MotorModel:
    """Return a motor as motors.csv states it.

    Raises
    ------
    UsageError
        Where motors.csv has no such motor.
    """
    if name not in book.motors:
        raise _unknown(name, book.motors, "motors.csv")
    return stated_motor(book.motors[name])


def check_motor(book: Book, name: str | None, selection: Selection) -> None:
    """Raise UsageError where a motor or campaign is asked for that the book does not have."""
    campaigns = campaigns_asked(book, selection)
    known = _known(book, campaigns)
    if name is not None and name not in known:
        raise _unknown(name, known, "the book")


def motors_of(
    book: Book, reduced: Iterable[ReducedRun], name: str | None, selection: Selection
) -> tuple[FoundMotor, ...]:
    """Return every motor asked for in every campaign asked for, and one that only motors.csv knows as it states it.

    Raises
    ------
    UsageError
        As `check_motor`.
    """
    check_motor(book, name, selection)
    runs = list(reduced)
    out: list[FoundMotor] = []
    for campaign in campaigns_asked(book, selection):
        asked = [motor for motor in motors_in(book.campaigns[campaign]) if name in {None, motor}]
        out += [FoundMotor(campaign, found_motor(book, runs, campaign, motor)) for motor in asked]
    if name is not None and not out:
        out.append(FoundMotor("", stated_motor_of(book, name)))
    return tuple(out)


def _known(book: Book, campaigns: Iterable[str]) -> tuple[str, ...]:
    driven = [motor for campaign in campaigns for motor in motors_in(book.campaigns[campaign])]
    return tuple(dict.fromkeys([*driven, *book.motors]))


def _unknown(name: str, known: Iterable[str], place: str) -> UsageError:
    return UsageError(
        f'there is no motor "{name}" in {place}',
        code="unknown-motor",
        where=Where("the motor's name"),
        expected=names_told(name, tuple(known), otherwise="a row of motors.csv, which holds none yet"),
        fix="mend the name; a motor that no run was made with needs a row in motors.csv",
    )
