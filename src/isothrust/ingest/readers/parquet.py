"""Parquet: columns of numbers with names, read one at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Claim, Contents, NamedTable, Specimen
from isothrust.ingest.readers.numeric import NumericColumn, check_room, numeric_table
from isothrust.tables.heads import Head

__all__ = ["Parquet"]

_MAGIC: Final = b"PAR1"


class Parquet:
    """The reader of Parquet files."""

    name = "Parquet"

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT for the magic word."""
        if specimen.beginning.startswith(_MAGIC):
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith((".parquet", ".pq")) else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the one table of the file; columns that hold lists or records are skipped with the reason."""
        del wanted
        try:
            schema = pl.read_parquet_schema(specimen.path if specimen.data is None else specimen.open())
            rows = int(_scan(specimen).select(pl.len()).collect().item())
        except (pl.exceptions.PolarsError, OSError) as failure:
            raise LogError(
                f"the Parquet file cannot be read: {failure}",
                code="damaged-file",
                where=Where(specimen.path),
                expected="a whole Parquet file",
                fix="copy the file again from where it was recorded",
            ) from None
        skipped = {name: f"holds {kind} and no numbers" for name, kind in schema.items() if _use(kind) == "none"}
        names = [name for name in schema if name not in skipped]
        if not names or not rows:
            raise LogError(
                "the Parquet file holds no column of numbers" if rows else "the Parquet file holds no row",
                code="not-a-table",
                where=Where(specimen.path),
                expected="columns of numbers, one a channel",
                fix="write the channels into the file, one column each",
            )
        check_room(rows, 1, specimen.size, specimen.path)
        cells = _ParquetCells(specimen, tuple(names), tuple(schema[name] for name in names))
        columns = [
            NumericColumn(Head.of_log(name), _use(kind) == "words", 1.0 if kind.is_integer() else None)
            for name, kind in ((name, schema[name]) for name in names)
        ]
        table = numeric_table(specimen.path, columns, rows, cells, words="Parquet")
        return Contents((NamedTable("", table),), skipped)


@dataclass(frozen=True, slots=True)
class _ParquetCells:
    specimen: Specimen
    names: tuple[str, ...]
    kinds: tuple[pl.DataType, ...]

    def numbers(self, column: int) -> NDArray[np.float64]:
        """Return a column as numbers."""
        kind, series = self.kinds[column], self._read(column)
        if kind.is_temporal():
            series = series.cast(pl.Int64, strict=False)
        return np.array(series.cast(pl.Float64, strict=False).to_numpy(), dtype=np.float64)

    def texts(self, column: int) -> pl.Series:
        """Return a column as text, moments as ISO 8601."""
        kind, series = self.kinds[column], self._read(column)
        if isinstance(kind, pl.Datetime):
            return series.dt.to_string("%Y-%m-%dT%H:%M:%S%.9f")
        if isinstance(kind, pl.Time):
            return series.dt.to_string("%H:%M:%S%.9f")
        return series.cast(pl.String)

    def _read(self, column: int) -> pl.Series:
        return _scan(self.specimen).select(self.names[column]).collect().to_series()


def _scan(specimen: Specimen) -> pl.LazyFrame:
    return pl.scan_parquet(specimen.path if specimen.data is None else specimen.open(), glob=False)


def _use(kind: pl.DataType) -> str:
    """Return what a column of this type is of use for: 'numbers', 'words' or 'none'."""
    if kind.is_numeric() or isinstance(kind, pl.Boolean | pl.Duration | pl.Null):
        return "numbers"
    return "words" if isinstance(kind, pl.Datetime | pl.Time | pl.Date | pl.String | pl.Categorical) else "none"
