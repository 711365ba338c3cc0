"""The words by which results are chosen: --of, --at, --design, --campaign."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

import click

from isothrust.errors import Problem, UnitError, UsageError, raise_problems
from isothrust.quantities import parse_value
from isothrust.workflows.selection import Selection

__all__ = ["conditions_of", "selection_of", "selection_options"]

Decorated = TypeVar("Decorated", bound=Callable[..., object])
QUANTITIES = ("thrust", "speed")


def selection_options(function: Decorated) -> Decorated:
    """Add the options that choose results."""
    options = (
        click.option("--of", "measurands", multiple=True, metavar="MEASURAND", help="What to show; may be repeated."),
        click.option(
            "--at",
            "conditions",
            multiple=True,
            metavar="QUANTITY=VALUE",
            help="thrust=1000gf or speed=14000rpm; may be repeated (default: the book's comparison points).",
        ),
        click.option("--design", "designs", multiple=True, metavar="NAME", help="This design only; may be repeated."),
        click.option("--campaign", "campaigns", multiple=True, metavar="NAME", help="This campaign only."),
    )
    for option in reversed(options):
        function = option(function)
    return function


def conditions_of(words: Sequence[str]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return thrusts [N] and speeds [rad/s]; all that is wrong in the words is told at once."""
    found: dict[str, list[float]] = {name: [] for name in QUANTITIES}
    problems: list[Problem] = []
    for word in words:
        quantity, separator, text = word.partition("=")
        quantity = quantity.strip()
        if not separator or quantity not in QUANTITIES:
            problems.append(
                Problem(
                    "unknown-condition",
                    f'--at {word}: a condition is a quantity, "=" and a value',
                    expected="thrust=1000gf or speed=14000rpm",
                    fix="name thrust or speed, with a value and its unit and no space",
                )
            )
            continue
        try:
            value = parse_value(text, quantity=quantity)
        except UnitError as error:
            problems += error.problems
            continue
        found[quantity].append(value)
        if value <= 0.0:
            problems.append(
                Problem(
                    "out-of-range",
                    f"--at {word} is not above zero",
                    expected=f"a {quantity} above zero",
                    fix="mend the value",
                )
            )
    raise_problems(problems, UsageError)
    return tuple(dict.fromkeys(found["thrust"])), tuple(dict.fromkeys(found["speed"]))


def selection_of(
    measurands: Sequence[str], conditions: Sequence[str], designs: Sequence[str], campaigns: Sequence[str]
) -> Selection:
    """Return what the options choose."""
    thrusts, speeds = conditions_of(conditions)
    return Selection(
        measurands=tuple(dict.fromkeys(measurands)),
        thrusts=thrusts,
        speeds=speeds,
        designs=tuple(designs),
        campaigns=tuple(campaigns),
    )
