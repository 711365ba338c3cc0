"""Paths that go on behind a file's name, and so name something in it: `day1.zip/r01.csv`, `trials.xlsx/trial 3`."""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["file_of", "split_inside"]


def split_inside(path: str | os.PathLike[str]) -> tuple[str, str]:
    """Return the file of a path, and what is named in it; nothing is named where the path itself is a file, or none is.

    Examples
    --------
    >>> split_inside("no such file.csv")
    ('no such file.csv', '')
    """
    whole = Path(path)
    if not whole.is_file():
        for parent in whole.parents:
            if parent.is_file():
                return os.fspath(parent), whole.relative_to(parent).as_posix()
            if parent.is_dir():
                break
    return os.fspath(path), ""


def file_of(folder: str | os.PathLike[str], name: str) -> str:
    """Return which file under a folder a name means, as a name under that folder: the part of it that is a file."""
    file, inner = split_inside(Path(folder) / name)
    return name if not inner else Path(file).relative_to(folder).as_posix()
