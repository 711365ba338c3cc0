"""A table of the book, cell by cell in SI; what is missing or wrong is noted with file, line and column."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from isothrust.book.emptycells import EmptyCell, empty_cell_problems
from isothrust.book.toml_section import Remarks, nearest
from isothrust.errors import IsothrustError, Problem, UnitError, Where
from isothrust.quantities import QUANTITIES, Unit, parse_unit, parse_value
from isothrust.records.finding import Finding
from isothrust.tables.cells import is_blank
from isothrust.tables.text import Row, StringTable, read_string_table

__all__ = ["Column", "Sheet", "SheetRow"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a table may have."""

    name: str
    quantity: str | None = None
    """Of a number, by name from `QUANTITIES`; None: words."""
    unit: str | None = None
    """Unit that the head may do without: '1' for plain numbers."""
    required: bool = False
    """The table makes no sense without it."""


class Sheet:
    """One table of the book. Iterating gives its rows; one that cannot be read has none, and the reason is noted."""

    def __init__(self, path: Path, shown: str, columns: tuple[Column, ...], remarks: Remarks) -> None:
        self.shown = shown
        self.remarks = remarks
        self.columns = {column.name: column for column in columns}
        self._places: dict[str, int] = {}
        self._units: dict[str, Unit | None] = {}
        self._unitless_told: set[str] = set()
        self._empty: dict[str, list[EmptyCell]] = {}
        self.table = self._read(path)
        if self.table is not None:
            self._find_columns(self.table)

    def __iter__(self) -> Iterator[SheetRow]:
        if self.table is not None:
            for row in self.table.rows:
                yield SheetRow(self, row)
            self.remarks.problems.extend(empty_cell_problems(self.shown, self._empty))
            self._empty.clear()

    def place(self, name: str) -> int | None:
        """Return where a column stands, None where the table has none of that name."""
        return self._places.get(name)

    def unit(self, name: str) -> Unit | None:
        """Return a column's unit, None where its head states none (or none that can be read)."""
        return self._units.get(name)

    def head(self, name: str) -> str:
        """Return a column's head as it is written in the file."""
        place = self.place(name)
        return name if place is None or self.table is None else self.table.heads[place].text

    def extra_heads(self) -> dict[int, str]:
        """Return the columns that mean nothing here: kept and shown."""
        if self.table is None:
            return {}
        known = set(self._places.values())
        return {place: head.text for place, head in enumerate(self.table.heads) if place not in known}

    def tell_missing_unit(self, name: str, line: int) -> None:
        """Note, once a column, that its head lacks a unit."""
        if name in self._unitless_told:
            return
        self._unitless_told.add(name)
        shown = QUANTITIES[self.columns[name].quantity or "length"].shown
        self.remarks.problems.append(
            Problem(
                "missing-unit",
                f"{name} has no unit",
                Where(self.shown, line, self.head(name)),
                "a unit in square brackets behind the head's name",
                f"write the head as  {name} [{shown}]  (or the unit that was meant)",
            )
        )

    def note_empty(self, name: str, cell: EmptyCell) -> None:
        """Keep an empty cell that must be filled; all of a column are told together, once its rows have been read."""
        self._empty.setdefault(self.head(name), []).append(cell)

    def _read(self, path: Path) -> StringTable | None:
        try:
            return read_string_table(path)
        except IsothrustError as error:
            told = (
                replace(problem, where=replace(problem.where, file=self.shown) if problem.where else Where(self.shown))
                for problem in error.problems
            )
            self.remarks.problems.extend(told)
            return None

    def _find_columns(self, table: StringTable) -> None:
        for column in self.columns.values():
            try:
                place = table.index(column.name)
            except IsothrustError as error:
                self.remarks.problems.extend(
                    replace(problem, where=Where(self.shown, table.dialect.head_line, column.name))
                    for problem in error.problems
                )
                continue
            if place is not None:
                self._places[column.name] = place
                self._units[column.name] = self._unit_of(table, column, place)
        free = tuple(self.extra_heads().values())
        for column in self.columns.values():
            if column.name not in self._places:
                self._tell_missing_column(table, column, nearest(column.name, free))
        self._tell_commented_rows(table)

    def _unit_of(self, table: StringTable, column: Column, place: int) -> Unit | None:
        written = table.heads[place].unit or column.unit
        if column.quantity is None or written is None:
            return None
        try:
            where = Where(self.shown, table.dialect.head_line, table.heads[place].text)
            return parse_unit(written, quantity=column.quantity, where=where)
        except UnitError as error:
            self.remarks.add(error)
            self._unitless_told.add(column.name)
            return None

    def _tell_missing_column(self, table: StringTable, column: Column, near: tuple[str, ...]) -> None:
        if column.required:
            problem = Problem(
                "missing-column",
                f'there is no column "{column.name}"',
                Where(self.shown, table.dialect.head_line),
                f'a head "{column.name}"' + (f'; "{near[0]}" may be meant' if near else ""),
                f'rename "{near[0]}" to "{column.name}"' if near else f'add the column "{column.name}"',
            )
            self.remarks.problems.append(problem)
        elif near:
            message = f'{self.shown}: column "{near[0]}" means nothing here; the nearest that does is "{column.name}".'
            finding = Finding("unknown-column", "warning", message, done="kept and shown, not used")
            self.remarks.findings.append(finding)

    def _tell_commented_rows(self, table: StringTable) -> None:
        for line, text in table.comments:
            if text.count(table.dialect.delimiter or "\n") >= len(table.heads) - 1 > 0:
                message = f"{self.shown}, line {line} looks like a row, but begins as a comment does: {text[:40]}"
                self.remarks.findings.append(Finding("row-in-comment", "warning", message, done="left unread"))


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row of a table of the book."""

    sheet: Sheet
    row: Row

    def where(self, name: str) -> Where:
        """Return the place of a cell."""
        return Where(self.sheet.shown, self.row.line, self.sheet.head(name))

    def problem(self, code: str, what: str, name: str, *, expected: str | None = None, fix: str | None = None) -> None:
        """Note what is wrong with a cell."""
        self.sheet.remarks.problems.append(Problem(code, what, self.where(name), expected, fix))

    def text(self, name: str) -> str:
        """Return a cell's words, empty where there are none."""
        place = self.sheet.place(name)
        cell = "" if place is None else self.row.cells[place]
        return "" if is_blank(cell) else " ".join(cell.split())

    def need(self, name: str, *, expected: str, fix: str, then: str = "") -> str:
        """Return a cell's words; note where there are none, what to write there, and the command to type then."""
        text = self.text(name)
        if not text and (self.sheet.place(name) is not None or not self.sheet.columns[name].required):
            self.sheet.note_empty(name, EmptyCell(name, self.row.line, expected, fix, then))
        return text

    def number(self, name: str, *, least: float | None = None, most: float | None = None) -> float | None:
        """Return a cell's number in SI, None where it is blank; what is wrong with it is noted, and gives None."""
        text = self.text(name)
        quantity = self.sheet.columns[name].quantity
        if not text or self.sheet.table is None or quantity is None:
            return None
        try:
            reading = self.sheet.table.number(text)
            if not math.isfinite(reading):
                raise ValueError(f'"{text}" is no finite number')
        except ValueError as error:
            return self._with_own_unit(name, text, quantity, str(error))
        unit = self.sheet.unit(name)
        if unit is None:
            self.sheet.tell_missing_unit(name, self.row.line)
            return None
        return self._within(name, text, unit.to_si(reading), least, most)

    def positive(self, name: str) -> float | None:
        """Return a cell's number in SI; zero and negative ones are noted, and give None."""
        value = self.number(name)
        if value is None or value > 0.0:
            return value
        code = "negative-value" if value < 0.0 else "out-of-range"
        self.problem(code, f'"{name}" is {self.text(name)}', name, expected="more than zero", fix="mend the number")
        return None

    def extra(self) -> dict[str, str]:
        """Return the cells of the columns that mean nothing here."""
        return {
            head: self.row.cells[place] for place, head in self.sheet.extra_heads().items() if self.row.cells[place]
        }

    def _with_own_unit(self, name: str, text: str, quantity: str, reason: str) -> float | None:
        """Return the value of a cell that carries its unit itself, as `7 in` does."""
        try:
            return parse_value(text.replace(",", ".", 1), quantity=quantity)
        except UnitError:
            self.problem(
                "bad-number",
                f"{name}: {reason}",
                name,
                expected=f"a number, in the unit of the head, {QUANTITIES[quantity].description}",
                fix="mend the number, or leave the cell empty",
            )
            return None

    def _within(self, name: str, text: str, value: float, least: float | None, most: float | None) -> float | None:
        if (least is None or value >= least) and (most is None or value <= most):
            return value
        unit = self.sheet.unit(name)
        ends = [f"{unit.from_si(end):.4g}" if unit and end is not None else "" for end in (least, most)]
        expected = f"{ends[0]} to {ends[1]} {unit.text if unit else ''}" if most is not None else f"{ends[0]} or more"
        self.problem(
            "negative-value" if value < 0.0 and least == 0.0 else "out-of-range",
            f'"{name}" is {text}',
            name,
            expected=expected,
            fix="mend the number, or the unit in the head",
        )
        return None
