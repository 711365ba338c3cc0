"""A group of commands of which only the chosen one is imported: the one dynamic import in the project."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import NamedTuple

import click

from isothrust.cli.failure import ReaderGoneError
from isothrust.errors import UsageError, Where
from isothrust.tables.nearest import nearest_first

__all__ = ["CommandPlace", "LazyGroup"]


class CommandPlace(NamedTuple):
    """Where a command lives, and the line that `--help` shows for it without importing it."""

    module: str
    help: str


class LazyGroup(click.Group):
    """Commands by name, each the `command` of its module."""

    def __init__(self, *, places: Mapping[str, CommandPlace], **settings: object) -> None:
        super().__init__(**settings)  # type: ignore[arg-type]
        self.places = places

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order in which a tester meets them."""
        del ctx
        return list(self.places)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command:
        """Import and return a command; an unknown name is told with the nearest ones."""
        del ctx
        place = self.places.get(cmd_name)
        if place is None:
            near = nearest_first(cmd_name, self.places)
            raise UsageError(
                f'there is no command "{cmd_name}"',
                code="unknown-command",
                where=Where(f"isothrust {cmd_name}"),
                expected=", ".join(near),
                fix=f"isothrust {near[0]} --help",
            )
        command = importlib.import_module(place.module).command
        assert isinstance(command, click.Command)
        return command

    def invoke(self, ctx: click.Context) -> object:
        """Run the chosen command."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError as error:
            raise ReaderGoneError from error

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the table alone."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, place.help) for name, place in self.places.items()])
