"""The words by which results are chosen: --of, --at, --design, --campaign."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence

import click

from isothrust.cli.screen import show_tables
from isothrust.errors import Problem, UnitError, UsageError, Where, raise_problems
from isothrust.present.measurands_table import measurands_table
from isothrust.quantities import parse_value
from isothrust.workflows.selection import COMPUTED, Selection

__all__ = [
    "campaign_option",
    "condition_option",
    "conditions_of",
    "list_option",
    "of_option",
    "selection_options",
]

QUANTITIES = ("thrust", "speed")


def _list_measurands(ctx: click.Context, _: click.Parameter, value: bool) -> None:  # noqa: FBT001 -- by position
    if value:
        show_tables([measurands_table(COMPUTED)])
        ctx.exit(0)


Option = Callable[[Callable[..., int]], Callable[..., int]]

list_option = click.option(
    "--list",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_list_measurands,
    help="List every MEASURAND and leave.",
)
of_option = click.option(
    "--of", "measurands", multiple=True, metavar="MEASURAND", help="What to show; may be repeated."
)


def condition_option(default: str) -> Option:
    """Return `--at`, whose help says what holds where it is left out."""
    return click.option(
        "--at",
        "conditions",
        multiple=True,
        metavar="QUANTITY=VALUE",
        help=f"thrust=1000gf or speed=14000rpm; may be repeated (default: {default}).",
    )


design_option = click.option(
    "--design", "designs", multiple=True, metavar="NAME", help="This design only; may be repeated."
)
campaign_option = click.option(
    "--campaign", "campaigns", multiple=True, metavar="NAME", help="This campaign only; may be repeated."
)
OPTIONS: tuple[Option, ...] = (
    list_option,
    of_option,
    condition_option("the book's comparison points"),
    design_option,
    campaign_option,
)


def selection_options(function: Callable[..., int], *, options: Sequence[Option] = OPTIONS) -> Callable[..., int]:
    """Add the options that choose results; the function gets them as one argument, `selection`."""

    @functools.wraps(function)
    def selected(
        *,
        measurands: tuple[str, ...],
        conditions: tuple[str, ...],
        campaigns: tuple[str, ...],
        designs: tuple[str, ...] = (),
        **others: object,
    ) -> int:
        return function(selection=selection_of(measurands, conditions, designs, campaigns), **others)

    chosen: Callable[..., int] = selected
    for option in reversed(options):
        chosen = option(chosen)
    return chosen


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
                    f'"{word}" is no condition: that is a quantity, "=" and a value',
                    Where(f"--at {word}"),
                    expected="thrust=1000gf or speed=14000rpm",
                    fix="name thrust or speed, with a value and its unit and no space",
                )
            )
            continue
        try:
            value = parse_value(text, quantity=quantity, where=Where(f"--at {word}"))
        except UnitError as error:
            problems += error.problems
            continue
        found[quantity].append(value)
        if value <= 0.0:
            problems.append(
                Problem(
                    "out-of-range",
                    f"a {quantity} of {text.strip()} is not above zero",
                    Where(f"--at {word}"),
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
