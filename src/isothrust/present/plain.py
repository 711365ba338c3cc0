"""Tables as lines of text, each with what it is, so that a terminal may draw it and a file may not."""

from __future__ import annotations

import textwrap
from typing import Literal, NamedTuple

from isothrust.present.table import GAP, Mark, Table, column_widths, wrapped

__all__ = ["Line", "Role", "note_lines", "plain_text", "table_lines"]

Role = Literal["title", "head", "rule", "body", "fail", "warning", "note", "first", "below"]


class Line(NamedTuple):
    """One line of text and the part it plays."""

    role: Role
    text: str


def table_lines(table: Table, width: int) -> list[Line]:
    """Return the table with its notes below it, broken to the width."""
    fitted = wrapped(table, width)
    widths = column_widths(fitted)
    titles = table.title.split("\n")
    lines = [Line("title", text) for part in titles for text in textwrap.wrap(part, width, break_on_hyphens=False)]
    if fitted.rows:
        if fitted.heads:
            lines += [Line("body", "")] if lines else []
            lines += [Line("head", text) for text in _row(fitted.heads, widths, fitted.left, bottom=True)]
            lines.append(Line("rule", _join(["-" * column for column in widths])))
        marks: tuple[Mark, ...] = fitted.marks or tuple("body" for _ in fitted.rows)
        for row, mark in zip(fitted.rows, marks, strict=True):
            lines += [Line(mark, text) for text in _row(row, widths, fitted.left)]
    if table.notes:
        lines += [Line("body", ""), *note_lines(table.notes, width)]
    return [Line(line.role, line.text.rstrip()) for line in lines]


def note_lines(notes: tuple[str, ...], width: int) -> list[Line]:
    """Return notes as lines, continued under their first word."""
    return [
        Line("below", text)
        for note in notes
        for text in textwrap.wrap(note, width, subsequent_indent="   ", break_long_words=False, break_on_hyphens=False)
    ]


def plain_text(table: Table, width: int) -> str:
    """Return the table as text."""
    return "\n".join(line.text for line in table_lines(table, width))


def _join(cells: list[str]) -> str:
    return (" " * GAP).join(cells)


def _row(cells: tuple[str, ...], widths: list[int], left: frozenset[int], *, bottom: bool = False) -> list[str]:
    """Return one row, whose cells may have several lines; heads stand at the bottom of theirs."""
    parts = [cell.split("\n") for cell in cells]
    height = max(len(part) for part in parts)
    filled = [[""] * (height - len(part)) + part if bottom else part + [""] * (height - len(part)) for part in parts]
    return [
        _join(
            [
                column[line].ljust(widths[index]) if index in left else column[line].rjust(widths[index])
                for index, column in enumerate(filled)
            ]
        )
        for line in range(height)
    ]
