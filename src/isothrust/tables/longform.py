"""Long form: one reading a row, with the name of its channel beside it; written anew with a column a channel."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from isothrust.tables.cells import is_blank, is_number, is_stamp, split_row
from isothrust.tables.dialect import is_comment
from isothrust.tables.heads import Head, is_unit
from isothrust.tables.layout import Layout
from isothrust.tables.recast import MARK, Recast, as_cell, recast_of

__all__ = ["LongForm", "long_form", "widened"]

_SAMPLE: Final = 1 << 15
_LEAST: Final = 8
"""Rows that are looked at, at least."""
_MOST: Final = 128
"""Channels, at most."""
_NAMES: Final = frozenset(
    ("name", "channel", "signal", "key", "variable", "sensor", "quantity", "parameter", "topic", "field", "measurement")
)
_VALUES: Final = frozenset(("value", "reading", "val", "data", "measured", "wert", "valeur"))
_TIMES: Final = ("time", "t", "timestamp", "stamp", "clock", "ms", "us", "s", "date", "zeit", "temps")


@dataclass(frozen=True, slots=True)
class LongForm:
    """Which column is what, by place from 0."""

    time: int
    name: int
    value: int
    unit: int | None = None


def long_form(layout: Layout, data: bytes, start: int) -> LongForm | None:
    """Return what the columns of a log in long form are, or None where it is not in that form.

    It has three columns (a fourth may hold units): a time, a word, a number. Its heads say so; without heads the word
    stands before the number and changes from row to row, which a word for the state of a bench does not.
    """
    width = layout.dialect.width
    if width not in {3, 4}:
        return None
    rows = _sample(layout, data, start)
    if len(rows) < _LEAST:
        return None
    columns = list(zip(*rows, strict=True))
    words = [place for place, cells in enumerate(columns) if _are(cells, number=False)]
    numbers = [place for place in range(width) if place not in words]
    units = [
        place for place in words if sum(is_unit(cell) for cell in set(columns[place])) * 2 >= len(set(columns[place]))
    ]
    named = [place for place in words if place not in units] or words[:1]
    if len(numbers) != 2 or len(named) != 1 or len(words) != width - 2:
        return None
    name = named[0]
    unit = next((place for place in words if place != name), None)
    time = _time(numbers, columns, layout.heads)
    value = next(place for place in numbers if place != time)
    found = LongForm(time, name, value, unit)
    told = _told(found, layout.heads) if layout.heads else name < value and _interleaved(columns[name], columns[time])
    return found if told else None


def widened(form: LongForm, layout: Layout, data: bytes, start: int) -> Recast | None:
    """Return a log in long form with a column a channel; readings of one time stand in one row.

    None where it has more names than a bench has channels.
    """
    delimiter, cells = layout.dialect.delimiter, layout.cells
    first = layout.dialect.first_line
    text = data[start:].decode("utf-8", errors="replace").replace("\r\n", "\n")
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    rows: list[tuple[int, str, dict[int, str] | None]] = []
    open_row: dict[int, str] = {}
    for number, line in enumerate(text.split("\n"), first):
        if not line.strip() or is_comment(line):
            continue
        split = split_row(line, delimiter)
        if len(split) != cells or not split[form.name] or is_number(split[form.name]):
            rows.append((number, as_cell(line), None))  # a ragged row: it is told, and its cells are nobody's
            continue
        name, stamp = split[form.name], split[form.time]
        if name not in places:
            places[name] = len(places)
            units[name] = split[form.unit] if form.unit is not None else ""
            if len(places) > _MOST:
                return None
        if not rows or rows[-1][2] is None or rows[-1][1] != stamp or places[name] in open_row:
            open_row = {}
            rows.append((number, stamp, open_row))
        open_row[places[name]] = split[form.value]
    head = layout.heads[form.time].text if layout.heads else "time"
    heads = [as_cell(head), *(as_cell(f"{name} [{units[name]}]" if units[name] else name) for name in places)]
    above = layout.dialect.head_line or first
    return recast_of(
        [(above, MARK.join(heads)), *_written(rows, len(places))], "long form (a row a reading)", ended=True
    )


def _written(rows: Sequence[tuple[int, str, dict[int, str] | None]], width: int) -> Iterator[tuple[int, str]]:
    for number, stamp, values in rows:
        if values is None:
            yield number, stamp
            continue
        yield number, MARK.join([stamp, *(values.get(place, "") for place in range(width))])


def _sample(layout: Layout, data: bytes, start: int) -> list[list[str]]:
    lines = data[start : start + _SAMPLE].decode("utf-8", errors="replace").split("\n")[:-1][:400]
    split = [split_row(line.rstrip("\r"), layout.dialect.delimiter) for line in lines if line.strip()]
    return [row[: layout.dialect.width] for row in split if len(row) == layout.cells]


def _are(cells: Sequence[str], *, number: bool) -> bool:
    filled = [cell for cell in cells if not is_blank(cell)]
    return bool(filled) and all((is_number(cell) or is_stamp(cell)) == number for cell in filled)


def _are_units(cells: Collection[str]) -> bool:
    return 2 * sum(map(is_unit, cells)) >= len(cells)


def _time(numbers: Sequence[int], columns: Sequence[Sequence[str]], heads: Sequence[Head]) -> int:
    """Return the column of the times: stamps, a head that says so, or what never falls."""
    for place in numbers:
        if all(is_stamp(cell) for cell in columns[place]):
            return place
    if heads:
        for place in numbers:
            if heads[place].name.casefold().split("_")[0].split(" ")[0] in _TIMES:
                return place
    steady = [place for place in numbers if _never_falls(columns[place])]
    return steady[0] if steady else numbers[0]


def _never_falls(cells: Sequence[str]) -> bool:
    values = [float(cell.replace(",", ".")) for cell in cells if is_number(cell)]
    return all(later >= earlier for earlier, later in pairwise(values))


def _told(form: LongForm, heads: Sequence[Head]) -> bool:
    return heads[form.name].name.casefold() in _NAMES or heads[form.value].name.casefold() in _VALUES


def _interleaved(names: Sequence[str], times: Sequence[str]) -> bool:
    changes = sum(first != second for first, second in pairwise(names))
    return 2 <= len(set(names)) <= min(_MOST, len(names) // 3) and 2 * changes > len(names) and _never_falls(times)
