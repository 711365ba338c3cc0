"""Which motor is meant: the one that a campaign found, or else the row of motors.csv."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from isothrust.errors import UsageError, Where
from isothrust.records.book import Book
from isothrust.records.motor import MotorModel
from isothrust.records.reduced import ReducedRun
from isothrust.reduction.motor_stated import stated_motor
from isothrust.reduction.motor_usual import with_usual_controller
from isothrust.reduction.warming import Heating, heating_of
from isothrust.tables.nearest import names_told, nearest_first
from isothrust.workflows.motor import found_motor, motors_in

__all__ = ["ChosenMotor", "check_motor", "motor_named"]


@dataclass(frozen=True, slots=True)
class ChosenMotor:
    """A motor, and what heated it in the runs that it was found from."""

    model: MotorModel
    heating: Heating | None


def check_motor(book: Book, name: str | None) -> None:
    """Raise UsageError where no table and no rig knows a motor of this name."""
    known = _known(book)
    if name is None or name in known:
        return
    near = nearest_first(name, known)
    raise UsageError(
        f'there is no motor "{name}" in motors.csv, nor did any campaign run on one',
        code="unknown-motor",
        where=Where(f"--motor {name}"),
        expected=names_told(name, known, otherwise="a motor of motors.csv, which holds none yet"),
        fix=f'write "{near[0]}", if that is what was meant' if near else "add a row to motors.csv: motor,kv [rpm/V],…",
    )


def motor_named(
    book: Book, reduced: Iterable[ReducedRun], name: str, prefer: str, *, leave_one_out: bool = True
) -> ChosenMotor:
    """Return a motor: as the preferred campaign found it, as another did, or as motors.csv states it.

    `leave_one_out` False saves the time of predicting each design from the others: for pictures, which do not show it.

    Raises
    ------
    UsageError
        `motor-unknown-constants` where neither says KV and resistance.
    """
    check_motor(book, name)
    runs = list(reduced)
    campaigns = [one.name for one in book.campaigns.values() if name in motors_in(one)]
    for campaign in sorted(campaigns, key=lambda one: one != prefer):
        found = found_motor(book, runs, campaign, name, leave_one_out=leave_one_out)
        if _enough(found):
            return ChosenMotor(found, heating_of(found, [run for run in runs if run.campaign == campaign]))
    stated = with_usual_controller(stated_motor(book.motors[name])) if name in book.motors else None
    if stated is not None and _enough(stated):
        return ChosenMotor(stated, None)
    raise UsageError(
        f"of motor {name} neither KV nor resistance can be told",
        code="motor-unknown-constants",
        where=Where(f"--motor {name}"),
        expected="runs with torque, current and voltage on it, or its kv and resistance in motors.csv",
        fix="fill kv [rpm/V] and resistance [ohm] of its row in motors.csv",
    )


def _enough(motor: MotorModel) -> bool:
    return motor.kv is not None and motor.resistance is not None


def _known(book: Book) -> list[str]:
    driven = [name for campaign in book.campaigns.values() for name in motors_in(campaign)]
    return list(dict.fromkeys([*book.motors, *driven]))
