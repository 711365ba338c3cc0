"""New rows at the end of a table that a person edits: in its own dialect, nothing else in it touched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from isothrust.errors import BookError, Where
from isothrust.tables.atomic import write_bytes
from isothrust.tables.text import read_string_table

__all__ = ["NewRows", "rows_added"]


@dataclass(frozen=True, slots=True)
class NewRows:
    """A table with its new rows, ready to be written."""

    path: Path
    data: bytes
    lines: tuple[int, ...]
    """Of each new row."""

    def write(self) -> None:
        """Write the table; do nothing where no row is new."""
        if self.lines:
            write_bytes(self.path, self.data)


def rows_added(path: str | Path, shown: str, heads: str, rows: Sequence[Mapping[str, str]]) -> NewRows:
    """Return a table with rows (column name -> cell) at its end; nothing is written yet.

    `heads` is the head line of a new table, where the file is not there yet. An existing table keeps its delimiter, its
    encoding and its line ends; columns that the rows say nothing about are left empty.

    Raises BookError `missing-column` where a cell that is not empty has no column.
    """
    target = Path(path)
    if not rows:
        return NewRows(target, b"", ())
    if not target.is_file():
        columns = heads.strip().split(",")
        lines = [_line([row.get(head.split(" [")[0], "") for head in columns], ",") for row in rows]
        data = ("\n".join([heads.strip(), *lines]) + "\n").encode("utf-8")
        return NewRows(target, data, tuple(range(2, len(rows) + 2)))
    table = read_string_table(target)
    places = {name: table.index(name) for row in rows for name, cell in row.items() if cell}
    missing = [name for name, place in places.items() if place is None]
    if missing:
        raise BookError(
            f"the table has no column {', '.join(missing)}",
            code="missing-column",
            where=Where(shown, table.dialect.head_line),
            expected=f"the columns {heads.strip()}",
            fix=f"add the column {', '.join(missing)} to the head row, then the same command again",
        )
    delimiter = table.dialect.delimiter or ","
    lines = []
    for row in rows:
        cells = [""] * len(table.heads)
        for name, cell in row.items():
            place = places.get(name)
            if place is not None:
                cells[place] = cell
        lines.append(_line(cells, delimiter))
    return _appended(target, shown, table.dialect.encoding, lines)


def _appended(target: Path, shown: str, encoding: str, lines: list[str]) -> NewRows:
    if "gzip" in encoding:
        raise BookError(
            "the table is compressed, and cannot be added to",
            code="compressed-table",
            where=Where(shown),
            expected="plain text",
            fix="decompress the file, then the same command again",
        )
    codec = "utf-8" if encoding.startswith("utf-8") else encoding
    text = target.read_bytes().decode(codec, errors="replace")
    end = "\r\n" if "\r\n" in text else "\n"
    joint = "" if text.endswith("\n") else end
    added = joint + end.join(lines) + end
    try:
        data = target.read_bytes() + added.encode(codec)
    except UnicodeEncodeError:  # A file name that the old code page has no letters for: UTF-8 has them all.
        data = (text + added).encode("utf-8")
    first = (text + joint).count("\n") + 1
    return NewRows(target, data, tuple(range(first, first + len(lines))))


def _line(cells: Sequence[str], delimiter: str) -> str:
    return delimiter.join(_cell(cell, delimiter) for cell in cells)


def _cell(cell: str, delimiter: str) -> str:
    if delimiter in cell or "\n" in cell or cell.startswith('"') or cell != cell.strip():
        return '"' + cell.replace('"', '""') + '"'
    return cell
