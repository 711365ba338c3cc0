"""A look at a log that is too long to read in full: its beginning, and stretches from all along it."""

from __future__ import annotations

import os
import zlib
from pathlib import Path

from isothrust.errors import LogError
from isothrust.tables.decoding import Decoded, decode, read_file
from isothrust.tables.log import LogTable, log_of

__all__ = ["glimpse_log"]

_WHOLE = 1 << 22
"""A file of at most this many bytes is read in full."""
_BEGINNING = 1 << 16
_STRETCHES = 64
_STRETCH = 1 << 15
_INFLATED = 1 << 22
"""Of a compressed file no more than this is looked at, from its beginning."""


def glimpse_log(path: str | os.PathLike[str]) -> LogTable:
    """Open a log as `open_log` does; of a long one only some rows, in their order, whole ones.

    Raises LogError as `open_log` does.
    """
    file = os.fspath(path)
    return log_of(_decoded(Path(path)), file)


def _decoded(path: Path) -> Decoded:
    try:
        size = path.stat().st_size
    except OSError:  # Reading it tells what is wrong, in words.
        size = 0
    if size <= _WHOLE:
        return decode(read_file(path, kind=LogError), file=os.fspath(path), kind=LogError)
    with path.open("rb") as stream:
        beginning = stream.read(_BEGINNING)
        if beginning[:2] == b"\x1f\x8b":
            return decode(_first_inflated(path), file=os.fspath(path), kind=LogError)
        if b"\x00" in beginning:  # UTF-16, which cannot be cut anywhere, or no text: the beginning tells which.
            return decode(beginning, file=os.fspath(path), kind=LogError)
        pieces = [_whole_lines(beginning, first=True)]
        for number in range(_STRETCHES):
            stream.seek(_BEGINNING + (size - _BEGINNING - _STRETCH) * number // (_STRETCHES - 1))
            pieces.append(_whole_lines(stream.read(_STRETCH), first=False))
    return decode(b"".join(pieces), file=os.fspath(path), kind=LogError)


def _whole_lines(piece: bytes, *, first: bool) -> bytes:
    """Return the lines that are whole in a piece of a file; nothing where it holds no end of a line."""
    start = 0 if first else piece.find(b"\n") + 1
    return piece[start : piece.rfind(b"\n") + 1]


def _first_inflated(path: Path) -> bytes:
    """Return the first whole lines of a compressed log."""
    stream = zlib.decompressobj(wbits=31)
    with path.open("rb") as file:
        try:
            text = stream.decompress(file.read(_INFLATED), _INFLATED)
        except zlib.error:  # `decode` tells what is wrong with it.
            return path.read_bytes()
    return _whole_lines(text, first=True)
