"""Writes that a kill or a power cut cannot leave half done."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

__all__ = ["TEMPORARY_SUFFIX", "rename", "write_bytes", "write_text"]

TEMPORARY_SUFFIX = ".part"
"""Ending of the files being written; one that a killed process left behind may be deleted at any time."""


def write_bytes(path: str | os.PathLike[str], data: bytes) -> None:
    """Write `data` to `path`: a reader sees the old content or the new one, never a part of it.

    The temporary file lies in the same folder, so that the rename stays on one file system. It is created with the
    permissions of an ordinary new file; if `path` exists, its permissions are kept.
    """
    target = Path(path)
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(8)}{TEMPORARY_SUFFIX}")
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with os.fdopen(descriptor, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o7777)
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def write_text(path: str | os.PathLike[str], text: str) -> None:
    r"""Write `text` as UTF-8 without byte-order mark and with the line ends it has, as `write_bytes` does."""
    write_bytes(path, text.encode("utf-8"))


def rename(path: str | os.PathLike[str], target: str | os.PathLike[str]) -> None:
    """Give a file another name in its folder, whatever had it: a reader sees one or the other, never neither."""
    Path(path).replace(target)
    _sync_folder(Path(target).parent)


def _sync_folder(folder: Path) -> None:
    # The rename itself lives in the folder; without this it may be lost with the power, though the data is on disk.
    if os.name == "nt":  # Windows cannot open a folder, and needs no such call.
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
