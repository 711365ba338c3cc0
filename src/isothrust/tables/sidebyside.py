"""Blocks that stand side by side in a text, parted by blank columns, each with the same heads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from isothrust.errors import LogError
from isothrust.tables.cells import is_blank, split_row
from isothrust.tables.decoding import Decoded
from isothrust.tables.log import LogTable, recast_log
from isothrust.tables.recast import MARK, Recast, as_cell

__all__ = ["blocks_beside"]


def blocks_beside(table: LogTable) -> tuple[LogTable, ...]:
    """Return the blocks of a table as tables of their own; none where its heads do not stand in blocks.

    Blocks end where a head is blank. Two at least must share a head, else the sheet is one table with a gap in it.
    """
    spans = _spans([head.text for head in table.heads])
    names = [head.name for start, stop in spans for head in table.heads[start:stop]]
    if len(spans) < 2 or len(set(names)) == len(names):
        return ()
    text = table.data.decode("utf-8", errors="replace").replace("\r\n", "\n")
    rows = [split_row(line, table.dialect.delimiter) for line in text.split("\n")[table.skipped :]]
    first = table.dialect.first_line
    return tuple(
        block
        for number, span in enumerate(spans, 1)
        if (block := _block(table, rows, span, first, f"{table.file}/block {number}")) is not None
    )


def _spans(heads: Sequence[str]) -> list[tuple[int, int]]:
    """Return from where to where heads are filled."""
    spans: list[tuple[int, int]] = []
    start: int | None = None
    for place, head in enumerate([*heads, ""]):
        if head and start is None:
            start = place
        elif not head and start is not None:
            spans.append((start, place))
            start = None
    return [(start, stop) for start, stop in spans if stop - start >= 2]


def _block(
    table: LogTable, rows: Sequence[Sequence[str]], span: tuple[int, int], first: int, file: str
) -> LogTable | None:
    start, stop = span
    heads = [as_cell(f"{head.name} [{head.unit}]" if head.unit else head.name) for head in table.heads[start:stop]]
    kept = [(first + k, row[start:stop]) for k, row in enumerate(rows) if not all(map(is_blank, row[start:stop]))]
    lines = [table.dialect.head_line or first, *(line for line, _ in kept)]
    data = "\n".join(MARK.join(map(as_cell, row)) for row in [heads, *(row for _, row in kept)]) + "\n"
    decoded = Decoded(data.encode("utf-8"), table.dialect.encoding, cut=False)
    try:
        block = recast_log(Recast(decoded.data, np.array(lines, dtype=np.int64), "a block of several"), decoded, file)
    except LogError:  # Remarks at the side are no log, and need not be one.
        return None
    return replace(block, cut_last=None)
