"""A TOML file with the line of each of its keys, so that an error can point at the place."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from isothrust.errors import BookError, IsothrustError, Where

__all__ = ["TomlSource", "read_toml"]

_SECTION = re.compile(r"\s*\[\[?\s*(?P<path>[^\]]+?)\s*\]\]?\s*(?:#.*)?")
_KEY = re.compile(r"""\s*(?P<path>(?:"[^"]*"|'[^']*'|[\w-]+)(?:\s*\.\s*(?:"[^"]*"|'[^']*'|[\w-]+))*)\s*=""")
_WORD = re.compile(r""""([^"]*)"|'([^']*)'|([\w-]+)""")
_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_TWICE = re.compile(r"Cannot (?:declare|overwrite|mutate)|cannot be (?:redefined|overwritten)|[Dd]uplicate", re.ASCII)


@dataclass(frozen=True, slots=True)
class TomlSource:
    """What a TOML file says, and where it says it."""

    shown: str
    """The file's name as people know it: relative to the book."""
    content: Mapping[str, Any]
    lines: Mapping[tuple[str, ...], int]

    def where(self, *path: str) -> Where:
        """Return the place of a key; of the section it would belong to, where the key itself is not written."""
        known = next((path[:depth] for depth in range(len(path), 0, -1) if path[:depth] in self.lines), None)
        return Where(self.shown, None if known is None else self.lines[known], key=".".join(path) or None)


def read_toml(path: Path, shown: str, kind: type[IsothrustError] = BookError) -> TomlSource:
    """Read a TOML file, with or without byte-order mark.

    Raises
    ------
    IsothrustError
        Of the given kind: `missing-file`, `bad-encoding`, `two-entries` (a section or key stands twice) or `bad-toml`.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise kind(f"there is no file {shown}", code="missing-file", where=Where(shown), fix=f"write {shown}") from None
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        raise kind(
            "the file is not UTF-8 text",
            code="bad-encoding",
            where=Where(shown, line),
            expected="text in UTF-8, as every editor can save it",
            fix="save the file as UTF-8",
        ) from None
    try:
        content = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(str(error), shown, kind) from None
    return TomlSource(shown, content, _key_lines(text))


def _not_toml(message: str, shown: str, kind: type[IsothrustError]) -> IsothrustError:
    place = _PLACE.search(message)
    line = int(place["line"]) if place and place["line"] else None
    reason = _PLACE.sub("", message)
    if _TWICE.search(reason):
        return kind(
            f"a section or key stands twice: {reason}",
            code="two-entries",
            where=Where(shown, line),
            expected="each section and each key once; one channel has one section",
            fix="delete one of the two, or join them",
        )
    return kind(
        f"the file does not follow the rules of TOML: {reason}",
        code="bad-toml",
        where=Where(shown, line),
        expected='lines such as  unit = "gf"  under sections such as  [channels.thrust]',
        fix="mend that line: text stands in double quotes, true and false are written small",
    )


def _key_lines(text: str) -> dict[tuple[str, ...], int]:
    lines: dict[tuple[str, ...], int] = {}
    section: tuple[str, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        header = _SECTION.fullmatch(line)
        if header is not None:
            section = _words(header["path"])
            lines.setdefault(section, number)
            continue
        entry = _KEY.match(line)
        if entry is not None:
            lines.setdefault(section + _words(entry["path"]), number)
    return lines


def _words(path: str) -> tuple[str, ...]:
    return tuple(next(part for part in match.groups() if part is not None) for match in _WORD.finditer(path))
