"""Take recordings into a campaign: copied, hashed, one row each; what a file's name does not tell is left open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from isothrust.book.addrows import rows_added
from isothrust.book.campaigns import CAMPAIGN_FILE, CAMPAIGNS, EXAMPLE_RIG, RIGS, described_rigs, rig_names
from isothrust.book.create import RUN_HEADS
from isothrust.book.designs import PROPELLERS, read_designs, read_samples
from isothrust.book.hashes import RAW, record_hashes
from isothrust.book.load import load_book
from isothrust.book.names import bad_name
from isothrust.book.rigfile import parse_rig
from isothrust.book.runs import FILE_COLUMNS, RUNS
from isothrust.book.settings import read_settings
from isothrust.book.toml_section import Remarks
from isothrust.book.toml_source import read_toml
from isothrust.errors import BookError, IsothrustError, Problem, UsageError, Where, raise_problems
from isothrust.records.finding import Finding
from isothrust.tables.atomic import write_bytes, write_text
from isothrust.tables.nearest import names_told
from isothrust.tables.text import read_string_table
from isothrust.workflows.dayair import AIR_CELLS, with_air_of_the_day
from isothrust.workflows.filenames import clean_name, free_name, parts_of, run_name
from isothrust.workflows.incoming import Incoming, incoming_recordings
from isothrust.workflows.telling import Progress, tell_nobody

__all__ = ["CAMPAIGN_TEXT", "MUST_FILL", "Added", "ToFill", "add_folder"]

MUST_FILL: Final = ("design", "sample", "kind")


@dataclass(frozen=True, slots=True)
class ToFill:
    """A cell that only the tester can fill."""

    file: str
    line: int
    head: str
    run: str


@dataclass(frozen=True, slots=True)
class Added:
    """What was taken in, and what is left to do."""

    campaign: str
    copied: tuple[str, ...]
    """Paths under raw/."""
    rows: tuple[str, ...]
    """Runs that were added to runs.csv."""
    to_fill: tuple[ToFill, ...]
    findings: tuple[Finding, ...]
    problems: tuple[Problem, ...]
    """What else keeps the book from being read now, beside the cells to fill."""
    next_command: str


def add_folder(
    root: str | Path, folder: str | Path, campaign: str, rig: str, *, progress: Progress | None = None
) -> Added:
    """Copy a folder's recordings into a campaign and write a row for each run; `progress` is called file by file.

    Nothing is written where anything is wrong; the tables are written last, so that a kill leaves copies without rows
    at worst, which the same command then completes.

    Raises
    ------
    BookError, RigError, UsageError
        `no-book`, `unknown-rig`, `other-rig`, `no-folder`, `no-recordings`, `name-taken` and the problems of tables.
    """
    book = Path(root)
    _check_book(book, campaign, rig)
    tell = progress or tell_nobody
    incoming, findings = incoming_recordings(book, Path(folder), campaign, tell)
    shown = f"{CAMPAIGNS}/{campaign}"
    home = book / CAMPAIGNS / campaign
    rows, carried = with_air_of_the_day(_rows(book, home, incoming), _rows_with_air(home / RUNS))
    table = rows_added(home / RUNS, f"{shown}/{RUNS}", RUN_HEADS, rows)
    for count, item in enumerate(incoming, start=1):
        if not item.already_there:
            target = home / RAW / item.name
            target.parent.mkdir(parents=True, exist_ok=True)
            write_bytes(target, item.source.read_bytes())
        tell(count, len(incoming), f"copying {item.name}")
    record_hashes(book, campaign, {item.name: item.sha256 for item in incoming})
    if not (home / CAMPAIGN_FILE).is_file():
        write_text(home / CAMPAIGN_FILE, CAMPAIGN_TEXT.format(rig=rig))
    table.write()
    to_fill = tuple(
        ToFill(f"{shown}/{RUNS}", line, head, row["run"])
        for row, line in zip(rows, table.lines, strict=True)
        for head in MUST_FILL
        if not row.get(head) and not (row.get("kind") == "zero" and head != "kind")
    )
    return Added(
        campaign=campaign,
        copied=tuple(item.name for item in incoming if not item.already_there),
        rows=tuple(row["run"] for row in rows),
        to_fill=to_fill,
        findings=(*findings, *_nameless(book, to_fill), *_carried(carried)),
        problems=_other_problems(book, to_fill),
        next_command="isothrust check" if rows else "isothrust reduce",
    )


def _other_problems(book: Path, to_fill: Sequence[ToFill]) -> tuple[Problem, ...]:
    """Return what keeps the book from being read, without the cells that are listed already."""
    try:
        load_book(book)
    except IsothrustError as error:
        listed = {(cell.file, cell.head) for cell in to_fill}
        return tuple(
            problem
            for problem in error.problems
            if problem.code != "missing-value"
            or problem.where is None
            or (problem.where.file, problem.where.column) not in listed
        )
    return ()


def _carried(runs: Sequence[str]) -> tuple[Finding, ...]:
    """Tell whose air is that of the previous run of the day."""
    if not runs:
        return ()
    message = f"{', '.join(runs)}: no air of their own; that of the previous run of the day was taken."
    return (Finding("air-carried", "note", message, count=len(runs), done="marked in each row's note"),)


def _nameless(book: Path, to_fill: Sequence[ToFill]) -> tuple[Finding, ...]:
    """Warn where no name of a file could tell a design, because the book has none yet."""
    if not any(cell.head == "design" for cell in to_fill) or read_designs(book, Remarks()):
        return ()
    message = f"{PROPELLERS} has no design yet, so no file's name could be matched with one: write the designs there."
    return (Finding("no-designs", "warning", message, done="the column design was left empty"),)


CAMPAIGN_TEXT: Final = """\
# One campaign: runs on one rig that are meant to be compared. What stands here counts before the rig file.

rig = "{rig}"
# motor = "m1"                           # where it is not the rig's
# supply_voltage = "24 V"
# note = ""

# Air of the runs whose own row in runs.csv says nothing; pressure at the stand, not reduced to sea level.
# temperature = "20 degC"
# pressure = "1005 hPa"
# humidity = "45 %"
"""


def _check_book(book: Path, campaign: str, rig: str) -> None:
    """Raise where the folder is no book, or the rig or the campaign's name cannot be used."""
    remarks = Remarks()
    read_settings(book, remarks)
    reason = bad_name(campaign)
    if reason is not None:
        what = f'"{campaign}" cannot be the name of a campaign: {reason}'
        raise UsageError(what, code="bad-name", expected="letters, digits and - _ .", fix="choose another name")
    if rig not in rig_names(book):
        raise UsageError(
            f'there is no rig "{rig}" in the book',
            code="unknown-rig",
            where=Where(f"{RIGS}/{rig}.toml"),
            expected=names_told(rig, described_rigs(book), otherwise=f"a file {RIGS}/{rig}.toml"),
            fix=f"mend the name, or copy {EXAMPLE_RIG} to {RIGS}/{rig}.toml and change it",
        )
    parse_rig(book / RIGS / f"{rig}.toml", shown=f"{RIGS}/{rig}.toml")
    file = book / CAMPAIGNS / campaign / CAMPAIGN_FILE
    if file.is_file():
        source = read_toml(file, f"{CAMPAIGNS}/{campaign}/{CAMPAIGN_FILE}")
        own = source.content.get("rig")
        if own != rig:
            raise UsageError(
                f'the campaign was recorded on the rig "{own}", not on "{rig}"',
                code="other-rig",
                where=source.where("rig"),
                expected="one rig for a campaign",
                fix=f"--rig {own},  or another --campaign",
            )


def _rows(book: Path, home: Path, incoming: Sequence[Incoming]) -> list[dict[str, str]]:
    """Return a row for each run that runs.csv does not have, in the order of their names."""
    remarks = Remarks()
    designs = read_designs(book, remarks) or {}
    samples = read_samples(book, designs, remarks)
    raise_problems(remarks.all_problems(), BookError)
    taken_runs, taken_files = _rows_there(home / RUNS)
    groups: dict[str, dict[str, str]] = {}
    for item in incoming:
        if item.name not in taken_files:
            files = groups.setdefault(run_name(item.name), {})
            # Two logs of one name, such as r.csv and r.txt, are two runs.
            key = item.role if item.role not in files else ""
            (files if key else groups.setdefault(item.name, {}))[key or item.role] = item.name
    rows: list[dict[str, str]] = []
    for name, files in sorted(groups.items()):
        told = parts_of(files.get("log", next(iter(files.values()))), tuple(designs), tuple(samples))
        run = free_name(clean_name(name), taken_runs)
        taken_runs.add(run.casefold())
        row = {"run": run, "design": told.design, "sample": told.sample, "kind": told.kind or "", "date": told.date}
        rows.append(row | files)
    return rows


def _rows_with_air(path: Path) -> list[dict[str, str]]:
    """Return the cells that tell of the air of the runs that a table has already."""
    if not path.is_file():
        return []
    table = read_string_table(path)
    places = {name: place for name in ("run", "date", "note", *AIR_CELLS) if (place := table.index(name)) is not None}
    return [{name: row.cells[place] for name, place in places.items()} for row in table.rows]


def _rows_there(path: Path) -> tuple[set[str], set[str]]:
    """Return the names of runs, in small letters, and the files that a table has already."""
    if not path.is_file():
        return set(), set()
    table = read_string_table(path)
    places: Mapping[str, int | None] = {name: table.index(name) for name in ("run", *FILE_COLUMNS)}
    cells = {
        name: {row.cells[place] for row in table.rows} if place is not None else set() for name, place in places.items()
    }
    files = {cell.replace("\\", "/") for column in FILE_COLUMNS for cell in cells[column] if cell}
    return {cell.casefold() for cell in cells["run"]}, files
