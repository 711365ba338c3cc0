"""What a zip archive lists, and the guard before anything is unpacked from one: sizes, ratios, passwords, nesting."""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Sequence
from typing import BinaryIO, Final, NoReturn

from isothrust.errors import LogError, Where
from isothrust.tables.limits import check_expansion, inflated_size

__all__ = ["MAGIC", "check_archive", "listed", "unpack"]

MAGIC: Final = b"PK"
_ENCRYPTED: Final = 0x1
_LOCAL_HEAD: Final = 30
_MOST_MEMBERS: Final = 10_000
_KNOWN: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_FAULTS: Final = (zipfile.BadZipFile, zlib.error, OSError, ValueError, EOFError, NotImplementedError, RuntimeError)
"""What the standard library raises over a damaged archive."""


def listed(stream: BinaryIO) -> dict[str, int]:
    """Return the files that an archive lists with their packed sizes, folders left out; empty where it is damaged."""
    try:
        with zipfile.ZipFile(stream) as archive:
            return {entry.filename: entry.compress_size for entry in archive.infolist() if not entry.is_dir()}
    except _FAULTS:
        return {}


def check_archive(stream: BinaryIO, size: int, file: str, *, only: Sequence[str] | None = None) -> None:
    """Refuse an archive that is damaged, encrypted, or would unpack to more than a recording can be.

    The sizes that an archive states may be a lie, so every packed file is unpacked once and counted, and none of it is
    kept. `only` names the files that will be read.
    """
    entries = _entries(stream, file)
    if len(entries) > _MOST_MEMBERS:
        raise LogError(
            f"the archive lists {len(entries)} files",
            code="expands-too-far",
            where=Where(file),
            expected=f"at most {_MOST_MEMBERS}",
            fix="pack the recording alone",
        )
    wanted = [entry for entry in entries if only is None or entry.filename in only]
    check_expansion(sum(entry.file_size for entry in wanted), size, file)
    total = 0
    for entry in wanted:
        if entry.flag_bits & _ENCRYPTED:
            raise LogError(
                f'"{entry.filename}" in the archive is encrypted',
                code="encrypted-archive",
                where=Where(file),
                expected="an archive without a password",
                fix="unpack it with its password, and pack the recording without one, or not at all",
            )
        if entry.compress_type not in _KNOWN:
            _damaged(f'"{entry.filename}" is packed in a way that is not known', file)
        check_expansion(entry.file_size, entry.compress_size, file)
        if entry.compress_type == zipfile.ZIP_DEFLATED:
            total += _counted(stream, entry, file)
            check_expansion(total, size, file)


def unpack(stream: BinaryIO, member: str, file: str) -> bytes:
    """Return the bytes of one file of an archive that `check_archive` has passed."""
    try:
        with zipfile.ZipFile(stream) as archive:
            return archive.read(member)
    except _FAULTS as failure:
        _damaged(f'"{member}" cannot be unpacked: {failure}', file)


def _entries(stream: BinaryIO, file: str) -> list[zipfile.ZipInfo]:
    try:
        with zipfile.ZipFile(stream) as archive:
            return [entry for entry in archive.infolist() if not entry.is_dir()]
    except _FAULTS as failure:
        _damaged(f"the archive cannot be read: {failure}", file)


def _counted(stream: BinaryIO, entry: zipfile.ZipInfo, file: str) -> int:
    head = b""
    if entry.header_offset >= 0:  # a damaged list may place a file before the archive's own beginning
        stream.seek(entry.header_offset)
        head = stream.read(_LOCAL_HEAD)
    if len(head) < _LOCAL_HEAD or not head.startswith(MAGIC):
        _damaged(f'"{entry.filename}" is not where the archive says', file)
    stream.seek(int.from_bytes(head[26:28], "little") + int.from_bytes(head[28:30], "little"), 1)
    return inflated_size(stream, entry.compress_size, file, wbits=-15)


def _damaged(what: str, file: str) -> NoReturn:
    raise LogError(
        what,
        code="damaged-file",
        where=Where(file),
        expected="a whole zip archive, packed in the usual way",
        fix="copy the file again from where it was recorded",
    )
