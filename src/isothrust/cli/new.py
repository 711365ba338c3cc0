"""isothrust new: an empty, commented book."""

from __future__ import annotations

import click

from isothrust.cli.screen import show_text
from isothrust.cli.session import debug_option
from isothrust.workflows.new import create

__all__ = ["command"]


@click.command("new", help="Make an empty, commented book in DIR, which must be new or empty.")
@click.argument("directory", metavar="DIR", type=click.Path(path_type=str))
@debug_option
def command(directory: str) -> int:
    """Make the book and say what to do next."""
    made = create(directory)
    lines = [f"made a book in {made.root}:", *(f"  {name}" for name in made.files), "", "next:"]
    show_text("\n".join([*lines, *(f"  {number}. {step}" for number, step in enumerate(made.next_steps, 1))]))
    return 0
