"""What one call of the command line carries along, and the options that every command takes."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import click

__all__ = ["Session", "book_option", "book_words", "debug_option", "json_option"]

Decorated = TypeVar("Decorated", bound=Callable[..., object] | click.Command)


@dataclass(slots=True)
class Session:
    """Made by `main`, handed to every command by click."""

    debug: bool = False


def _debug(ctx: click.Context, _: click.Parameter, value: bool) -> None:  # noqa: FBT001 -- click calls it by position
    if value:
        ctx.ensure_object(Session).debug = True


def debug_option(function: Decorated) -> Decorated:
    """Add `--debug`: an error shows where in the program it came from."""
    option = click.option(
        "--debug", is_flag=True, expose_value=False, callback=_debug, help="Show where in the program an error arose."
    )
    return option(function)


def book_option(function: Decorated) -> Decorated:
    """Add `--book DIR` and `--debug`."""
    option = click.option(
        "--book",
        "book",
        default=".",
        metavar="DIR",
        type=click.Path(path_type=str),
        help="The book's folder (default: the current folder).",
    )
    return option(debug_option(function))


def book_words(book: str) -> str:
    """Return what a command that is told must add to work on the same book: nothing in the book's own folder."""
    return "" if book == "." else f" --book {shlex.quote(book)}"


def json_option(function: Decorated) -> Decorated:
    """Add `--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON instead of tables.")(function)
