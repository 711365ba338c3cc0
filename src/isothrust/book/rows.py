"""Rows of records as the bytes of a Parquet file, and back: the same rows give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import polars as pl

from isothrust.book.codec import dtype_of, field_types

__all__ = ["parquet_bytes", "read_rows", "schema_of"]


def schema_of(record: type) -> dict[str, pl.DataType]:
    """Return the columns that hold a record."""
    return {name: dtype_of(hint) for name, hint in field_types(record).items()}


def parquet_bytes(
    rows: Sequence[Mapping[str, Any]], schema: Mapping[str, pl.DataType], metadata: dict[str, str] | None = None
) -> bytes:
    """Return rows as a Parquet file, without time stamps or statistics inside."""
    buffer = io.BytesIO()
    pl.DataFrame(list(rows), schema=schema).write_parquet(
        buffer, compression="zstd", statistics=False, metadata=metadata
    )
    return buffer.getvalue()


def read_rows(path: Path, schema: Mapping[str, pl.DataType]) -> list[dict[str, Any]] | None:
    """Return a file's rows; None where there is none that can be read, or one with other columns."""
    if not path.is_file():
        return None
    try:
        frame = pl.read_parquet(path.read_bytes())
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException):
        return None
    return frame.rows(named=True) if dict(frame.schema) == dict(schema) else None
