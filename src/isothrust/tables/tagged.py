"""Rows of several sources in one file, each source's rows as a table of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from isothrust.errors import LogError, Where
from isothrust.tables.cells import split_row
from isothrust.tables.decoding import Decoded
from isothrust.tables.dialect import is_comment
from isothrust.tables.log import LogTable, recast_log
from isothrust.tables.nearest import nearest_first
from isothrust.tables.recast import Recast
from isothrust.tables.tags import PLACES, delimiters_of, is_tag, sample_of

__all__ = ["tagged_tables"]


def tagged_tables(decoded: Decoded, file: str, tags: Collection[str]) -> dict[str, LogTable]:
    """Return the rows of each of some tags as a table of its own; positions count all cells, the tag among them.

    Raises LogError with the code no-such-tag, and as `log_of` does.
    """
    data = decoded.data
    lines = data.split(b"\n")
    texts = [line.decode("utf-8", errors="replace").rstrip("\r") for line in lines]
    delimiter, place = _place(sample_of(data), tags)
    rows = [split_row(text, delimiter) if text.strip() and not is_comment(text) else [] for text in texts]
    held = [row[place] if len(row) > place else "" for row in rows]
    seen = Counter(tag for tag in held if tag and is_tag(tag))
    head = next((k for k, row in enumerate(rows) if _is_shared_head(row, place, seen)), None)
    tables = {}
    for tag in tags:
        kept = [k for k, cell in enumerate(held) if cell == tag]
        if not kept:
            raise _no_such_tag(tag, seen, file, place)
        top = [head] if head is not None and head < kept[0] else []
        part = Recast(
            b"\n".join(lines[k] for k in [*top, *kept]) + b"\n", np.array([*top, *kept], dtype=np.int64) + 1, ""
        )
        tables[tag] = replace(recast_log(part, replace(decoded, data=part.data), f"{file}/{tag}"), tag=tag)
    return tables


def _place(lines: Sequence[str], tags: Collection[str]) -> tuple[str, int]:
    """Return delimiter and column in which the tags stand most often."""
    found = Counter[tuple[str, int]]()
    for delimiter in delimiters_of(lines):
        for line in lines:
            for place, cell in enumerate(split_row(line, delimiter)[:PLACES]):
                if cell in tags:
                    found[delimiter, place] += 1
    best = found.most_common(1)
    return best[0][0] if best else ((delimiters_of(lines) or [","])[0], 0)


def _is_shared_head(row: Sequence[str], place: int, seen: Counter[str]) -> bool:
    """Say whether a row is a head for all tags: words throughout, and that in the tags' column stands there once."""
    filled = [cell for cell in row if cell]
    return len(filled) >= 2 and all(map(is_tag, filled)) and len(row) > place and seen[row[place]] == 1


def _no_such_tag(tag: str, seen: Counter[str], file: str, place: int) -> LogError:
    names = nearest_first(tag, [name for name, count in seen.items() if count > 1] or list(seen))
    return LogError(
        f'no row has the tag "{tag}"',
        code="no-such-tag",
        where=Where(file),
        expected=f"one of the tags in column {place + 1}: " + ", ".join(f'"{name}"' for name in names[:8])
        if names
        else "rows that begin with a word which tells their source",
        fix=f'write  tag = "{names[0]}"  in the rig file, if that is the one'
        if names
        else "take  tag  out of the rig file",
    )
