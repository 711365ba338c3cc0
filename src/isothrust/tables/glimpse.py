"""A look at a log that is too long to read in full: its beginning, and stretches from all along it."""

from __future__ import annotations

import os
import zlib
from pathlib import Path

from isothrust.errors import LogError
from isothrust.tables.decoding import Decoded, decode, read_file
from isothrust.tables.log import LogTable, log_of
from isothrust.tables.several import tables_in

__all__ = ["glimpse_log"]

_WHOLE = 1 << 22
"""A file of at most this many bytes is read in full."""
_BEGINNING = 1 << 16
_STRETCHES = 64
_STRETCH = 1 << 15
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


def glimpse_log(path: str | os.PathLike[str]) -> LogTable:
    """Open a log as `open_log` does; of a long one only some rows, in their order, whole ones.

    Of several tables in a file the longest is opened.

    Raises LogError as `open_log` does.
    """
    file = os.fspath(path)
    decoded = _decoded(Path(path))
    several = tables_in(decoded, file)
    return max(several, key=lambda table: len(table.data)) if several else log_of(decoded, file)


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
        text = _inflated(path, size)
    elif b"\x00" not in beginning:
        text = _stretches(path, beginning, size)
    elif beginning[:2] in _UTF16:  # It cannot be cut anywhere.
        text = read_file(path, kind=LogError)
    else:  # No text: its beginning tells as much as all of it.
        text = beginning
    return decode(text, file=os.fspath(path), kind=LogError)


def _stretches(path: Path, beginning: bytes, size: int) -> bytes:
    pieces = [_whole_lines(beginning, first=True)]
    with path.open("rb") as stream:
        for number in range(_STRETCHES):
            stream.seek(_BEGINNING + (size - _BEGINNING - _STRETCH) * number // (_STRETCHES - 1))
            pieces.append(_whole_lines(stream.read(_STRETCH), first=False))
    return b"".join(pieces)


def _inflated(path: Path, size: int) -> bytes:
    """Return the beginning of a compressed log, and the lines at the beginning of each of as many equal parts.

    Its end is seen only as far as the last part's beginning, and a damaged file as far as it is whole.
    """
    pieces: list[bytes] = []
    inflater = zlib.decompressobj(wbits=31)
    with path.open("rb") as stream:
        while compressed := stream.read(size // _STRETCHES + 1):
            try:
                block = inflater.decompress(compressed)
                while inflater.eof and inflater.unused_data:  # Several streams in one file, as some loggers write them.
                    rest, inflater = inflater.unused_data, zlib.decompressobj(wbits=31)
                    block += inflater.decompress(rest)
            except zlib.error:
                break
            length = _STRETCH if pieces else _BEGINNING
            pieces.append(_whole_lines(block[:length], first=not pieces))
    return b"".join(pieces)


def _whole_lines(piece: bytes, *, first: bool) -> bytes:
    """Return the lines that are whole in a piece of a file; nothing where it holds no end of a line."""
    start = 0 if first else piece.find(b"\n") + 1
    return piece[start : piece.rfind(b"\n") + 1]
