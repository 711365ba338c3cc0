"""Where heads, units and rows stand in a log, found from its first lines without being told."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from isothrust.tables.cells import decimal_mark, is_blank, is_number, is_stamp, split_row
from isothrust.tables.dialect import DELIMITERS, Dialect, is_comment
from isothrust.tables.heads import Head, is_unit
from isothrust.tables.tops import groups_over, units_above

__all__ = ["Layout", "find_layout"]

_PROBE = 12  # rows looked at in the middle of the sample, and again at its end
_WIDE_GAP = re.compile(r"\s{2,}|\t")
_COMMENT_MARK = re.compile(r'[\s"]*(?:#+|%+|//+)\s*')
_MOST_DIGITS = 9  # a cell with more significant digits is a computed value: its last digit says nothing


@dataclass(frozen=True, slots=True)
class Layout:
    """How a log is laid out."""

    dialect: Dialect
    cells: int
    """Cells in a row as written: more than the width where every row ends in a delimiter."""
    heads: tuple[Head, ...] = ()
    """As many as there are columns, or none; a head row that fits no row is in `misfit`."""
    misfit: tuple[int, int] | None = None
    """Line and number of names of a head row that does not fit the rows."""
    preamble: tuple[tuple[int, str], ...] = ()
    cut_first: int | None = None
    """Line number of a first row whose beginning is missing (the logger was joined late)."""
    decimals: tuple[int | None, ...] = ()
    """Most digits after the decimal mark in each column; None where that says nothing of the resolution."""
    stamps: tuple[bool, ...] = ()
    """Columns that hold times of day or dates."""
    evenness: float = 1.0
    """Share of the rows looked at that have this number of cells."""
    sure: bool = False
    """True where the cells leave no doubt of the decimal mark."""


@dataclass(frozen=True, slots=True)
class _Body:
    """What the rows in the middle and at the end of the sample have in common."""

    delimiter: str
    cells: int
    rows: tuple[tuple[str, ...], ...]
    valued: float
    """Share of the filled cells that hold numbers or stamps."""
    evenness: float
    """Share of the lines that have this number of cells."""

    @property
    def score(self) -> float:
        """How well the delimiter explains the lines."""
        return self.valued * self.evenness


def find_layout(sample: str, *, encoding: str) -> Layout | None:
    """Return the layout of a log from its first lines (whole ones), or None where no rows of numbers are seen."""
    numbered = [(number, line) for number, line in enumerate(_lines(sample), 1) if line.strip()]
    lines = [(number, line) for number, line in numbered if not is_comment(line)]
    body = _body([line for _, line in lines])
    if body is None:
        return None
    columns = list(zip(*body.rows, strict=True))
    values = [_holds(column, is_number) for column in columns]
    stamps = [_holds(column, is_stamp) for column in columns]
    first = next((place for place, (_, line) in enumerate(lines) if _is_row(line, body, values, stamps)), None)
    if first is None:
        return None
    start = lines[first][0]
    decimal, sure = decimal_mark(columns)
    top = _top(lines[:first], [entry for entry in numbered if entry[0] < start], body)
    cut_first = _cut_first(lines, first, body) if top.head_line is None and top.misfit is None else None
    told = {top.head_line, top.units_line, top.group_line, cut_first}
    return Layout(
        Dialect(encoding, body.delimiter, decimal, top.head_line, top.units_line, start, top.width),
        body.cells,
        top.heads,
        top.misfit,
        tuple((number, line.strip()) for number, line in numbered if number < start and number not in told),
        cut_first,
        tuple(_last_digit(column, decimal) for column in columns[: top.width]),
        tuple(stamps[: top.width]),
        _evenness([line for _, line in lines[first:]], body),
        sure,
    )


def _lines(sample: str) -> list[str]:
    return [line.rstrip("\r") for line in sample.split("\n")]


def _body(lines: Sequence[str]) -> _Body | None:
    middle = len(lines) // 2
    probe = list(lines[max(middle - 1, 0) : middle + _PROBE]) if len(lines) > 2 * _PROBE else []
    probe += lines[-_PROBE:]
    found = [body for delimiter in DELIMITERS if (body := _rows_by(probe, delimiter)) is not None]
    if any(body.delimiter == "\t" and body.evenness == 1.0 and body.valued > 0.5 for body in found):
        found = [body for body in found if body.delimiter != " "]  # tabs part blank cells, which runs of blanks cannot
    # Among equals more cells win, then the order of DELIMITERS.
    return max(found, key=lambda body: (round(body.score, 2), body.cells), default=None)


def _rows_by(lines: Sequence[str], delimiter: str) -> _Body | None:
    if delimiter and not any(delimiter in line or (delimiter == " " and "\t" in line) for line in lines):
        return None
    split = [tuple(split_row(line, delimiter)) for line in lines]
    usual = Counter(len(row) for row in split if delimiter == "" or len(row) > 1).most_common(1)
    if not usual:
        return None
    cells, _ = usual[0]
    rows = tuple(row for row in split if len(row) == cells)
    filled = [cell for row in rows for cell in row if not is_blank(cell)]
    if not filled:
        return None
    valued = sum(is_number(cell) or is_stamp(cell) for cell in filled) / len(filled)
    body = _Body(delimiter, cells, rows, valued, len(rows) / len(lines))
    return body if valued >= 0.2 and body.score >= 0.15 else None


def _holds(column: Sequence[str], test: Callable[[str], bool]) -> bool:
    filled = [cell for cell in column if not is_blank(cell)]
    return bool(filled) and 2 * sum(map(test, filled)) > len(filled)


def _is_row(line: str, body: _Body, values: Sequence[bool], stamps: Sequence[bool]) -> bool:
    cells = split_row(line, body.delimiter)
    if len(cells) != body.cells:
        return False
    kept, filled = 0, 0
    for cell, value, stamp in zip(cells, values, stamps, strict=True):
        if (value or stamp) and not is_blank(cell):
            filled += 1
            kept += is_number(cell) if value else is_stamp(cell)
    return kept > 0 and 2 * kept >= filled


@dataclass(frozen=True, slots=True)
class _Top:
    """What stands above the rows."""

    width: int
    heads: tuple[Head, ...] = ()
    head_line: int | None = None
    units_line: int | None = None
    misfit: tuple[int, int] | None = None
    group_line: int | None = None


def _top(lines: Sequence[tuple[int, str]], numbered: Sequence[tuple[int, str]], body: _Body) -> _Top:
    """Find heads and units in the lines above the first row; `numbered` has the comments as well."""
    near = [(number, _names(line, body)) for number, line in lines[-3:]]
    units = near.pop() if _units_under_heads(near[-2:], body) else None
    head = near[-1] if near and _are_words(near[-1][1]) else _commented_head(numbered, body)
    trailing = body.cells > 1 and not any(row[-1] for row in body.rows)
    width = body.cells - (trailing and (head is None or len(head[1]) < body.cells))
    if head is None:
        return _Top(width)
    if len(head[1]) == width:
        group = near[-2] if len(near) > 1 and near[-1] == head and near[-2][0] == head[0] - 1 else None
        groups = groups_over(head[1], group[1]) if group is not None else ()
        heads = _heads(head[1], units[1] if units else (), groups)
        told = units_above(heads, [line for number, line in numbered if number < head[0]])
        heads = tuple(replace(h, unit=told.get(k)) if h.unit is None else h for k, h in enumerate(heads))
        return _Top(width, heads, head[0], units[0] if units else None, None, group[0] if group and groups else None)
    looks_like_heads = len(head[1]) >= 2 and 2 * len(head[1]) >= width
    return _Top(width, misfit=(head[0], len(head[1])) if looks_like_heads else None)


def _units_under_heads(near: Sequence[tuple[int, Sequence[str]]], body: _Body) -> bool:
    return (
        len(near) == 2
        and (len(near[0][1]) > 1 or body.cells == 1)  # a title is no row of heads
        and all(_fits(cells, body) and _are_words(cells) for _, cells in near)
        and _are_units(near[1][1])
    )


def _commented_head(numbered: Sequence[tuple[int, str]], body: _Body) -> tuple[int, tuple[str, ...]] | None:
    """Return the names in a comment right above the first row: `# time, thrust, rpm`."""
    if not numbered or not is_comment(numbered[-1][1]):
        return None
    number, line = numbered[-1]
    cells = _names(_COMMENT_MARK.sub("", line, count=1).rstrip(' "'), body)
    return (number, cells) if _fits(cells, body) and _are_words(cells) else None


def _names(line: str, body: _Body) -> tuple[str, ...]:
    """Return the cells of a line above the rows, without empty ones at its end."""
    cells = split_row(line, body.delimiter)
    if body.delimiter == " " and len(cells) != body.cells:
        wide = [cell for cell in _WIDE_GAP.split(line.strip()) if cell]
        cells = wide if len(wide) == body.cells else cells
    while len(cells) > 1 and not cells[-1]:
        cells.pop()
    return tuple(cells)


def _fits(cells: Sequence[str], body: _Body) -> bool:
    return len(cells) in {body.cells, body.cells - 1} and len(cells) > 0


def _are_words(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if not is_blank(cell)]
    return bool(filled) and 2 * sum(is_number(cell) or is_stamp(cell) for cell in filled) < len(filled)


def _are_units(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if cell]
    return bool(filled) and 2 * sum(is_unit(_bare(cell)) for cell in filled) >= len(filled)


def _bare(cell: str) -> str:
    text = cell.strip()
    return text[1:-1].strip() if text[:1] + text[-1:] in {"[]", "()", "{}", "<>"} else text


def _heads(names: Sequence[str], units: Sequence[str], groups: Sequence[str]) -> tuple[Head, ...]:
    heads = []
    for place, name in enumerate(names):
        head = Head.of_log(name)
        unit = _bare(units[place]) if place < len(units) else ""
        head = replace(head, unit=unit) if unit and head.unit is None else head
        heads.append(head.in_group(groups[place]) if place < len(groups) else head)
    return tuple(heads)


def _cut_first(lines: Sequence[tuple[int, str]], first: int, body: _Body) -> int | None:
    if first != 1 or not body.delimiter:
        return None
    cells = split_row(lines[0][1], body.delimiter)
    return lines[0][0] if len(cells) < body.cells and all(is_number(cell) for cell in cells) else None


def _evenness(lines: Sequence[str], body: _Body) -> float:
    rows = [split_row(line, body.delimiter) for line in lines[-2 * _PROBE :]]
    return sum(len(row) == body.cells for row in rows) / len(rows)


def _last_digit(column: Sequence[str], decimal: str) -> int | None:
    numbers = [cell for cell in column if is_number(cell)]
    if not numbers or any("e" in cell or "E" in cell for cell in numbers):
        return None
    digits = max(sum(map(str.isdigit, cell.lstrip("+-0.,"))) for cell in numbers)
    if digits > _MOST_DIGITS:
        return None
    return max(len(cell) - 1 - cell.find(decimal) if decimal in cell else 0 for cell in numbers)
