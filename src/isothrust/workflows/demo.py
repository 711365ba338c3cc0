"""Write the demonstration book: simulated recordings of a survey group that looks for quiet, long-flying propellers."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from isothrust.errors import BookError, Where
from isothrust.tables.atomic import TEMPORARY_SUFFIX, write_bytes, write_text
from isothrust.virtual import demo_file_names, demo_files

__all__ = ["DEMO_MARK", "DemoBook", "write_demo"]

DEMO_MARK: Final = "demo-book.json"
"""File that says that a folder is a demonstration book, and whether all of it was written."""
_EDITION: Final = 2
"""Goes up when the demonstration's files change: an older book is then not mixed with a newer one."""

Progress = Callable[[int, int, str], None]
"""Called with how many files are done, how many there are, and the name of the last."""


@dataclass(frozen=True, slots=True)
class DemoBook:
    """What was written, and what was there already and left alone."""

    root: str
    written: tuple[str, ...]
    kept: tuple[str, ...]


def write_demo(root: str | Path, *, progress: Progress | None = None) -> DemoBook:
    """Write the demonstration book into a folder that is new, empty, or holds a demonstration book already.

    A second time only what is missing is written: a table that was changed in the meantime stays as it is, and a book
    that a killed process left half written is completed.

    Raises
    ------
    BookError
        `folder-not-empty` or `not-a-folder`: nothing in the folder is touched.
    """
    folder = Path(root)
    done = _refuse_foreign(folder)
    names = demo_file_names()
    there = tuple(name for name in names if (folder / name).is_file())
    if done and len(there) == len(names):
        return DemoBook(str(root), (), there)
    folder.mkdir(parents=True, exist_ok=True)
    _mark(folder, complete=False)
    written = []
    for count, (name, content) in enumerate(demo_files(), start=1):
        path = folder / name
        if not path.is_file():
            path.parent.mkdir(parents=True, exist_ok=True)
            write_bytes(path, content)
            written.append(name)
        if progress is not None:
            progress(count, len(names), name)
    _mark(folder, complete=True)
    return DemoBook(str(root), tuple(written), there)


def _refuse_foreign(folder: Path) -> bool:
    """Say whether a whole demonstration book is there; raise where the folder holds anything but one."""
    if folder.exists() and not folder.is_dir():
        raise BookError(
            f"{folder} is a file",
            code="not-a-folder",
            where=Where(str(folder)),
            expected="a folder that is empty, or a name that is free",
            fix="choose another name",
        )
    if not folder.is_dir() or all(path.name.endswith(TEMPORARY_SUFFIX) for path in folder.iterdir()):
        return False
    mark = _read_mark(folder / DEMO_MARK)
    if mark is None:
        raise BookError(
            f"{folder} is not empty and holds no demonstration book of this edition; nothing in it was touched",
            code="folder-not-empty",
            where=Where(str(folder)),
            expected="a folder that is empty, a name that is free, or a book that isothrust demo wrote",
            fix="choose another name",
        )
    return mark


def _read_mark(path: Path) -> bool | None:
    """Return whether the book was written to its end; None where there is no mark, or one of another edition."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):  # No mark, or not ours: the caller refuses the folder.
        return None
    if not isinstance(content, dict) or content.get("edition") != _EDITION:
        return None
    return content.get("complete") is True


def _mark(folder: Path, *, complete: bool) -> None:
    content = {"note": "Written by isothrust demo: simulated, all names invented.", "edition": _EDITION}
    write_text(folder / DEMO_MARK, json.dumps({**content, "complete": complete}, indent=1) + "\n")
