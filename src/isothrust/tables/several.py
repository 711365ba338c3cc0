"""Several tables in one text, one below the other, each with heads of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import numpy as np

from isothrust.errors import LogError
from isothrust.tables.cells import is_blank, is_number, is_stamp, split_row
from isothrust.tables.decoding import Decoded
from isothrust.tables.dialect import DELIMITERS, is_comment
from isothrust.tables.log import LogTable, recast_log
from isothrust.tables.recast import Recast
from isothrust.tables.summary import summary_start

__all__ = ["LOOKED_AT", "tables_in"]

_WORDS: Final = re.compile(rb"\n[ \t\"]*[A-Za-z_(\[<\xc2-\xf4]")
"""Where a line begins that does not begin with a number."""
_TRIED: Final = 500
"""Such lines that are looked at: where every row begins with a word, none of them is a head."""
LOOKED_AT: Final = 1 << 22
"""Bytes at either end of a long text."""
_MOST: Final = 64
"""Tables of a file, at most."""


def tables_in(decoded: Decoded, file: str, *, whole: bool = False) -> tuple[LogTable, ...]:
    """Return the tables of a text that holds at least two; none where it is one table.

    A table begins where heads stand below rows. The same heads again begin no other table, but the same one anew. Each
    is named behind the file's name: `r01.csv/table 2`.

    Of a long text only the beginning and the end are looked at, unless the `whole` of it is to be: where heads stand in
    its middle, its rows are ragged or hold words, and whoever reads them will know.
    """
    summary = summary_start(decoded.data)
    above = decoded.data if summary is None else decoded.data[: summary[0]]
    pieces = [above] if whole or len(above) <= 2 * LOOKED_AT else [above[:LOOKED_AT], above[-LOOKED_AT:]]
    if not any(map(_has_heads_below_rows, pieces)):
        return ()
    lines = above.split(b"\n")
    texts = [line.decode("utf-8", errors="replace").rstrip("\r") for line in lines]
    edges = list(_edges(texts))
    if not 1 < len(edges) <= _MOST + 1:
        return ()
    found: list[LogTable] = []
    for start, stop in pairwise([*edges, len(lines)]):
        data = b"\n".join(lines[start:stop]).rstrip() + b"\n"
        try:
            recast = Recast(data, np.arange(start + 1, stop + 1), "")
            found.append(recast_log(recast, replace(decoded, data=data), file))
        except LogError:  # Words and remarks between tables are none, and need not be one.
            continue
    if len(found) < 2 or len({_heads(table) for table in found}) < 2:
        return ()
    parts = [
        replace(table, file=f"{file}/table {number}", part=(number, len(found)))
        for number, table in enumerate(found, 1)
    ]
    if summary is not None:
        parts[-1] = replace(parts[-1], summary=(above.count(b"\n") + 1, summary[1]))
    return tuple(parts)


def _heads(table: LogTable) -> tuple[str, ...]:
    return tuple(head.text for head in table.heads)


def _has_heads_below_rows(data: bytes) -> bool:
    seen_rows = False
    for tried, match in enumerate(_WORDS.finditer(data)):
        if tried > _TRIED:
            break
        end = data.find(b"\n", match.start() + 1)
        line = data[match.start() + 1 : end if end >= 0 else len(data)].decode("utf-8", errors="replace")
        if not seen_rows:
            above = data[max(0, match.start() - 4096) : match.start()].decode("utf-8", errors="replace").split("\n")
            seen_rows = any(_is_row(each) for each in above)
        if seen_rows and _is_head(line):
            return True
    return False


def _edges(texts: Sequence[str]) -> Iterator[int]:
    """Yield the line at which each table begins, with the words above its heads."""
    yield 0
    last_row: int | None = None
    heads: set[str] = set()
    for place, line in enumerate(texts):
        if not line.strip() or is_comment(line):
            continue
        if _is_head(line):
            if last_row is not None and line.strip() not in heads:
                yield last_row + 1
                heads.clear()
                last_row = None
            heads.add(line.strip())
        elif _is_row(line):
            last_row = place


def _is_head(line: str) -> bool:
    """Say whether a line is made of words, two at least, none of them a number."""
    for delimiter in DELIMITERS:
        if delimiter in {"", " "} or delimiter not in line:
            continue
        filled = [cell for cell in split_row(line, delimiter) if not is_blank(cell)]
        if len(filled) >= 2 and not any(is_number(cell) or is_stamp(cell) for cell in filled):
            return True
    return False


def _is_row(line: str) -> bool:
    for delimiter in DELIMITERS:
        filled = [cell for cell in split_row(line, delimiter) if not is_blank(cell)]
        if len(filled) >= 2 and 2 * sum(is_number(cell) or is_stamp(cell) for cell in filled) > len(filled):
            return True
    return False
