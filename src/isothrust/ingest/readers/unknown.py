"""What a file looks like that no reader knows: told in words, so that its owner knows which it is."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Specimen
from isothrust.ingest.readers.delimited import looks_like_text

__all__ = ["refuse_unknown"]

_ZIP: Final = b"PK\x03\x04"
_KNOWN: Final = (
    (b"\xd0\xcf\x11\xe0", "a workbook of the old kind (.xls)", "save it as .xlsx or CSV, and name that file"),
    (b"OggS", "a sound of a format that loses part of it", "record WAV or FLAC"),
    (b"ID3", "a sound of a format that loses part of it", "record WAV or FLAC"),
    (b"Rar!", "an archive that is no zip", "unpack it, and name the recording"),
    (b"7z\xbc\xaf", "an archive that is no zip", "unpack it, and name the recording"),
    (b"%PDF", "a PDF document", "name the recording itself"),
    (b"\x89PNG", "a picture", "name the recording itself"),
    (b"\xff\xd8\xff", "a picture", "name the recording itself"),
    (_ZIP, "a damaged zip archive or workbook", "copy the file again from where it was recorded"),
    (b"SQLite format 3", "a database", "write the table of the recording out as CSV"),
)
_NAME: Final = re.compile(rb"[A-Za-z_][A-Za-z0-9_.()\[\] -]{3,40}")
_NAMES_SHOWN: Final = 4


def refuse_unknown(specimen: Specimen, *, named: bool) -> LogError | None:
    """Return the error of a file that is no text and of no known format; None where it may be a damaged text.

    `named`: its name says that it is of one. Then only what is surely something else is refused here.
    """
    for magic, what, fix in _KNOWN:
        if specimen.beginning.startswith(magic) and not (named and magic == _ZIP):
            return _error(specimen, f"this is {what}", fix)
    if named or not specimen.beginning.strip(b"\x00 \t\r\n") or looks_like_text(specimen.beginning):
        return None
    names = [name.decode("ascii").strip() for name in dict.fromkeys(_NAME.findall(specimen.beginning))]
    names = [name for name in names if (len(name) > 3 and name[1:].islower()) or "." in name or "(" in name]
    told = f", with names such as {', '.join(names[:_NAMES_SHOWN])} in its head" if len(names) > 1 else ""
    kind = "the memory of a logger or a flight controller" if told else "records of bytes"
    what = f"this is no text: {kind} in a binary form of its own{told}"
    return _error(specimen, what, "convert the recording to CSV with the logger's own tool, and name that file")


def _error(specimen: Specimen, what: str, fix: str) -> LogError:
    return LogError(
        f"{Path(specimen.path).name}: {what}",
        code="binary-log",
        where=Where(specimen.path),
        expected="delimited text, XLSX, .ods, Parquet, MATLAB, HDF5, WAV, FLAC, or a zip of one of them",
        fix=fix,
    )
