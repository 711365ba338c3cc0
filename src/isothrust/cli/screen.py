"""Printing: tables and sentences on standard output, what goes on on standard error."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import TextIO

import click

from isothrust.present.plain import Line, Role, note_lines, table_lines
from isothrust.present.table import Table

__all__ = [
    "NARROWEST",
    "counted",
    "draws_colour",
    "say",
    "show_lines",
    "show_notes",
    "show_tables",
    "show_text",
    "width_of_screen",
]

NARROWEST = 60
"""Columns below which tables are no longer squeezed."""
WIDEST = 120
"""Columns beyond which lines are hard to read."""

STYLES: Mapping[Role, Mapping[str, object]] = MappingProxyType(
    {
        "title": {"bold": True},
        "head": {"bold": True},
        "rule": {"dim": True},
        "fail": {"fg": "red", "bold": True},
        "warning": {"fg": "yellow"},
        "first": {"bold": True},
        "below": {"dim": True},
    }
)


def draws_colour(stream: TextIO) -> bool:
    """Say whether a stream is a terminal on which colour is wanted (no-color.org's convention)."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def width_of_screen() -> int:
    """Return the columns to lay out for: the terminal's, or COLUMNS, or 100 where there is neither."""
    columns = shutil.get_terminal_size((100, 24)).columns
    return max(NARROWEST, min(columns, WIDEST))


def show_tables(tables: Iterable[Table]) -> None:
    """Print tables on standard output, an empty line between them."""
    width = width_of_screen()
    for number, table in enumerate(tables):
        lines = table_lines(table, width)
        show_lines([Line("body", ""), *lines] if number else lines)


def show_lines(lines: Iterable[Line]) -> None:
    """Print lines on standard output, drawn where the terminal can."""
    drawn = draws_colour(sys.stdout)
    for line in lines:
        style = STYLES.get(line.role)
        text = click.style(line.text, **style) if drawn and style and line.text else line.text  # type: ignore[arg-type]
        click.echo(text, color=drawn)


def show_notes(notes: tuple[str, ...]) -> None:
    """Print notes on standard output, an empty line before them."""
    show_lines([Line("body", ""), *note_lines(notes, width_of_screen())])


def show_text(text: str) -> None:
    """Print text on standard output as it is."""
    click.echo(text)


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: '1 run', '3 runs'."""
    return f"{count} {noun}" + ("" if count == 1 else "s")


def say(text: str) -> None:
    """Tell on standard error what goes on."""
    click.echo(text, err=True)
