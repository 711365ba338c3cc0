"""What a run's path names: a recording's file, or a sheet, a table or a packed log in one; and the hash of that."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from hashlib import sha256
from pathlib import Path, PurePosixPath

from isothrust.book.hashes import file_sha256
from isothrust.tables.inside import split_inside

__all__ = ["hash_of", "is_recording", "raw_name", "recording_sha256"]


def raw_name(name: str, files: Collection[str]) -> str:
    """Return the file that a run's path names, or names something in, if it is among these; else the path."""
    paths = (name, *(parent.as_posix() for parent in PurePosixPath(name).parents))
    return next((path for path in paths if path in files), name)


def hash_of(name: str, hashes: Mapping[str, str]) -> str:
    """Return the hash of what a run's path names; two sheets of one workbook are not one recording twice."""
    file = raw_name(name, hashes)
    return _with_inner(hashes.get(file, ""), name[len(file) + 1 :])


def recording_sha256(path: str | Path) -> str:
    """Return the same hash of a loose file, or of something in it."""
    file, inner = split_inside(path)
    return _with_inner(file_sha256(file), inner)


def is_recording(path: str | Path) -> bool:
    """Say whether a path names a file, or something in one."""
    return Path(split_inside(path)[0]).is_file()


def _with_inner(digest: str, inner: str) -> str:
    return sha256(f"{digest} {inner}".encode()).hexdigest() if inner and digest else digest
