"""isothrust add: a folder of recordings into a campaign."""

from __future__ import annotations

from pathlib import Path

import click

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.progress import progress_bar
from isothrust.cli.screen import counted, say, show_lines, show_text, width_of_screen
from isothrust.cli.session import book_option, book_words, json_option
from isothrust.present.objects import finding_object, json_text
from isothrust.present.plain import table_lines
from isothrust.present.table import Table
from isothrust.workflows.add import Added, add_folder

__all__ = ["command"]

WORTH_FILLING = (
    "worth filling as well: mounting (the same word for runs that share one), date, and the air of the day: "
    "temperature, pressure, humidity"
)


@click.command("add", help="Copy the recordings in FOLDER into a campaign and write a row for each run.")
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=str))
@click.option("--campaign", required=True, metavar="NAME", help="The campaign; it is made if it is not there.")
@click.option("--rig", required=True, metavar="RIG", help="The rig that recorded them: a file in rigs/, without .toml.")
@json_option
@book_option
def command(*, folder: str, campaign: str, rig: str, as_json: bool, book: str) -> int:
    """Take the recordings in, and say what is left to fill."""
    with progress_bar() as bar:
        added = add_folder(book, folder, campaign, rig, progress=bar)
    if as_json:
        show_text(json_text([_object(added, book)]))
        return 0
    tell_findings(added.findings)
    files, runs = counted(len(added.copied), "file"), counted(len(added.rows), "run")
    show_text(f"campaign {added.campaign}: {files} copied, {runs} added")
    if added.to_fill:
        show_lines(table_lines(_to_fill(added), width_of_screen()))
    for problem in added.problems:
        say(f"\n{problem.text()}")
    show_text(f"\nnext: {_first_fill(added, book)}{_next(added, book)}")
    return 0


def _next(added: Added, book: str) -> str:
    """Return the next command as it must be typed from here."""
    return f"{added.next_command}{book_words(book)}"


def _first_fill(added: Added, book: str) -> str:
    """Return what must be done before the next command can work, empty where nothing."""
    parts = []
    if added.to_fill:
        file = added.to_fill[0].file
        parts.append(f"fill these cells in {file if book == '.' else Path(book) / file}")
    if added.problems:
        parts.append("mend what is told above")
    return f"{' and '.join(parts)}, then: " if parts else ""


def _to_fill(added: Added) -> Table:
    """Return what only the tester can fill, one row a line of the table."""
    cells: dict[tuple[str, int, str], list[str]] = {}
    for cell in added.to_fill:
        cells.setdefault((cell.file, cell.line, cell.run), []).append(cell.head)
    rows = tuple((run, str(line), ", ".join(heads)) for (_, line, run), heads in cells.items())
    title, heads = f"to fill in {added.to_fill[0].file}:", ("run", "line", "columns")
    return Table(title, heads, rows, frozenset({0, 2}), (WORTH_FILLING,), 2)


def _object(added: Added, book: str) -> dict[str, object]:
    return {
        "campaign": added.campaign,
        "copied": list(added.copied),
        "runs": list(added.rows),
        "to_fill": [
            {"file": cell.file, "line": cell.line, "column": cell.head, "run": cell.run} for cell in added.to_fill
        ],
        "problems": [problem.text() for problem in added.problems],
        "findings": [finding_object(finding) for finding in added.findings],
        "next": _next(added, book),
    }
