"""isothrust completion: the script that makes a shell complete what is typed."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import click

from isothrust.cli.completion_shells import SHELLS, completion_script
from isothrust.cli.screen import show_text
from isothrust.cli.session import debug_option

__all__ = ["command"]

INSTALL: Final[Mapping[str, str]] = MappingProxyType(
    {
        "bash": "isothrust completion bash > ~/.local/share/bash-completion/completions/isothrust",
        "zsh": 'isothrust completion zsh > "${fpath[1]}/_isothrust"',
        "fish": "isothrust completion fish > ~/.config/fish/completions/isothrust.fish",
    }
)
"""Where each shell looks for such scripts, as its own manual says (bash: with the package bash-completion)."""


@click.command(
    "completion", help="Print the script by which SHELL (bash, zsh or fish) completes commands, options and names."
)
@click.argument("shell", metavar="SHELL", type=click.Choice(tuple(SHELLS)))
@debug_option
@click.pass_context
def command(ctx: click.Context, shell: str) -> int:
    """Print the script, with how to install it."""
    group = ctx.find_root().command
    assert isinstance(group, click.Group)
    first, _, rest = completion_script(shell, group).strip().partition("\n")
    note = f"# To install it:  {INSTALL[shell]}\n# and start the shell anew."
    # The first line of a script for zsh says what it is for, and must stay the first.
    show_text("\n".join([first, note, rest] if first.startswith("#") else [note, first, rest]))
    return 0
