"""Files that pictures are written to: nothing but an earlier picture of the same thing is ever replaced."""

from __future__ import annotations

from pathlib import Path

from isothrust.errors import UsageError, Where
from isothrust.present.charts.signature import is_chart

__all__ = ["check_free"]


def check_free(path: Path, name: str, *, option: str) -> None:
    """Refuse to write over anything but an earlier picture of that name; `option` is the one that chooses the place.

    Raises
    ------
    UsageError
        `file-in-the-way`.
    """
    if not path.exists() or (path.is_file() and is_chart(path.read_bytes(), name)):
        return
    raise UsageError(
        f"{path} is there already, and is no picture of this chart",
        code="file-in-the-way",
        where=Where(str(path)),
        expected="a new name, or an earlier picture of the same chart",
        fix=f"{option} with another name"
        + (f", or --force to replace {path.name}" if option == "--out" else f", or move {path.name} away"),
    )
