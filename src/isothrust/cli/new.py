"""isothrust new: an empty, commented book, or one made from a folder of unknown logs."""

from __future__ import annotations

import click

from isothrust.cli.newfolder import show_folder_book
from isothrust.cli.progress import progress_bar
from isothrust.cli.screen import show_text
from isothrust.cli.session import debug_option, json_option
from isothrust.present.objects import json_text
from isothrust.workflows.fromfolder import create_from_folder
from isothrust.workflows.new import create

__all__ = ["command"]


@click.command(
    "new",
    help="Make a commented book in DIR, which must be new or empty. With --from FOLDER the logs there are looked "
    "through and copied in, and rig file, propellers and runs are written as far as the logs tell them.",
)
@click.argument("directory", metavar="DIR", type=click.Path(path_type=str))
@click.option("--from", "folder", metavar="FOLDER", type=click.Path(path_type=str), help="A folder of unknown logs.")
@click.option(
    "--names",
    metavar="PATTERN",
    help='How the recordings are named, such as "{design}_{sample}_{n}"; n is the repeat. Also: mounting, kind, date, '
    "temperature, pressure, humidity, note, and any for what is to be passed over.",
)
@json_option
@debug_option
def command(*, directory: str, folder: str | None, names: str | None, as_json: bool) -> int:
    """Make the book and say what to do next."""
    if folder is not None:
        with progress_bar() as bar:
            made = create_from_folder(directory, folder, names=names, progress=bar)
        show_folder_book(made, as_json=as_json)
        return 0
    if names is not None:
        raise click.UsageError("--names goes with --from FOLDER: it says how the recordings there are named")
    empty = create(directory)
    if as_json:
        show_text(json_text([{"book": empty.root, "files": list(empty.files), "next": list(empty.next_steps)}]))
        return 0
    lines = [f"made a book in {empty.root}:", *(f"  {name}" for name in empty.files), "", "next:"]
    show_text("\n".join([*lines, *(f"  {number}. {step}" for number, step in enumerate(empty.next_steps, 1))]))
    return 0
