"""The words by which a fresh file is told apart: --rig, --kind, --design, --sample, --air."""

from __future__ import annotations

import functools
import shlex
from collections.abc import Callable

import click

from isothrust.book.runs import KINDS
from isothrust.records.book import Kind
from isothrust.workflows.check import FreshOptions

__all__ = ["fresh_options", "fresh_words"]

OPTIONS = (
    click.option("--rig", metavar="NAME", help="For a FILE: a rig of the book, or the path of a rig file."),
    click.option(
        "--kind",
        type=click.Choice(KINDS),
        metavar="KIND",
        help=f"For a FILE: what the run was, {', '.join(KINDS[:-1])} or {KINDS[-1]} "
        "(default: what its name tells, else its throttle).",
    ),
    click.option(
        "--design",
        metavar="NAME",
        help="For a FILE: whose earlier runs it is held against (default: as its name tells).",
    ),
    click.option(
        "--sample",
        metavar="NAME",
        help="For a FILE: which sample of the design (default: as its name tells, else a new one).",
    ),
    click.option(
        "--air",
        metavar="READINGS",
        help='For a FILE: the air, "21 degC, 1013 hPa, 40 %" (default: of the latest run of that day, of the campaign, '
        "of the book).",
    ),
)


def fresh_options(function: Callable[..., int]) -> Callable[..., int]:
    """Add the options that describe a fresh file; the function gets them as one argument, `fresh`."""

    @functools.wraps(function)
    def described(
        *,
        rig: str | None,
        kind: Kind | None,
        design: str | None,
        sample: str | None,
        air: str | None,
        **others: object,
    ) -> int:
        return function(fresh=FreshOptions(rig, kind, design, sample, air), **others)

    for option in reversed(OPTIONS):
        described = option(described)
    return described


def fresh_words(fresh: FreshOptions) -> str:
    """Return the options as they were typed: what a command that is told must say once more."""
    said = {"rig": fresh.rig, "kind": fresh.kind, "design": fresh.design, "sample": fresh.sample, "air": fresh.air}
    return "".join(f" --{name} {shlex.quote(value)}" for name, value in said.items() if value)
