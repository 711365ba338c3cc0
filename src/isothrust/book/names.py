"""Names of runs, designs and campaigns: they become file names and words on the command line."""

from __future__ import annotations

import re
from collections.abc import Callable

__all__ = ["Once", "bad_name", "bad_raw_path"]

_FORBIDDEN = re.compile(r'[\x00-\x1f\x7f/\\:*?"<>|]')
_RESERVED = frozenset({"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))})


def bad_name(name: str) -> str | None:
    """Say why a name cannot be a file's name on every system, None where it can.

    Examples
    --------
    >>> bad_name("7x4 no. 2") is None
    True
    >>> bad_name("7/4")
    'it holds "/"'
    """
    found = _FORBIDDEN.search(name)
    if found:
        return f'it holds "{found[0]}"' if found[0].isprintable() else "it holds a control character"
    if name.startswith(".") or name.endswith((".", " ")):
        return "it begins or ends with a point"
    return "it is reserved by an operating system" if name.split(".", maxsplit=1)[0].casefold() in _RESERVED else None


def bad_raw_path(path: str) -> str | None:
    """Say why a path cannot lie under raw/, None where it can."""
    parts = path.split("/")
    if path.startswith("/") or ":" in parts[0]:
        return "it begins at the root of a disk"
    return "it climbs out of raw/" if ".." in parts else None


class Once:
    """Reports a name that comes a second time, by other letters' case included: some disks do not tell them apart."""

    def __init__(self) -> None:
        self._lines: dict[str, tuple[str, int]] = {}

    def check(self, name: str, line: int, tell: Callable[[str], None]) -> bool:
        """Say whether the name is new; else call `tell` with what is wrong."""
        earlier = self._lines.setdefault(name.casefold(), (name, line))
        if earlier == (name, line):
            return True
        same = "" if earlier[0] == name else f' (as "{earlier[0]}", which some disks cannot tell from it)'
        tell(f'"{name}" stands in line {earlier[1]} already{same}')
        return False
