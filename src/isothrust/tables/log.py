"""Opening a log: its text, its layout, and a last row that was cut off while it was written."""

from __future__ import annotations

import os
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from isothrust.errors import LogError, Problem, Where, raise_problems
from isothrust.tables.cells import is_number, split_row
from isothrust.tables.decoding import Decoded, decode_file
from isothrust.tables.dialect import Dialect, is_comment
from isothrust.tables.frames import frames_of
from isothrust.tables.heads import Head
from isothrust.tables.jsonlines import json_lines
from isothrust.tables.layout import Layout, find_layout
from isothrust.tables.longform import long_form, widened
from isothrust.tables.recast import Recast
from isothrust.tables.summary import summary_start
from isothrust.tables.tags import tags_in

__all__ = ["LogTable", "log_of", "open_log", "recast_log"]

_SAMPLES = (16384, 262144, 4194304)
_TAIL = 8192
_PROBE = 2048
_NEIGHBOURS = 20
_EVEN = 0.6  # of the rows must have the usual number of cells


@dataclass(frozen=True, slots=True)
class LogTable:
    """A log whose layout is known and whose columns are still text."""

    file: str
    data: bytes
    """UTF-8, without the row that was cut off."""
    layout: Layout
    cut_last: tuple[int, str] | None = None
    """Line number and text of a last row whose end is missing; it is in no column."""
    summary: tuple[int, int] | None = None
    """Line number and number of lines of a summary below the rows; it is in no column."""
    lines: NDArray[np.int64] | None = None
    """Line of the file at which each line of `data` began, where the log was written anew; None where they are one."""
    above: int | None = None
    """Lines of `data` above the first row, where these are not those of the file."""
    part: tuple[int, int] | None = None
    """Which table of the file it is, and of how many; None where it is the only one."""
    tag: str | None = None
    """Tag of the rows, where they stand among those of other sources: all of them go by one clock."""

    @property
    def dialect(self) -> Dialect:
        """How the file is written."""
        return self.layout.dialect

    @property
    def heads(self) -> tuple[Head, ...]:
        """One a column, or none at all."""
        return self.layout.heads

    @property
    def start(self) -> int:
        """Place in `data` where the first row begins."""
        return _start(self.data, self.skipped)

    @property
    def skipped(self) -> int:
        """Lines of `data` above the first row."""
        return self.dialect.first_line - 1 if self.above is None else self.above


def open_log(path: str | os.PathLike[str]) -> LogTable:
    """Open a log of delimited text, plain or gzip, and find its layout.

    Raises LogError with the code missing-file, unreadable-file, empty-log, binary-log, damaged-gzip, not-a-table or
    ragged-log.
    """
    return log_of(decode_file(path, kind=LogError), os.fspath(path))


def log_of(decoded: Decoded, file: str) -> LogTable:
    """Find the layout of a log's text; raises LogError with the code not-a-table, ragged-log or too-many-columns.

    Frames between marks, JSON objects and long form are written anew as plain tables; a summary below the rows is left
    out.
    """
    recast = json_lines(decoded.data, file) or frames_of(decoded.data)
    if recast is not None:
        return recast_log(recast, decoded, file)
    data, summary = _without_summary(decoded.data)
    table = _plain_log(replace(decoded, data=data), file, summary)
    form = long_form(table.layout, table.data, table.start)
    wide = widened(form, table.layout, table.data, table.start) if form is not None else None
    if wide is None:
        return table
    return replace(recast_log(wide, decoded, file), cut_last=table.cut_last, summary=summary)


def recast_log(recast: Recast, decoded: Decoded, file: str) -> LogTable:
    """Return a log that was written anew; its line numbers are those of the file as it is.

    Raises LogError with the code not-a-table or ragged-log.
    """
    try:
        table = _plain_log(replace(decoded, data=recast.data), file, None)
    except LogError as error:
        raise_problems((_at_line_of_file(each, recast) for each in error.problems), LogError)
        raise
    layout, dialect = table.layout, table.dialect

    def line(number: int) -> int:
        return int(recast.lines[number - 1])

    cut = table.cut_last
    own = Dialect(
        dialect.encoding,
        dialect.delimiter,
        dialect.decimal,
        line(dialect.head_line) if dialect.head_line is not None else None,
        line(dialect.units_line) if dialect.units_line is not None else None,
        line(dialect.first_line),
        dialect.width,
        recast.form,
    )
    told = replace(
        layout,
        dialect=own,
        cut_first=line(layout.cut_first) if layout.cut_first is not None else None,
        preamble=tuple((line(number), text) for number, text in layout.preamble),
    )
    cut = (line(cut[0]), cut[1]) if cut is not None else None
    return LogTable(file, table.data, told, cut, None, recast.lines, dialect.first_line - 1)


def _at_line_of_file(problem: Problem, recast: Recast) -> Problem:
    where = problem.where
    if where is None or where.line is None:
        return problem
    return replace(problem, where=replace(where, line=int(recast.lines[where.line - 1])))


def _without_summary(data: bytes) -> tuple[bytes, tuple[int, int] | None]:
    found = summary_start(data)
    if found is None:
        return data, None
    rest = data[: found[0]]
    return rest, (rest.count(b"\n") + 1, found[1])


def _plain_log(decoded: Decoded, file: str, summary: tuple[int, int] | None) -> LogTable:
    layout = _layout(decoded.data, decoded.encoding)
    if layout is None:
        raise _no_rows(decoded.data, file)
    if layout.evenness < 1.0 or _begins_with_words(decoded.data, layout):
        tags = tags_in(decoded.data)
        if tags is not None:
            raise _tagged(tags, file, layout)
    if layout.evenness < _EVEN:
        raise LogError(
            f"only {100 * layout.evenness:.0f} % of the rows have the same number of cells ({layout.cells})",
            code="ragged-log",
            where=Where(file, layout.dialect.first_line),
            expected="rows with one number of cells",
            fix="look at the lines: a terminal may have wrapped long ones, or two loggers wrote one file",
        )
    tail = _unfinished(decoded.data)
    if tail and _is_cut(tail, decoded.data[: -len(tail)], layout, surely=decoded.cut):
        whole = decoded.data[: -len(tail)]
        cut = (whole.count(b"\n") + 1, tail.decode("utf-8", errors="replace").strip())
        if cut[0] > layout.dialect.first_line:
            return LogTable(file, whole, layout, cut, summary)
    return LogTable(file, decoded.data, layout, None, summary)


def _begins_with_words(data: bytes, layout: Layout) -> bool:
    """Say whether the rows begin with a letter, as tagged rows do."""
    place = _start(data, layout.dialect.first_line - 1)
    return data[place : place + 2].lstrip(b'"')[:1].isalpha()


def _tagged(tags: Counter[str], file: str, layout: Layout) -> LogError:
    told = ", ".join(f'"{tag}" ({count})' for tag, count in tags.most_common(6))
    return LogError(
        f"the rows come from {len(tags)} sources, told apart by their first cell: {told} among the first rows",
        code="tagged-rows",
        where=Where(file, layout.dialect.first_line),
        expected="the tag of each channel's rows in the rig file",
        fix=f'write  column = {{ column = 3, tag = "{tags.most_common(1)[0][0]}" }}  and the like under each channel, '
        "the tag's own column counted as 1; time without a tag is read from every source's rows",
    )


def _no_rows(data: bytes, file: str) -> LogError:
    only_heads = _only_heads(data)
    return LogError(
        f'"{Path(file).name}" holds no rows of numbers: '
        + ("there is nothing below its heads" if only_heads else f'it begins with "{_beginning(data)}"'),
        code="not-a-table",
        where=Where(file),
        expected="rows of numbers, parted by comma, semicolon, tab, bar or blanks, with or without a head row, "
        "or one JSON object a line",
        fix="record the run again: the logger wrote nothing more"
        if only_heads
        else "name the log itself in runs.csv, or convert it to CSV",
    )


def _start(data: bytes, lines: int) -> int:
    place = 0
    for _ in range(lines):
        place = data.index(b"\n", place) + 1
    return place


def _layout(data: bytes, encoding: str) -> Layout | None:
    """Look at a small sample first; a larger one where that shows no rows, or other rows than the rest of the log."""
    found = None
    for size in _SAMPLES:
        sample = data[:size]
        if len(sample) < len(data):
            sample = sample[: sample.rfind(b"\n") + 1]
        layout = find_layout(sample.decode("utf-8", errors="replace"), encoding=encoding)
        if layout is not None and (size >= len(data) or _fits_rest(layout, data)):
            return layout
        found = found or layout
    return found


def _fits_rest(layout: Layout, data: bytes) -> bool:
    """Say whether half of the lines in the middle and at the end of a log are laid out as its beginning."""
    middle = len(data) // 2
    for piece in (data[middle : middle + _PROBE], data[-_PROBE:]):
        lines = piece.decode("utf-8", errors="replace").split("\n")[1:-1]
        rows = [split_row(line, layout.dialect.delimiter) for line in lines if line.strip() and not is_comment(line)]
        if 2 * sum(len(row) == layout.cells for row in rows) < len(rows):
            return False
    return True


def _unfinished(data: bytes) -> bytes:
    """Return what follows the last line end, where it is more than blanks."""
    tail = data[data.rfind(b"\n") + 1 :]
    return tail if tail.strip() else b""


def _is_cut(tail: bytes, before: bytes, layout: Layout, *, surely: bool) -> bool:
    """Say whether the last row breaks off: it has too few cells, or a last cell shorter than all its neighbours'."""
    cells = split_row(tail.decode("utf-8", errors="replace"), layout.dialect.delimiter)
    if surely or len(cells) < layout.dialect.width:
        return True
    lines = before[-_TAIL:].decode("utf-8", errors="replace").split("\n")[1:-1][-_NEIGHBOURS:]
    rows = [split_row(line, layout.dialect.delimiter) for line in lines if line.strip()]
    last = [row[-1] for row in rows if len(row) == layout.cells and is_number(row[-1])]
    return len(last) >= _NEIGHBOURS // 2 and _is_shorter(cells[-1], last)


def _is_shorter(cell: str, others: list[str]) -> bool:
    places = {_decimals(other) for other in others}
    if len(places) == 1 and places != {0}:
        return _decimals(cell) < places.pop()
    return places == {0} and len(cell.lstrip("+-")) < min(len(other.lstrip("+-")) for other in others)


def _decimals(cell: str) -> int:
    return len(cell.replace(",", ".").partition(".")[2])


def _only_heads(data: bytes) -> bool:
    """Say whether a file without rows ends in a line of three cells or more: heads, below which nothing was logged."""
    lines = [line for line in data[:_PROBE].decode("utf-8", errors="replace").splitlines() if line.strip()]
    return len(data) < _PROBE and bool(lines) and max(lines[-1].count(sign) for sign in ",;\t|") >= 2


def _beginning(data: bytes) -> str:
    text = " ".join(data[:400].decode("utf-8", errors="replace").split())
    return text[:60] + ("…" if len(text) > 60 else "")
