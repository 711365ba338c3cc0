"""Named arrays of a file made tables: those of one length stand together, whatever has no place in a table is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Contents, NamedTable, Specimen
from isothrust.ingest.readers.numeric import NumericColumn, numeric_table
from isothrust.tables.heads import Head

__all__ = ["Found", "Vector"]

_Array = NDArray[np.generic]
_LONGEST_NOTE = 200


@dataclass(frozen=True, slots=True)
class Vector:
    """One column of readings."""

    head: str
    rows: int
    read: Callable[[], _Array]
    """Returns the readings (rows,): numbers, or texts."""
    kind: np.dtype[np.generic]
    unit: str | None = None
    group: str = ""
    """What it must share with others to stand in one table with them, besides the length."""

    @property
    def is_text(self) -> bool:
        """Say whether it holds texts."""
        return self.kind.kind in "SUO"


@dataclass(slots=True)
class Found:
    """What was found in a file so far."""

    vectors: list[Vector] = field(default_factory=list)
    skipped: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def note(self, name: str, value: object) -> None:
        """Keep a single value or text."""
        text = " ".join(str(value).split())
        if text:
            self.notes.append(f"{name} = {text[:_LONGEST_NOTE]}")

    def add(self, name: str, shape: tuple[int, ...], kind: np.dtype[np.generic], read: Callable[[], _Array]) -> None:
        """Take over an array: as a vector, as the columns of a table, or as something that is told to be neither."""
        sized = tuple(length for length in shape if length != 1)
        if kind.kind not in "biufSU":
            self.skipped[name] = f"holds {kind} and no real numbers"
        elif 0 in shape:
            self.skipped[name] = "is empty"
        elif len(sized) > 2:
            self.skipped[name] = (
                f"has {len(sized)} dimensions ({' x '.join(map(str, shape))}): which are rows is not told"
            )
        elif not sized:
            self.note(name, np.asarray(read()).reshape(-1)[0])
        elif len(sized) == 1:
            self.vectors.append(Vector(name, sized[0], lambda: np.asarray(read()).reshape(-1), kind))
        else:
            self._matrix(name, sized, kind, read)

    def _matrix(
        self, name: str, shape: tuple[int, ...], kind: np.dtype[np.generic], read: Callable[[], _Array]
    ) -> None:
        """Take over the columns of a matrix; where it is wider than tall its rows are the readings of one quantity."""
        rows = max(shape)
        tall = shape[0] == rows
        for place in range(min(shape)):
            head = f"{name}(:,{place + 1})" if tall else f"{name}({place + 1},:)"

            def column(place: int = place) -> _Array:
                whole = np.asarray(read()).reshape(shape)
                return whole[:, place] if tall else whole[place]

            self.vectors.append(Vector(head, rows, column, kind))

    def contents(self, specimen: Specimen, words: str) -> Contents:
        """Return the tables of what was found; raise LogError where there is none."""
        together: dict[tuple[str, int], list[Vector]] = {}
        for vector in self.vectors:
            together.setdefault((vector.group, vector.rows), []).append(vector)
        if not together:
            reasons = "; ".join(f"{name} {why}" for name, why in list(self.skipped.items())[:5])
            raise LogError(
                f"the {words} file holds no column of readings" + (f": {reasons}" if reasons else ""),
                code="not-a-table",
                where=Where(specimen.path),
                expected="vectors of one length, one a channel, or a table with named columns",
                fix="write each channel into the file as a vector of numbers",
            )
        names = _names(together)
        tables = []
        for name, ((_, rows), vectors) in zip(names, together.items(), strict=True):
            file = specimen.path if len(together) == 1 else f"{specimen.path}, {name}"
            cells, columns = _VectorCells(tuple(vectors)), [_column(vector) for vector in vectors]
            tables.append(NamedTable(name, numeric_table(file, columns, rows, cells, words=words, notes=self.notes)))
        return Contents(tuple(tables), dict(self.skipped))


def _column(vector: Vector) -> NumericColumn:
    head = Head(vector.head, vector.head, vector.unit) if vector.unit else Head.of_log(vector.head)
    return NumericColumn(head, vector.is_text, 1.0 if vector.kind.kind in "iu" else None)


def _names(together: Mapping[tuple[str, int], list[Vector]]) -> list[str]:
    """Return what each table is called: what all its heads begin with, where no other table is called so."""
    said = [group or _beginning([each.head for each in vectors]) for (group, _), vectors in together.items()]
    return [
        name if name and said.count(name) == 1 else (f"{name}, " if name else "") + f"{rows} rows"
        for name, (_, rows) in zip(said, together, strict=True)
    ]


def _beginning(heads: list[str]) -> str:
    parts = [head.split(".") for head in heads]
    if len(parts) == 1:
        return heads[0]
    shared = [level[0] for level in zip(*parts, strict=False) if len(set(level)) == 1]
    return ".".join(shared)


@dataclass(frozen=True, slots=True)
class _VectorCells:
    vectors: tuple[Vector, ...]

    def numbers(self, column: int) -> NDArray[np.float64]:
        """Return a column as numbers; a text becomes one where it can be read as one."""
        vector = self.vectors[column]
        if vector.is_text:
            return np.array(self.texts(column).cast(pl.Float64, strict=False).to_numpy(), dtype=np.float64)
        return np.array(vector.read(), dtype=np.float64)

    def texts(self, column: int) -> pl.Series:
        """Return a column as text."""
        values = self.vectors[column].read()
        plain = [each.decode("utf-8", "replace") if isinstance(each, bytes) else str(each) for each in values.tolist()]
        return pl.Series(plain, dtype=pl.String)
