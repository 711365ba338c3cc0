"""What is asked for: measurands, conditions, designs and campaigns, checked against the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from isothrust.errors import Problem, UsageError, Where, raise_problems
from isothrust.quantities import MEASURANDS, OF_STEPS
from isothrust.records.book import Book
from isothrust.reduction.figures_formulas import AT_ROOT_THRUST, AT_SPEED_POINT
from isothrust.reduction.pooling import Per, Question
from isothrust.tables.nearest import names_told, nearest_first

__all__ = ["COMPUTED", "Selection", "campaigns_asked", "check_selection", "designs_asked", "questions_for", "unsuited"]

USUAL = (
    "speed",
    "thrust",
    "torque",
    "shaft-power",
    "shaft-efficiency",
    "electrical-power",
    "electrical-efficiency",
    "thrust-coefficient",
    "power-coefficient",
    "figure-of-merit",
    "current",
    "throttle",
    "peak-thrust",
    "peak-electrical-power",
    "peak-current",
    "rotor-inertia",
)
"""What `results` shows when no measurand is named."""

COMPUTED: Final = frozenset(
    {
        *AT_SPEED_POINT,
        *AT_ROOT_THRUST,
        "peak-thrust",
        "peak-electrical-power",
        "peak-current",
        "rotor-inertia",
        "propeller-inertia",
        *OF_STEPS,
    }
)
"""Measurands that a run gives, if it has what they need."""

Quantity = Literal["thrust", "speed"]

OPTION: Final[Mapping[str, str]] = MappingProxyType(
    {"measurand": "--of", "design": "--design", "campaign": "--campaign"}
)
"""Where a name stands that is asked for."""


@dataclass(frozen=True, slots=True)
class Selection:
    """What is asked for; an empty tuple means the usual."""

    measurands: tuple[str, ...] = ()
    thrusts: tuple[float, ...] = ()
    """[N]"""
    speeds: tuple[float, ...] = ()
    """[rad/s]"""
    per: Per = "design"
    designs: tuple[str, ...] = ()
    campaigns: tuple[str, ...] = ()


def questions_for(book: Book, selection: Selection, usual: Sequence[str] = USUAL) -> list[Question]:
    """Return one question for each measurand and kind of condition.

    Raises
    ------
    UsageError
        Where a measurand is unknown, or none of the conditions named suits it.
    """
    raise_problems(_unknown("measurand", selection.measurands, MEASURANDS), UsageError)
    named = selection.thrusts or selection.speeds
    measurands = selection.measurands or _suiting((*usual, *_of_sensors(book)), selection)
    problems = []
    questions = []
    for name in measurands:
        pairs = _conditions(book, name, selection)
        if not pairs and named:
            problems.append(unsuited(name))
        questions += [Question(name, quantity, values, (), selection.per) for quantity, values in pairs]
    raise_problems(problems, UsageError)
    return questions


def _of_sensors(book: Book) -> tuple[str, ...]:
    """Return what is usual only where some rig of the book has the sensor for it."""
    has = any("acceleration" in campaign.rig.channels for campaign in book.campaigns.values())
    return ("vibration",) if has else ()


def _suiting(usual: Sequence[str], selection: Selection) -> tuple[str, ...]:
    """Return the usual measurands that hold at the conditions named; all of them where none is named."""
    if not (selection.thrusts or selection.speeds):
        return tuple(dict.fromkeys(usual))
    fitting = [
        name
        for name in dict.fromkeys(usual)
        if (selection.thrusts and MEASURANDS[name].condition in {"thrust", "both"})
        or (selection.speeds and MEASURANDS[name].condition in {"speed", "both"})
    ]
    return tuple(fitting)


def _conditions(book: Book, name: str, selection: Selection) -> list[tuple[Quantity | None, tuple[float, ...]]]:
    """Return the kinds of condition at which a measurand is asked, with the values."""
    kind = MEASURANDS[name].condition
    if kind is None:
        return [(None, ())]
    named = bool(selection.thrusts or selection.speeds)
    thrusts = selection.thrusts if named else book.comparison_thrusts
    speeds = selection.speeds if named else book.comparison_speeds
    pairs: list[tuple[Quantity | None, tuple[float, ...]]] = []
    if kind in {"thrust", "both"} and thrusts:
        pairs.append(("thrust", thrusts))
    if kind in {"speed", "both"} and speeds:
        pairs.append(("speed", speeds))
    return pairs


def unsuited(name: str) -> Problem:
    """Return what is wrong where a measurand is asked for at no condition at which it holds."""
    kind = MEASURANDS[name].condition
    example = {"thrust": "--at thrust=500gf", "speed": "--at speed=14000rpm"}[str(kind)]
    return Problem(
        "wrong-condition",
        f"{name} holds at a {kind}, and none is named",
        Where(f"--of {name}"),
        expected=f"a {kind} to give it at",
        fix=f"add {example}, or leave {name} out",
    )


def check_selection(book: Book, selection: Selection) -> None:
    """Raise UsageError where anything in a selection is not in the book: before hours of reducing, not after."""
    questions_for(book, selection)
    designs_asked(book, selection)
    campaigns_asked(book, selection)


def designs_asked(book: Book, selection: Selection) -> tuple[str, ...]:
    """Return the designs asked for: all of the book where none is named.

    Raises
    ------
    UsageError
        Where a design is not in the book.
    """
    raise_problems(_unknown("design", selection.designs, book.designs, place="propellers.csv"), UsageError)
    return tuple(dict.fromkeys(selection.designs)) or tuple(book.designs)


def campaigns_asked(book: Book, selection: Selection) -> tuple[str, ...]:
    """Return the campaigns asked for: all of the book where none is named.

    Raises
    ------
    UsageError
        Where a campaign is not in the book.
    """
    raise_problems(_unknown("campaign", selection.campaigns, book.campaigns, place="campaigns/"), UsageError)
    return tuple(dict.fromkeys(selection.campaigns)) or tuple(book.campaigns)


def _unknown(what: str, names: Iterable[str], known: Iterable[str], *, place: str = "") -> list[Problem]:
    available = list(known)
    problems = []
    hint = "; all of them: isothrust results --list" if what == "measurand" else ""
    for name in names:
        if name in available:
            continue
        near = nearest_first(name, available)
        problems.append(
            Problem(
                f"unknown-{what}",
                f'there is no {what} "{name}"' + (f" in {place}" if place else ""),
                Where(f"{OPTION[what]} {name}"),
                expected=names_told(name, available, otherwise=f"the book has no {what} yet"),
                fix=(f'write "{near[0]}", if that is what was meant' if near else "fill the book first") + hint,
            )
        )
    return problems
