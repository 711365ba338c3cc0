"""The words by which a chart is chosen, and what it is drawn on."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, get_args

import click

from isothrust.cli.selectors import conditions_of
from isothrust.errors import UsageError, Where
from isothrust.present.charts.signature import PictureKind
from isothrust.workflows.selection import Selection

__all__ = ["Paper", "Wanted", "paper_options", "wanted_options"]

KINDS: Final[tuple[PictureKind, ...]] = get_args(PictureKind)
SIZE: Final = re.compile(r"(\d{2,5})\s*[x\N{MULTIPLICATION SIGN}]\s*(\d{2,5})", re.IGNORECASE)
SMALLEST, LARGEST = 320, 7680
"""Pixels that a side may have: a phone's width, and the widest screen there is."""

Command = Callable[..., int]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Whose figures are drawn."""

    selection: Selection
    class_name: str | None
    run: str | None


@dataclass(frozen=True, slots=True)
class Paper:
    """What the chart is drawn on."""

    out: str | None
    width: int
    height: int
    dark: bool
    force: bool

    def path(self, stem: str) -> tuple[Path, PictureKind]:
        """Return the file that is written, and of which kind it is.

        Raises
        ------
        UsageError
            Where its ending is none of those that can be written.
        """
        path = Path(self.out or f"{stem}.png")
        kind = path.suffix.removeprefix(".").lower()
        for known in KINDS:
            if kind == known:
                return path, known
        raise UsageError(
            f'the ending of "{path.name}" says nothing of how to write it',
            code="unknown-picture-kind",
            where=Where(f"--out {self.out}"),
            expected=" or ".join(f"{path.stem or 'chart'}.{known}" for known in KINDS),
            fix=f"--out {path.with_suffix('.png')}",
        )


def _size(ctx: click.Context, option: click.Parameter, value: str) -> tuple[int, int]:
    match = SIZE.fullmatch(value.strip())
    if match is None or not all(SMALLEST <= int(side) <= LARGEST for side in match.groups()):
        message = f'"{value}" is no size: width x height in pixels, each {SMALLEST} to {LARGEST}, such as 1920x1080'
        raise click.BadParameter(message, ctx, option)
    return int(match[1]), int(match[2])


WANTED: Final = (
    click.option("--campaign", metavar="NAME", help="Of this campaign (default: the newest)."),
    click.option(
        "--class", "class_name", metavar="NAME", help='Of this class, as compare names it: "7 inch, 3 blades".'
    ),
    click.option(
        "--design",
        "designs",
        multiple=True,
        metavar="NAME",
        help="Tell this design apart; up to eight (default: the first eight of the class).",
    ),
    click.option("--of", "measurand", metavar="MEASURAND", help="What is ranked, for the chart ranking."),
    click.option(
        "--at",
        "condition",
        metavar="QUANTITY=VALUE",
        help="thrust=1000gf or speed=14000rpm (default: the book's middle comparison point).",
    ),
    click.option("--run", metavar="RUN", help="Whose recording is drawn, for the chart recording."),
)
PAPER: Final = (
    click.option("--out", metavar="FILE", help="FILE.png, .svg or .pdf (default: NAME.png in the current folder)."),
    click.option(
        "--size", default="1600x900", show_default=True, callback=_size, metavar="WxH", help="Pixels of the picture."
    ),
    click.option("--dark", is_flag=True, help="Light lines on dark."),
    click.option("--force", is_flag=True, help="Replace FILE whatever it is."),
)


def wanted_options(function: Command) -> Command:
    """Add the options that choose whose figures are drawn; the function gets them as `wanted`."""

    @functools.wraps(function)
    def chosen(
        *,
        campaign: str | None,
        class_name: str | None,
        designs: tuple[str, ...],
        measurand: str | None,
        condition: str | None,
        run: str | None,
        **others: object,
    ) -> int:
        thrusts, speeds = conditions_of([condition] if condition else [])
        selection = Selection(
            measurands=(measurand,) if measurand else (),
            thrusts=thrusts,
            speeds=speeds,
            designs=tuple(dict.fromkeys(designs)),
            campaigns=(campaign,) if campaign else (),
        )
        return function(wanted=Wanted(selection, class_name, run), **others)

    return _with(chosen, WANTED)


def paper_options(function: Command) -> Command:
    """Add the options that say what is drawn on; the function gets them as `paper`."""

    @functools.wraps(function)
    def drawn(*, out: str | None, size: tuple[int, int], dark: bool, force: bool, **others: object) -> int:
        return function(paper=Paper(out, *size, dark, force), **others)

    return _with(drawn, PAPER)


def _with(function: Command, options: tuple[Callable[[Command], Command], ...]) -> Command:
    for option in reversed(options):
        function = option(function)
    return function
