"""A group of commands of which only the chosen one is imported, so that a command starts without the others."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import NamedTuple

import click
from click.shell_completion import CompletionItem

from isothrust.cli.failure import ReaderGoneError
from isothrust.errors import UsageError, Where
from isothrust.tables.nearest import nearest_first

__all__ = ["CommandPlace", "LazyGroup"]

STAND_INS = "isothrust.cli.completing"
"""Imported only while a shell asks what may be typed next."""


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

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command; an unknown name is told with the nearest ones.

        While somebody is still typing, a stand-in that knows the options is enough, and far quicker.
        """
        if ctx.resilient_parsing:
            found = importlib.import_module(STAND_INS).stand_in(cmd_name)
            assert found is None or isinstance(found, click.Command)
            return found
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

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Return the commands that begin like this, from the table alone, or the group's own options."""
        commands = [
            CompletionItem(name, help=place.help) for name, place in self.places.items() if name.startswith(incomplete)
        ]
        options = click.Command.shell_complete(self, ctx, incomplete)
        return [*commands, *options]

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
