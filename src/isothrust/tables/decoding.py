"""From the bytes of a file to text: compression, encoding, line ends, and what is no text at all."""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from isothrust.errors import IsothrustError, LogError, Where
from isothrust.tables.limits import check_expansion
from isothrust.tables.mapped import bytes_of_file

__all__ = ["Decoded", "decode", "decode_file", "read_file"]

_SAMPLE = 65536
_PIECE = 1 << 20
_UNPACKED_AT_ONCE = 1 << 23
_KEPT = 1 << 25
_SAVE_SHEET = "save the sheet as CSV (comma or semicolon) and name that file"
_WRITE_CHANNELS = "write the channels out as CSV, one column each, and name that file"
_KNOWN_BINARY = (
    (b"PK\x03\x04", "a workbook or another zip archive", _SAVE_SHEET),
    (b"\xd0\xcf\x11\xe0", "an old workbook", _SAVE_SHEET),
    (b"MATLAB 5.0", "a MATLAB file", _WRITE_CHANNELS),
    (b"\x89HDF", "an HDF5 file", _WRITE_CHANNELS),
    (b"PAR1", "a Parquet file", _WRITE_CHANNELS),
    (b"RIFF", "a waveform or other RIFF file", "name it under sound or vibration in runs.csv, not as a table"),
)
_CONTROLS = bytes(byte for byte in range(32) if byte not in b"\t\n\r\x0b\x0c\x1a\x1b")
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe\x00\x00", "utf-32-le"),
    (b"\x00\x00\xfe\xff", "utf-32-be"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)


@dataclass(frozen=True, slots=True)
class Decoded:
    """Text of a file as UTF-8 bytes with line ends of one kind (LF or CR LF), and how it came to be."""

    data: bytes
    encoding: str
    """In words: 'utf-8', 'utf-8 with byte-order mark', 'utf-16-le', 'cp1252', …, followed by ', gzip' if compressed."""
    cut: bool
    """True where the file breaks off inside a compressed stream or ends in a run of NUL bytes."""


def read_file(path: str | os.PathLike[str], *, kind: type[IsothrustError]) -> bytes:
    """Return the bytes of a file; raise `kind` with the code missing-file or unreadable-file."""
    try:
        return bytes_of_file(path)
    except FileNotFoundError:
        raise kind(
            f'there is no file "{Path(path).name}"',
            code="missing-file",
            where=Where(os.fspath(path)),
            expected="an existing file",
            fix="copy the file there, or correct its name where it is referred to",
        ) from None
    except OSError as failure:
        raise kind(
            f'"{Path(path).name}" cannot be read: {failure.strerror or failure}',
            code="unreadable-file",
            where=Where(os.fspath(path)),
            expected="a readable file, not a folder",
            fix="check the name and the permissions",
        ) from None


def decode_file(path: str | os.PathLike[str], *, kind: type[IsothrustError]) -> Decoded:
    """Read and decode a file; see `decode`."""
    return decode(read_file(path, kind=kind), file=os.fspath(path), kind=kind)


def decode(data: bytes, *, file: str, kind: type[IsothrustError]) -> Decoded:
    """Return the text of `data` as UTF-8.

    gzip is undone (a stream that breaks off gives what it holds so far); byte-order marks, UTF-16 and UTF-32 are
    honoured; what is not UTF-8 is taken for Windows code page 1252, in which every degree sign of a bench log is right.

    Raises `kind` with the code empty-log, binary-log, expands-too-far or damaged-gzip (empty-table, binary-table where
    no log is read).
    """
    cut, suffix = False, ""
    if data[:2] == b"\x1f\x8b":
        data, cut = _inflated(data, file, kind)
        suffix = ", gzip"
    _refuse_known_binary(data, file, kind)
    text, encoding = _as_utf8(data)
    if text[-64:].endswith(b"\x00"):
        # A logger that lost its power leaves the allocated rest of the card's block empty.
        text, cut = text.rstrip(b"\x00"), True
    if not text[:_SAMPLE].strip() and not text.strip():
        raise _empty(data, file, kind)
    _refuse_control_characters(text, file, kind)
    return Decoded(_plain_line_ends(text), encoding + suffix, cut)


def _noun(kind: type[IsothrustError]) -> str:
    return "log" if kind is LogError else "table"


def _empty(data: bytes, file: str, kind: type[IsothrustError]) -> IsothrustError:
    log = kind is LogError
    return kind(
        "the file holds nothing but blanks" if data else "the file is empty",
        code=f"empty-{_noun(kind)}",
        where=Where(file),
        expected="rows of numbers" if log else "a first row with the names of the columns",
        fix="record the run again, or take the run that names this file out of runs.csv"
        if log
        else "write the head row, or delete the file",
    )


def _inflated(data: bytes, file: str, kind: type[IsothrustError]) -> tuple[bytes, bool]:
    """Return what gzip streams, one behind the other, unpack to, and whether the last of them breaks off."""
    parts: list[bytes] = []
    size, generous = 0, max(_KEPT, 10 * len(data))

    def keep(piece: bytes) -> None:
        nonlocal size
        size += len(piece)
        check_expansion(size, len(data), file, kind)
        # What grows far beyond the file is counted to its end before it is kept: a bomb must not fill the memory.
        if size <= generous:
            parts.append(piece)
        else:
            parts.clear()

    try:
        cut = _each_piece(data, keep)
        if size > generous:
            _each_piece(data, parts.append)
    except zlib.error as failure:
        raise kind(
            f"the compressed file is damaged: {failure}",
            code="damaged-gzip",
            where=Where(file),
            expected="a gzip file that decompresses",
            fix="copy the file again from where it was recorded",
        ) from None
    return b"".join(parts), cut


def _each_piece(data: bytes, take: Callable[[bytes], None]) -> bool:
    """Hand over what gzip streams unpack to, piece by piece; return whether the last of them breaks off."""
    view, place = memoryview(data), 0
    while data[place : place + 2] == b"\x1f\x8b":
        stream = zlib.decompressobj(wbits=31)
        while not stream.eof and place < len(data):
            piece: bytes | memoryview = view[place : place + _PIECE]
            place += len(piece)
            while piece:
                take(stream.decompress(piece, _UNPACKED_AT_ONCE))
                piece = stream.unconsumed_tail
        if not stream.eof:
            return True
        place -= len(stream.unused_data)
    return False


def _refuse_known_binary(data: bytes, file: str, kind: type[IsothrustError]) -> None:
    for magic, name, fix in _KNOWN_BINARY:
        if data.startswith(magic):
            raise kind(
                f"this is {name}, not a table of text",
                code=f"binary-{_noun(kind)}",
                where=Where(file),
                expected="delimited text (comma, semicolon, tab, bar or blanks), plain or gzip",
                fix=fix,
            )


def _as_utf8(data: bytes) -> tuple[bytes, str]:
    for mark, name in _MARKS:
        if data.startswith(mark):
            body = data[len(mark) :]
            if name == "utf-8":
                return _checked_utf8(body, " with byte-order mark")
            return body.decode(name, errors="replace").encode("utf-8"), name
    head = data[:_SAMPLE]
    # Plain text in UTF-16 without a mark has a NUL in nearly every other byte.
    for odd, name in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(head) >= 4 and head[odd::2].count(0) > 0.9 * (len(head) // 2) and head[1 - odd :: 2].count(0) == 0:
            return data.decode(name, errors="replace").encode("utf-8"), name
    return _checked_utf8(data, "")


def _checked_utf8(data: bytes, suffix: str) -> tuple[bytes, str]:
    if data.isascii():
        return data, "utf-8" + suffix
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        # Five byte values mean nothing in code page 1252: they become U+FFFD and spoil their own cell only.
        return data.decode("cp1252", errors="replace").encode("utf-8"), "cp1252"
    return data, "utf-8" + suffix


def _refuse_control_characters(text: bytes, file: str, kind: type[IsothrustError]) -> None:
    sample = text[:_SAMPLE]
    controls = len(sample) - len(sample.translate(None, _CONTROLS))
    if controls * 200 > len(sample):
        raise kind(
            f"this is no text: {100 * controls / len(sample):.0f} % of its first bytes are control characters",
            code=f"binary-{_noun(kind)}",
            where=Where(file),
            expected="delimited text (comma, semicolon, tab, bar or blanks), plain or gzip",
            fix="convert the recording to CSV with the logger's own tool, and name that file",
        )


def _plain_line_ends(text: bytes) -> bytes:
    if b"\r" not in text or text.count(b"\r") == text.count(b"\r\n"):
        return text
    return text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
