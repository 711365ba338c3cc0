"""Click's completion for each shell by its own mechanism: a variable in the environment asks, output answers."""

from __future__ import annotations

import os
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import click
from click.shell_completion import BashComplete, CompletionItem, FishComplete, ShellComplete, ZshComplete

__all__ = ["SHELLS", "VARIABLE", "answer_shell", "completion_script"]

VARIABLE: Final = "_ISOTHRUST_COMPLETE"
"""Set by the shell's script to, say, 'bash_complete' while somebody types."""
PROGRAM: Final = "isothrust"


class JoinedBashComplete(BashComplete):
    """Bash parts words at '=': `thrust=5` comes as three, and only what stands behind the last '=' is replaced."""

    _before = ""

    def get_completion_args(self) -> tuple[list[str], str]:
        """Return the words before the one being typed, and that one, put together again."""
        args, incomplete = super().get_completion_args()
        words: list[str] = []
        joined = False
        for word in [*args, incomplete]:
            joined = bool(words) and (word == "=" or words[-1].endswith("="))
            if joined:
                words[-1] += word
            else:
                words.append(word)
        last = words.pop()
        value = last.partition("=")[2] if last.startswith("-") else last
        self._before = value[: value.rfind("=") + 1] if joined else ""
        return words, last

    def format_completion(self, item: CompletionItem) -> str:
        """Return a completion without what bash keeps, its blanks guarded."""
        if item.type == "plain":
            shown = str(item.value).removeprefix(self._before).replace(" ", "\\ ")
            return f"{item.type},{shown}"
        return super().format_completion(item)


SHELLS: Final[Mapping[str, type[ShellComplete]]] = MappingProxyType(
    {"bash": JoinedBashComplete, "zsh": ZshComplete, "fish": FishComplete}
)


def completion_script(shell: str, group: click.Group) -> str:
    """Return the script that makes a shell ask."""
    return SHELLS[shell](group, {}, PROGRAM, VARIABLE).source()


def answer_shell(group: click.Group) -> int:
    """Print what may be typed next and return the exit status; nothing and 1 where the question is none."""
    shell, _, asked = os.environ[VARIABLE].partition("_")
    if shell not in SHELLS or asked not in {"complete", "source"}:
        return 1
    completer = SHELLS[shell](group, {}, PROGRAM, VARIABLE)
    try:
        click.echo(completer.source() if asked == "source" else completer.complete())
    except Exception:  # noqa: BLE001 -- whoever is typing must not be shown a fault; the command itself shows it
        return 1
    return 0
