"""Delimited text, plain or packed with gzip: what most loggers write. Also the reader of last resort."""

from __future__ import annotations

import zlib
from pathlib import Path
from typing import Final

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Claim, Contents, NamedTable, Specimen
from isothrust.tables.decoding import Decoded, decode, decode_file
from isothrust.tables.limits import LONGEST_LINE, MOST_COLUMNS, too_many_columns
from isothrust.tables.log import log_of
from isothrust.tables.several import tables_in
from isothrust.tables.sidebyside import blocks_beside

__all__ = ["Delimited", "decoded_text", "looks_like_text"]

_GZIP: Final = b"\x1f\x8b"
_USUAL: Final = 1 << 16
"""Bytes in which a log usually has many lines."""
_ONE_END: Final = bytes.maketrans(b"\r", b"\n")
_NAMES: Final = (".csv", ".tsv", ".txt", ".dat", ".log", ".asc", ".json", ".jsonl", ".ndjson")
_CONTROLS: Final = bytes(byte for byte in range(32) if byte not in b"\t\n\r\x0b\x0c\x1a\x1b")
_DELIMITERS: Final = (b",", b";", b"\t", b"|")


class Delimited:
    """The reader of delimited text."""

    name = "delimited text"

    def claim(self, specimen: Specimen) -> Claim:
        """Return LIKELY for what reads as text, also within gzip."""
        beginning = specimen.beginning
        if beginning.startswith(_GZIP):
            beginning = _unpacked(beginning)
        if looks_like_text(beginning):
            return Claim.LIKELY
        return Claim.NAME if specimen.name.removesuffix(".gz").endswith(_NAMES) else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the tables of a text: several where heads of their own stand above each."""
        decoded = decoded_text(specimen)
        several = tables_in(decoded, specimen.path, whole=bool(wanted))
        if several:
            return Contents(tuple(NamedTable(Path(table.file).name, table) for table in several))
        table = log_of(decoded, specimen.path)
        return Contents((NamedTable("", table, blocks_beside(table)),))


def decoded_text(specimen: Specimen) -> Decoded:
    """Return a file as text; raises LogError as `decode` does, line-too-long and too-many-columns."""
    check_lines(specimen)
    if specimen.data is None:
        decoded = decode_file(specimen.path, kind=LogError)
    else:
        decoded = decode(specimen.data, file=specimen.path, kind=LogError)
    for start in range(LONGEST_LINE, len(decoded.data) - LONGEST_LINE, LONGEST_LINE):
        if decoded.data.find(b"\n", start, start + LONGEST_LINE) < 0:
            raise _too_long(specimen, f"has no end of a line for {LONGEST_LINE >> 20} MB from byte {start} on")
    return decoded


def looks_like_text(beginning: bytes) -> bool:
    """Say whether the first bytes of a file are text; a tail of NUL bytes is what a logger without power leaves."""
    text = beginning.rstrip(b"\x00")
    if not text:
        return False
    if text[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return True
    for odd in (1, 0):  # UTF-16 without a mark: a NUL in nearly every other byte, and none in the others
        if text[odd::2].count(0) > 0.9 * (len(text) // 2) > 0 and text[1 - odd :: 2].count(0) == 0:
            return True
    return 200 * (len(text) - len(text.translate(None, _CONTROLS))) <= len(text)


def check_lines(specimen: Specimen) -> None:
    """Refuse by its beginning what is text, but no log: a line without end, more columns than any bench has."""
    with specimen.open() as stream:
        beginning = stream.read(_USUAL)
        if beginning.startswith(_GZIP) or not beginning.strip(b"\r\n").translate(_ONE_END).count(b"\n"):
            beginning += stream.read(LONGEST_LINE - _USUAL)
    if beginning.startswith(_GZIP):
        beginning = _unpacked(beginning, LONGEST_LINE)
    line, end, _ = beginning.replace(b"\r", b"\n").lstrip(b"\n").partition(b"\n")
    if not looks_like_text(line[:4096]):
        return  # why it is none is told better by who decodes it
    if not end and len(beginning) >= LONGEST_LINE:
        raise _too_long(specimen, f"has no end of a line within its first {LONGEST_LINE >> 20} MB")
    columns = 1 + max(line.count(sign) for sign in _DELIMITERS)
    if columns > MOST_COLUMNS:
        raise too_many_columns(columns, specimen.path)


def _too_long(specimen: Specimen, what: str) -> LogError:
    return LogError(
        f'"{Path(specimen.path).name}" {what}',
        code="line-too-long",
        where=Where(specimen.path),
        expected="a row of readings a line",
        fix="look at the file: the line ends may have been lost when it was copied",
    )


def _unpacked(packed: bytes, most: int = 4096) -> bytes:
    try:
        return zlib.decompressobj(wbits=31).decompress(packed, most)
    except zlib.error:
        return b""
