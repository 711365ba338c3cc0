"""The table of all options and arguments that completion works with, made from the commands: completion.json.

Made anew by `python -m isothrust.cli.completion_table > src/isothrust/cli/completion.json`; a test holds it to them.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import click

from isothrust.cli.main import COMMANDS, command_group
from isothrust.present.charts.catalogue import CHARTS
from isothrust.quantities import MEASURANDS
from isothrust.workflows.selection import COMPUTED

__all__ = ["TAKES", "completion_table"]

TAKES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "book": "folder",
        "campaign": "campaign",
        "campaigns": "campaign",
        "condition": "condition",
        "conditions": "condition",
        "design": "design",
        "designs": "design",
        "directory": "folder",
        "folder": "folder",
        "measurand": "measurand",
        "measurands": "measurand",
        "out": "file",
        "pictures": "folder",
        "rig": "rig",
        "run": "run",
        "runs": "run",
        "sample": "sample",
        "targets": "run-or-file",
    }
)
"""Parameter -> what it takes, where that is the same for all commands; what is not here is free text."""
OWN: Final[Mapping[tuple[str, str], str]] = MappingProxyType(
    {("explain", "name"): "run-or-design", ("chart", "name"): "chart", ("motor", "name"): "motor"}
)


def completion_table() -> str:
    """Return the table as JSON text."""
    group = command_group()
    context = click.Context(group, info_name="isothrust")
    commands = {}
    for name in COMMANDS:
        command = group.get_command(context, name)
        assert command is not None
        commands[name] = [_word(name, parameter) for parameter in command.params]
    content = {
        "commands": commands,
        "measurands": [name for name in MEASURANDS if name in COMPUTED],
        "charts": {name: chart.about for name, chart in CHARTS.items()},
    }
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def _word(command: str, parameter: click.Parameter) -> dict[str, object]:
    option = isinstance(parameter, click.Option)
    return {
        "is": parameter.name,
        "names": [*parameter.opts, *parameter.secondary_opts] if option else [],
        "takes": _takes(command, parameter),
        "many": parameter.multiple if isinstance(parameter, click.Option) else parameter.nargs == -1,
        "help": parameter.help if isinstance(parameter, click.Option) else "",
    }


def _takes(command: str, parameter: click.Parameter) -> object:
    if isinstance(parameter, click.Option) and parameter.is_flag:
        return "flag"
    if isinstance(parameter.type, click.Choice):
        return [str(choice) for choice in parameter.type.choices]
    name = str(parameter.name)
    return OWN.get((command, name)) or TAKES.get(name, "text")


if __name__ == "__main__":
    sys.stdout.write(completion_table())
