"""A long file as bytes that are mapped into memory, not copied there: to copy 100 MB costs a third of parsing them."""

from __future__ import annotations

import mmap
import os
from pathlib import Path
from typing import Any, Final, cast

__all__ = ["bytes_of_file", "source_of"]

_LONG: Final = 1 << 24
"""From so many bytes on, a file is mapped."""
_AT_ONCE: Final = 1 << 20
"""Bytes that stay in the processor's cache."""


class _MappedBytes(mmap.mmap):
    """All of a file, with the methods of `bytes`: those that a long plain log needs look at it where it lies.

    Every other method of `bytes` is that of a copy, so that nothing but time hangs on which of the two one has.
    """

    path: str

    def __contains__(self, part: object) -> bool:
        return isinstance(part, bytes) and self.find(part) >= 0

    def __getattr__(self, name: str) -> Any:  # noqa: ANN401
        return getattr(self[:], name)

    def index(self, part: bytes, start: int = 0) -> int:
        place = self.find(part, start)
        if place < 0:
            raise ValueError("subsection not found")
        return place

    def isascii(self) -> bool:
        return all(self[start : start + _AT_ONCE].isascii() for start in range(0, len(self), _AT_ONCE))

    def startswith(self, beginning: bytes) -> bool:
        return self[: len(beginning)] == beginning


def bytes_of_file(path: str | os.PathLike[str]) -> bytes:
    """Return the bytes of a file, mapped where it is long; raises OSError.

    Who shortens a mapped file while it is read ends the program: a log that is still being written only grows.
    """
    with Path(path).open("rb") as stream:
        if os.fstat(stream.fileno()).st_size < _LONG:
            return stream.read()
        mapped = _MappedBytes(stream.fileno(), 0, access=mmap.ACCESS_READ)
    mapped.path = str(Path(path).absolute())
    return cast("bytes", mapped)


def source_of(data: bytes) -> bytes | str:
    """Return what polars is to read: the path of a mapped file, which it maps itself, else the bytes."""
    held: object = data
    return held.path if isinstance(held, _MappedBytes) else data
