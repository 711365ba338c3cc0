"""The run of tests/logs/truth.py written in every format that is read."""

from __future__ import annotations

import gzip
import io
import zipfile
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import h5py
import numpy as np
import polars as pl
import scipy.io
import soundfile
import xlsxwriter

from logs.truth import HEADS, ROWS, UNITS, reading

__all__ = ["WRITERS", "columns", "csv_text", "hdf5_compound", "matlab_73", "workbook_of", "write_ods"]


def columns() -> dict[str, np.ndarray[Any, np.dtype[np.float64]]]:
    """Return every column as the log has it."""
    return {head: np.array([reading(head, k) for k in range(ROWS)]) for head in HEADS}


def csv_text() -> str:
    lines = [",".join(HEADS), *(",".join(f"{reading(head, k):.4f}" for head in HEADS) for k in range(ROWS))]
    return "\n".join(lines) + "\n"


def _csv(path: Path) -> None:
    path.write_text(csv_text(), encoding="utf-8")


def _gzip(path: Path) -> None:
    path.write_bytes(gzip.compress(csv_text().encode()))


def _zip(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("day 1/r01.csv", csv_text())
        archive.writestr("__MACOSX/day 1/._r01.csv", b"\x00\x05\x16\x07")


def workbook_of(path: Path, sheets: Mapping[str, list[list[Any]]]) -> None:
    """Write a workbook; a cell that begins with `=` is a formula, None is no cell at all."""
    with xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd hh:mm:ss.000"}) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for row, cells in enumerate(rows):
                for column, cell in enumerate(cells):
                    if cell == "=1/0":
                        sheet.write_formula(row, column, cell, None, "#DIV/0!")
                    elif cell is not None:
                        sheet.write(row, column, cell)


def table() -> list[list[Any]]:
    return [list(HEADS), list(UNITS), *([reading(head, k) for head in HEADS] for k in range(ROWS))]


def _xlsx(path: Path) -> None:
    notes = [["Read me"], ["The stand was moved on Tuesday."]]
    workbook_of(path, {"notes": notes, "log": [[], [None, "Run 1"], *([None, *row] for row in table())]})


def write_ods(path: Path, rows: list[list[Any]]) -> None:
    """Write a sheet of the other kind of workbook, as little of it as a spreadsheet program accepts."""

    def cell(value: Any) -> str:
        if isinstance(value, str):
            return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
        return f'<table:table-cell office:value-type="float" office:value="{value!r}"/>'

    body = "".join(f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in rows)
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        kind = "application/vnd.oasis.opendocument.spreadsheet"
        archive.writestr(zipfile.ZipInfo("mimetype"), kind)
        archive.writestr(
            "content.xml",
            f'<?xml version="1.0"?><office:document-content {spaces}><office:body><office:spreadsheet>'
            f'<table:table table:name="log">{body}</table:table></office:spreadsheet></office:body>'
            "</office:document-content>",
        )
        archive.writestr(
            "META-INF/manifest.xml",
            '<?xml version="1.0"?><m:manifest xmlns:m="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f'<m:file-entry m:full-path="/" m:media-type="{kind}"/></m:manifest>',
        )


def _ods(path: Path) -> None:
    write_ods(path, table())


def _parquet(path: Path) -> None:
    pl.DataFrame(columns()).write_parquet(path)


def _matlab(path: Path) -> None:
    scipy.io.savemat(path, {head: values[:, None] for head, values in columns().items()} | {"fs": 100.0})


def _matlab_packed(path: Path) -> None:
    scipy.io.savemat(path, columns(), do_compression=True)


def matlab_73(path: Path, content: Mapping[str, Any]) -> None:
    """Write a MATLAB file of version 7.3: arrays lie transposed, structs are groups, a text block stands before all."""
    with h5py.File(path, "w", userblock_size=512) as file:
        _put_73(file, content)
    with path.open("r+b") as stream:
        stream.write(b"MATLAB 7.3 MAT-file, Platform: GLNXA64".ljust(124) + b"\x00\x02IM")


def _put_73(group: Any, content: Mapping[str, Any]) -> None:
    for name, value in content.items():
        if isinstance(value, Mapping):
            below = group.create_group(name)
            below.attrs["MATLAB_class"] = np.bytes_("struct")
            _put_73(below, value)
        elif isinstance(value, str):
            text = group.create_dataset(name, data=np.array([[ord(sign)] for sign in value], dtype=np.uint16))
            text.attrs["MATLAB_class"] = np.bytes_("char")
        else:
            array = group.create_dataset(
                name, data=np.atleast_2d(np.asarray(value)).T if np.ndim(value) < 2 else value.T
            )
            array.attrs["MATLAB_class"] = np.bytes_("double")


def _matlab_73(path: Path) -> None:
    matlab_73(path, {**columns(), "fs": 100.0, "note": "calm"})


def _hdf5(path: Path) -> None:
    with h5py.File(path, "w") as file:
        for head, values in columns().items():
            file[head] = values
        for head, unit in zip(HEADS, UNITS, strict=True):
            file[head].attrs["units"] = unit


def hdf5_compound(path: Path) -> None:
    """Write a table with named columns in a group."""
    with h5py.File(path, "w") as file:
        rows = np.empty(ROWS, dtype=[(head, "f8") for head in HEADS])
        for head, values in columns().items():
            rows[head] = values
        file.create_dataset("bench/run", data=rows, chunks=True, compression="gzip")


def _wav(path: Path) -> None:
    """Write the readings as a data logger does: floating point, one channel a column, the clock left out."""
    values = np.stack([column for head, column in columns().items() if head != "t"], axis=1)
    soundfile.write(path, values, 100, subtype="DOUBLE", format="WAV")


WRITERS: Final[Mapping[str, tuple[str, Callable[[Path], None]]]] = MappingProxyType(
    {
        "delimited text": ("r.csv", _csv),
        "delimited text, gzip": ("r.csv.gz", _gzip),
        "zip": ("r.zip", _zip),
        "XLSX": ("r.xlsx", _xlsx),
        "OpenDocument": ("r.ods", _ods),
        "Parquet": ("r.parquet", _parquet),
        "MATLAB": ("r.mat", _matlab),
        "MATLAB, packed": ("p.mat", _matlab_packed),
        "MATLAB 7.3": ("q.mat", _matlab_73),
        "HDF5": ("r.h5", _hdf5),
        "HDF5, compound": ("c.h5", hdf5_compound),
        "waveform": ("r.wav", _wav),
    }
)
"""Format -> name of a file and what writes the run into it."""


def stamped(rows: int) -> list[datetime]:
    """Return moments 10 ms apart."""
    return [datetime(2026, 3, 1, 23, 59, 59, 900_000, tzinfo=UTC) + timedelta(milliseconds=10 * k) for k in range(rows)]


def packed(name: str, content: bytes) -> bytes:
    """Return a zip archive with one file."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return buffer.getvalue()
