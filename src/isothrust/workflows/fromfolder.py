"""A book made from a folder of unknown logs: copied, mapped, and what cannot be known left open and listed."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from isothrust.book.addrows import rows_added
from isothrust.book.campaigns import CAMPAIGN_FILE, CAMPAIGNS, EXAMPLE_RIG, RIGS
from isothrust.book.create import PROPELLER_HEADS, RUN_HEADS, create_book, refuse_used_folder
from isothrust.book.designs import PROPELLERS
from isothrust.book.hashes import RAW, file_sha256, record_hashes
from isothrust.book.rigdraft import RigGap, draft_rig
from isothrust.book.runs import FILE_COLUMNS, RUNS
from isothrust.errors import UsageError, Where
from isothrust.ingest.mapping import sound_channels
from isothrust.records.finding import Finding
from isothrust.records.mapping import LayoutMapping
from isothrust.tables.atomic import TEMPORARY_SUFFIX, write_bytes, write_text
from isothrust.tables.inside import file_of
from isothrust.workflows.add import CAMPAIGN_TEXT, MUST_FILL, ToFill
from isothrust.workflows.filenames import clean_name
from isothrust.workflows.namepattern import NamePattern, compiled_pattern
from isothrust.workflows.newrows import NewRuns, new_runs
from isothrust.workflows.sizes import NamedSize, size_in
from isothrust.workflows.survey import LayoutFound, LeftOut, Progress, survey_folder

__all__ = ["FolderBook", "LayoutBook", "RigToFill", "create_from_folder"]


@dataclass(frozen=True, slots=True)
class RigToFill:
    """Something open in a rig file."""

    file: str
    gap: RigGap


@dataclass(frozen=True, slots=True)
class LayoutBook:
    """What was made of the logs of one layout."""

    mapping: LayoutMapping
    vibration: LayoutMapping | None
    rig: str
    campaign: str
    runs: tuple[str, ...]
    rig_to_fill: tuple[RigToFill, ...]
    cells_to_fill: tuple[ToFill, ...]


@dataclass(frozen=True, slots=True)
class FolderBook:
    """The book that was made, and what is left to do."""

    root: str
    files: tuple[str, ...]
    """Written by the program; recordings left out."""
    copied: int
    """Recordings under raw/."""
    layouts: tuple[LayoutBook, ...]
    designs: tuple[tuple[str, NamedSize | None], ...]
    """Rows of propellers.csv, with the size where the name tells it."""
    designs_to_fill: tuple[ToFill, ...]
    """Sizes that no name tells."""
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]
    next_command: str


@dataclass(frozen=True, slots=True)
class _Campaign:
    """One layout on its way into the book."""

    name: str
    layout: LayoutFound
    runs: NewRuns


def create_from_folder(
    root: str | Path, folder: str | Path, *, names: str | None = None, progress: Progress | None = None
) -> FolderBook:
    """Make a book from a folder of unknown logs; the folder itself is never touched.

    The book is written beside its place and moved there when it is whole: a kill leaves nothing in its place.

    Parameters
    ----------
    root
        Where the book is to be: a folder that is new or empty.
    folder
        The recordings.
    names
        Pattern of their names, such as `{design}_{sample}_{n}`.
    progress
        Called file by file.

    Raises
    ------
    BookError, UsageError
        `folder-not-empty`, `not-a-folder`, `book-in-folder`, `no-folder`, `no-logs`, `bad-pattern`.
    """
    target, source = Path(root), Path(folder)
    refuse_used_folder(target)
    _refuse_inside(target, source)
    pattern = None if names is None else compiled_pattern(names)
    survey = survey_folder(source, progress)
    campaigns = _campaigns(survey.layouts, source, pattern)
    home = target.absolute()
    home.parent.mkdir(parents=True, exist_ok=True)
    draft = home.with_name(f".{home.name}.{secrets.token_hex(8)}{TEMPORARY_SUFFIX}")
    try:
        made = _written(draft, target, source, campaigns, progress)
        draft.replace(home)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    return FolderBook(
        root=str(root),
        files=made.files,
        copied=made.copied,
        layouts=made.layouts,
        designs=made.designs,
        designs_to_fill=made.to_fill,
        left_out=survey.left_out,
        findings=tuple(_findings(campaigns, pattern, made.designs)),
        next_command="isothrust check",
    )


def _refuse_inside(target: Path, source: Path) -> None:
    if source.is_dir() and target.resolve().is_relative_to(source.resolve()):
        raise UsageError(
            f"{target} lies in {source}, in which nothing is ever written",
            code="book-in-folder",
            where=Where(str(target)),
            expected="a book outside the folder of recordings",
            fix="choose another name for the book",
        )


def _campaigns(layouts: Sequence[LayoutFound], source: Path, pattern: NamePattern | None) -> list[_Campaign]:
    base = clean_name(source.resolve().name) or "bench"
    if base.casefold() == Path(EXAMPLE_RIG).stem:
        base = f"{base}-bench"
    taken: set[str] = set()
    return [
        _Campaign(base if number == 1 else f"{base}-{number}", layout, new_runs(layout, pattern, taken))
        for number, layout in enumerate(layouts, 1)
    ]


@dataclass(frozen=True, slots=True)
class _Made:
    files: tuple[str, ...]
    copied: int
    layouts: tuple[LayoutBook, ...]
    designs: tuple[tuple[str, NamedSize | None], ...]
    to_fill: tuple[ToFill, ...]


def _written(
    draft: Path, target: Path, source: Path, campaigns: Sequence[_Campaign], progress: Progress | None
) -> _Made:
    files = list(create_book(draft, title=target.resolve().name))
    designs = {row["design"]: size_in(row["design"]) for each in campaigns for row in each.runs.rows if row["design"]}
    table = rows_added(draft / PROPELLERS, PROPELLERS, PROPELLER_HEADS, [_design(*item) for item in designs.items()])
    table.write()
    to_fill = [
        ToFill(PROPELLERS, line, head, name)
        for (name, size), line in zip(designs.items(), table.lines, strict=True)
        for head in _unknown(size)
    ]
    layouts, copied = [], 0
    for each in campaigns:
        copied += _copy(draft, source, each, progress)
        layouts.append(_describe(draft, source, each))
        files += [
            f"{RIGS}/{each.name}.toml",
            f"{CAMPAIGNS}/{each.name}/{CAMPAIGN_FILE}",
            f"{CAMPAIGNS}/{each.name}/{RUNS}",
        ]
    return _Made(tuple(files), copied, tuple(layouts), tuple(designs.items()), tuple(to_fill))


def _design(name: str, size: NamedSize | None) -> dict[str, str]:
    if size is None:
        return {"design": name}
    note = f'size from "{size.written}" in the name, in inches'
    return {"design": name, "diameter": size.diameter, "pitch": size.pitch, "blades": size.blades, "note": note}


def _unknown(size: NamedSize | None) -> tuple[str, ...]:
    if size is None:
        return ("diameter", "pitch", "blades")
    return () if size.blades else ("blades",)


def _copy(draft: Path, source: Path, campaign: _Campaign, progress: Progress | None) -> int:
    """Copy the recordings of a campaign and write down their hashes."""
    named = [row[column] for row in campaign.runs.rows for column in FILE_COLUMNS if row.get(column)]
    names = list(dict.fromkeys(file_of(source, name) for name in named))
    raw = draft / CAMPAIGNS / campaign.name / RAW
    hashes = {}
    for done, name in enumerate(names):
        if progress is not None:
            progress(done, len(names), f"copying {name}")
        place = raw / name
        place.parent.mkdir(parents=True, exist_ok=True)
        write_bytes(place, (source / name).read_bytes())
        hashes[name] = file_sha256(place)
    record_hashes(draft, campaign.name, hashes)
    return len(hashes)


def _describe(draft: Path, source: Path, campaign: _Campaign) -> LayoutBook:
    """Write rig file, campaign.toml and runs.csv of one layout."""
    layout, name = campaign.layout, campaign.name
    title, sounds = f"Stand of the logs in {source.resolve().name}", _sounds(layout)
    told = sound_channels(source / sounds[0]) if sounds else ""
    rig = draft_rig(layout.mapping, title, layout.vibration, sound=bool(sounds), sound_channels=told)
    write_text(draft / RIGS / f"{name}.toml", rig.text)
    home, shown = draft / CAMPAIGNS / name, f"{CAMPAIGNS}/{name}/{RUNS}"
    write_text(home / CAMPAIGN_FILE, CAMPAIGN_TEXT.format(rig=name))
    table = rows_added(home / RUNS, shown, RUN_HEADS, campaign.runs.rows)
    table.write()
    cells = tuple(
        ToFill(shown, line, head, row["run"])
        for row, line in zip(campaign.runs.rows, table.lines, strict=True)
        for head in MUST_FILL
        if not row.get(head) and not (row.get("kind") == "zero" and head != "kind")
    )
    gaps = tuple(RigToFill(f"{RIGS}/{name}.toml", gap) for gap in rig.gaps)
    runs = tuple(row["run"] for row in campaign.runs.rows)
    return LayoutBook(layout.mapping, layout.vibration, name, name, runs, gaps, cells)


def _sounds(layout: LayoutFound) -> list[str]:
    return [files["sound"] for files in layout.beside.values() if "sound" in files]


_SHOWN: Final = 4


def _findings(
    campaigns: Sequence[_Campaign], pattern: NamePattern | None, designs: Sequence[tuple[str, NamedSize | None]]
) -> list[Finding]:
    """Return what was done on thin evidence, and what did not fit."""
    found: list[Finding] = []
    unmatched = [name for each in campaigns for name in each.runs.unmatched]
    if unmatched and pattern is not None:
        message = f"{_listed(unmatched)}: the name does not match {pattern.text}."
        done = "design, sample and mounting left empty"
        found.append(Finding("name-not-matched", "warning", message, count=len(unmatched), done=done))
    if len(campaigns) > 1:
        message = f"The logs have {len(campaigns)} layouts: each got a rig and a campaign of its own."
        found.append(Finding("several-layouts", "note", message, count=len(campaigns)))
    proposed: Mapping[str, str] = {run: why for each in campaigns for run, why in each.runs.proposed.items()}
    if proposed:
        message = f"The kind of {_listed(list(proposed))} was proposed from the throttle; each row's note says why."
        found.append(Finding("kind-proposed", "note", message, count=len(proposed), done="look it over in runs.csv"))
    sized = [f"{name}: {size.written}" for name, size in designs if size is not None]
    if sized:
        message = f"Sizes were read from the names of designs, in inches ({_listed(sized)})."
        found.append(Finding("size-from-name", "note", message, count=len(sized), done=f"marked in {PROPELLERS}"))
    carried = [run for each in campaigns for run in each.runs.air_carried]
    if carried:
        message = f"{_listed(carried)}: no air of their own; that of the previous run of the day was taken."
        found.append(Finding("air-carried", "note", message, count=len(carried), done="marked in each row's note"))
    return found


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:_SHOWN]) + (f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else "")
