"""The page of all commands, made from the commands themselves: docs/commands.md.

Made anew by `python -m isothrust.cli.reference > docs/commands.md`; a test holds the page to it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

import click

from isothrust.cli.main import COMMANDS, command_group

__all__ = ["MAY_LEAVE_RUNS", "commands_page"]

MAY_LEAVE_RUNS: Final = frozenset({"check", "demo", "reduce"})
"""Commands that end with 1 where a run was not reduced or is set aside."""

HEAD: Final = """\
# Commands

Made by `python -m isothrust.cli.reference`; not written by hand. `isothrust COMMAND --help` tells the same.

A book is a folder. A command works on the book in the current folder, or on that of `--book DIR`. Results go to
standard output, everything else to standard error: what was reduced first, progress, findings, errors. So
`isothrust results --json > figures.json` holds figures alone. `results`, `compare`, `motor`, `explain`, `chart` and
`report` first reduce what is new or changed, and say so.
"""

STATUSES: Final[Mapping[int, str]] = MappingProxyType(
    {
        0: "done, warnings included",
        1: "done, but a run was not reduced or is set aside, and nothing was decided on it",
        2: "the book, a rig or a named object cannot be read, the words cannot be used, or no run was done",
        3: "the program itself went wrong: give the command again with `--debug` and report what it prints",
        130: "stopped from the keyboard; what was finished is kept",
        141: "the reader of the output went away",
    }
)

SURROUNDINGS: Final = """\
## What it takes from its surroundings

| variable | what it does |
| --- | --- |
| `NO_COLOR` | set to anything: no colour. There is none either where the output is no terminal, or `TERM` is `dumb` |
| `COLUMNS` | columns to lay tables out for, from 60 to 120; without it those of the terminal, or 100 |
| `OPENBLAS_NUM_THREADS` and its kin | threads of linear algebra; one unless set: the same input gives the same bytes |

Bars of progress are drawn on a terminal only.
"""


def commands_page() -> str:
    """Return the page: every command with its usage, arguments and options, and the exit statuses."""
    group = command_group()
    context = click.Context(group, info_name="isothrust", **group.context_settings)
    parts = [HEAD, "| command | for |\n| --- | --- |\n" + "".join(map(_line, COMMANDS))]
    for name in COMMANDS:
        command = group.get_command(context, name)
        assert command is not None
        parts.append(_section(command, click.Context(command, context, name)))
    parts += ["## isothrust\n\n" + _options(_shown_options(group, context), context), _statuses(), SURROUNDINGS]
    return "\n".join(parts)


def _line(name: str) -> str:
    return f"| [`{name}`](#isothrust-{name}) | {COMMANDS[name].help} |\n"


def _section(command: click.Command, context: click.Context) -> str:
    usage = " ".join(["isothrust", str(context.info_name), *command.collect_usage_pieces(context)])
    text = f"## isothrust {context.info_name}\n\n```\n{usage}\n```\n\n{_plain(command.help or '')}\n"
    options = _options(_shown_options(command, context), context)
    ends = "0, 1, 2" if context.info_name in MAY_LEAVE_RUNS else "0, 2"
    return f"{text}\n{options}\nExit status: {ends}.\n"


def _shown_options(command: click.Command, context: click.Context) -> list[click.Option]:
    """Return the options but `--help`, which every command has."""
    own = [param for param in command.get_params(context) if isinstance(param, click.Option) and not param.hidden]
    return [option for option in own if "--help" not in option.opts]


def _options(options: Iterable[click.Option], context: click.Context) -> str:
    rows = [record for option in options if (record := option.get_help_record(context)) is not None]
    return _table(("option", "what it does"), [(f"`{names}`", _plain(text)) for names, text in rows])


def _statuses() -> str:
    rows = [(str(status), meaning) for status, meaning in STATUSES.items()]
    return "## Exit status\n\n" + _table(("status", "meaning"), rows)


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |\n" for line in lines)


def _plain(text: str) -> str:
    """Return help as one line."""
    return " ".join(text.split())


if __name__ == "__main__":
    sys.stdout.write(commands_page())
