"""What every reader of a format says of a file, and what it gives: named tables, as text or as columns of numbers."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from pathlib import Path
from types import MappingProxyType
from typing import BinaryIO, Protocol

from isothrust.tables.log import LogTable

__all__ = ["Claim", "Contents", "NamedTable", "Reader", "Specimen"]


class Claim(IntEnum):
    """How sure a reader is that a file is of its format."""

    NONE = 0
    NAME = 1
    """The name's ending says so, and nothing that was seen speaks against it."""
    LIKELY = 2
    """The content can be read so, and perhaps as something else too."""
    CONTENT = 3
    """The content says so by itself."""


@dataclass(frozen=True, slots=True)
class Specimen:
    """A file as it is held before every reader: its name, its first bytes, and what an archive lists."""

    path: str
    """Of the file on disk; of a file in an archive the archive's, then `/`, then its name there."""
    beginning: bytes
    """The first few kilobytes."""
    size: int
    members: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    """Names in a zip archive -> size in it, compressed; none where the file is no such archive."""
    data: bytes | None = None
    """All of the file, where it does not lie on the disk by itself."""

    @property
    def name(self) -> str:
        """Name without folders, in small letters."""
        return Path(self.path).name.casefold()

    def open(self) -> BinaryIO:
        """Return the file's bytes as a stream."""
        return Path(self.path).open("rb") if self.data is None else io.BytesIO(self.data)


@dataclass(frozen=True, slots=True)
class NamedTable:
    """One table of a file."""

    name: str
    """By which it can be asked for; empty where the file is one table."""
    table: LogTable
    blocks: tuple[LogTable, ...] = ()
    """The same cells as tables side by side, where blank columns part them; none or at least two."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What is in a file."""

    tables: tuple[NamedTable, ...]
    skipped: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    """Name of what is in the file and cannot be read as a table -> why."""


class Reader(Protocol):
    """The reader of one format."""

    @property
    def name(self) -> str:
        """Of the format, in words."""
        ...

    def claim(self, specimen: Specimen) -> Claim:
        """Say whether a file is of this format; cheap, and blind to what other readers say."""
        ...

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the tables of a file; `wanted` names the only one of interest, empty where all are.

        Raises LogError with what, where, expected and fix.
        """
        ...
