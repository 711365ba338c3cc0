"""What `new --from` shows: the mapping of each layout, what is left to fill, and the next command."""

from __future__ import annotations

import shlex
from pathlib import Path
from types import MappingProxyType
from typing import Final

from isothrust.cli.bookfindings import tell_findings
from isothrust.cli.screen import counted, show_lines, show_tables, show_text, width_of_screen
from isothrust.present.mapping_table import mapping_object, mapping_table
from isothrust.present.objects import finding_object, json_text
from isothrust.present.plain import table_lines
from isothrust.present.table import Table
from isothrust.workflows.fromfolder import FolderBook, LayoutBook

__all__ = ["show_folder_book"]

_LEFT_OUT: Final = 8
_SIZE: Final = MappingProxyType(
    {
        "diameter": "not told by the name; without it there are no coefficients",
        "pitch": "not told by the name",
        "blades": "not told by the name; propellers of one count are compared",
    }
)


def show_folder_book(made: FolderBook, *, as_json: bool) -> None:
    """Print the outcome."""
    if as_json:
        show_text(json_text([_object(made)]))
        return
    tell_findings(made.findings)
    runs = sum(len(layout.runs) for layout in made.layouts)
    show_text(f"made a book in {made.root}: {counted(made.copied, 'recording')} copied, {counted(runs, 'run')}\n")
    for layout in made.layouts:
        show_tables([mapping_table(_title(layout), layout.mapping)])
        show_text("")
        if layout.vibration is not None:
            title = f"their vibration files, {_such_as(layout.vibration.files)}: {layout.vibration.dialect}"
            show_tables([mapping_table(title, layout.vibration)])
            show_text("")
    show_lines(table_lines(_open(made), width_of_screen()))
    if made.left_out:
        show_text("")
        show_lines(table_lines(_left_out(made), width_of_screen()))
    show_text(f"\nnext: {_first(made)}{made.next_command} --book {shlex.quote(made.root)}")


def _title(layout: LayoutBook) -> str:
    logs = counted(len(layout.mapping.files), "log")
    return f"{logs}, {_such_as(layout.mapping.files)}: {layout.mapping.dialect}\nrig and campaign {layout.rig}"


def _such_as(files: tuple[str, ...]) -> str:
    return files[0] if len(files) == 1 else f"such as {files[0]}"


def _open(made: FolderBook) -> Table:
    """Return what is left to fill, file by file: rig keys one by one, cells of tables by column."""
    rows: list[tuple[str, str, str]] = []
    for layout in made.layouts:
        for each in layout.rig_to_fill:
            gap = each.gap
            rows.append((f"{each.file}:{gap.line}", f"[{gap.section}] {gap.key}", gap.words))
        rows += _cells([(cell.file, cell.head, cell.line) for cell in layout.cells_to_fill], "must be filled")
    for head, words in _SIZE.items():
        rows += _cells([(cell.file, head, cell.line) for cell in made.designs_to_fill if cell.head == head], words)
    runs = f"campaigns/{made.layouts[0].campaign if len(made.layouts) == 1 else '*'}/runs.csv"
    rows.append((runs, "temperature, pressure, humidity", "the air of each day, or once in campaign.toml"))
    return Table("left to fill:", ("where", "what", ""), tuple(rows), frozenset({0, 1, 2}), (), 2)


def _cells(cells: list[tuple[str, str, int]], words: str) -> list[tuple[str, str, str]]:
    found: dict[tuple[str, str], list[int]] = {}
    for file, head, line in cells:
        found.setdefault((file, head), []).append(line)
    return [(file, head, f"{_lines(lines)}: {words}") for (file, head), lines in found.items()]


def _lines(lines: list[int]) -> str:
    if len(lines) == 1:
        return f"line {lines[0]}"
    whole = lines == list(range(lines[0], lines[-1] + 1))
    return f"lines {lines[0]} to {lines[-1]}" if whole else f"{len(lines)} lines from {lines[0]}"


def _left_out(made: FolderBook) -> Table:
    rows = tuple((each.name, each.reason) for each in made.left_out[:_LEFT_OUT])
    more = len(made.left_out) - len(rows)
    notes = (f"and {more} more",) if more else ()
    return Table(f"left where they are, {counted(len(made.left_out), 'file')}:", (), rows, frozenset({0, 1}), notes, 1)


def _first(made: FolderBook) -> str:
    files = [layout.rig_to_fill[0].file for layout in made.layouts if layout.rig_to_fill]
    files += [layout.cells_to_fill[0].file for layout in made.layouts if layout.cells_to_fill]
    if not files:
        return ""
    shown = files[0] if len(files) == 1 else f"{files[0]} and {counted(len(files) - 1, 'more file')}"
    return f"fill what is listed above in {Path(made.root) / shown}, then: "


def _object(made: FolderBook) -> dict[str, object]:
    return {
        "book": made.root,
        "files": list(made.files),
        "recordings": made.copied,
        "layouts": [_layout_object(layout) for layout in made.layouts],
        "designs": [
            {
                "design": name,
                "diameter_in": size.diameter if size else None,
                "pitch_in": size.pitch if size else None,
                "blades": (size.blades or None) if size else None,
            }
            for name, size in made.designs
        ],
        "designs_to_fill": [
            {"file": cell.file, "line": cell.line, "column": cell.head, "design": cell.run}
            for cell in made.designs_to_fill
        ],
        "left_out": [{"file": each.name, "reason": each.reason} for each in made.left_out],
        "findings": [finding_object(finding) for finding in made.findings],
        "next": f"{made.next_command} --book {shlex.quote(made.root)}",
    }


def _layout_object(layout: LayoutBook) -> dict[str, object]:
    return {
        **mapping_object(layout.mapping),
        "vibration": None if layout.vibration is None else mapping_object(layout.vibration),
        "rig": layout.rig,
        "campaign": layout.campaign,
        "runs": list(layout.runs),
        "rig_to_fill": [
            {
                "file": each.file,
                "line": each.gap.line,
                "section": each.gap.section,
                "key": each.gap.key,
                "what": each.gap.words,
            }
            for each in layout.rig_to_fill
        ],
        "cells_to_fill": [
            {"file": cell.file, "line": cell.line, "column": cell.head, "run": cell.run}
            for cell in layout.cells_to_fill
        ],
    }
