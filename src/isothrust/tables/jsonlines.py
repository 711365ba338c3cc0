"""One JSON object a line: the keys are the heads, an object inside an object gives heads such as `cell.left`."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from typing import Any, Final

from isothrust.errors import LogError, Where
from isothrust.tables.recast import MARK, Recast, as_cell, recast_of

__all__ = ["json_lines"]

_PROBED: Final = 1 << 16
_DEEPEST: Final = 4
_MOST: Final = 4096
"""Keys of a log, at most."""


def json_lines(data: bytes, file: str) -> Recast | None:
    """Return a log of JSON objects as a table, or None where its first lines are none.

    A line that cannot be read stays as it is, in a single cell: it is then one of the ragged rows.

    Raises LogError with the code too-many-columns.
    """
    if data[:_PROBED].lstrip(b" \t\r\n[")[:1] != b"{":
        return None
    beginning = data[:_PROBED].decode("utf-8", errors="replace").split("\n")
    tried = [_object(line) for line in beginning[:-1] or beginning if line.strip(" \t\r[],")][:3]
    if not tried or None in tried:
        return None
    text = data.decode("utf-8", errors="replace")
    places: dict[str, int] = {}
    rows = list(_rows(text, places, file))
    heads = MARK.join(as_cell(key) or "-" for key in places)
    width = len(places)
    # One cell more than its last filled one tells a row of the table from a line that could not be read.
    written = [(line, row + MARK * (width - cells) if cells else row) for line, cells, row in rows]
    return recast_of([(written[0][0], heads), *written], "one JSON object a line", ended=_ended(text))


def _rows(text: str, places: dict[str, int], file: str) -> Iterator[tuple[int, int, str]]:
    """Yield line, number of cells and cells of each row; no cells where the line could not be read."""
    for number, line in enumerate(text.split("\n"), 1):
        bare = line.strip(" \t\r")
        if bare in {"", "[", "]"}:
            continue
        found = _object(line)
        if found is None:
            yield number, 0, as_cell(bare)
            continue
        for key, _ in found:
            places.setdefault(sys.intern(key), len(places))
        if len(places) > _MOST:
            raise _too_many(file, number)
        cells = [""] * len(places)
        for key, value in found:
            cells[places[key]] = value
        yield number, len(cells), MARK.join(cells)


def _object(line: str) -> list[tuple[str, str]] | None:
    """Return keys and cells of an object; None where the line is none."""
    bare = line.strip(" \t\r").removeprefix("[").removesuffix("]").rstrip(", ")
    if not bare.startswith("{"):
        return None
    try:
        found = json.loads(bare, parse_float=str, parse_int=str, parse_constant=str)
    except (ValueError, RecursionError):
        return None
    return list(_flat("", found, 0)) if isinstance(found, dict) and found else None


def _flat(name: str, value: Any, depth: int) -> Iterator[tuple[str, str]]:  # noqa: ANN401
    if isinstance(value, dict | list) and depth < _DEEPEST:
        # Positions count from 1, as they do in a rig file.
        inner = value.items() if isinstance(value, dict) else ((str(k), each) for k, each in enumerate(value, 1))
        for key, each in inner:
            yield from _flat(f"{name}.{key}" if name else key, each, depth + 1)
    elif isinstance(value, bool):
        yield name, str(int(value))
    else:
        yield name, "" if value is None else as_cell(str(value))


def _ended(text: str) -> bool:
    """Say whether the last object is whole."""
    return text.rstrip(" \t\r\n],").endswith("}")


def _too_many(file: str, line: int) -> LogError:
    return LogError(
        f"the objects have more than {_MOST} different keys",
        code="too-many-columns",
        where=Where(file, line),
        expected="the same few keys in every line",
        fix="look at the file: a reading or a stamp may have been written as a key",
    )
