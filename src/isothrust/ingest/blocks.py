"""Blocks that stand side by side in a sheet, read one after the other as one recording."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from isothrust.ingest.readers.numeric import NumericColumn, NumericTable, columns_of, numeric_table, step_of
from isothrust.records.rig import ChannelPlan
from isothrust.tables.columns import Columns
from isothrust.tables.heads import find_head
from isothrust.tables.log import LogTable

__all__ = ["joined_blocks"]


def joined_blocks(blocks: Sequence[LogTable], time: ChannelPlan | None, sheet: LogTable) -> NumericTable:
    """Return the rows of all blocks in their order from the left, with the heads that all of them have.

    Where a block's clock begins before the block to its left ends, its times are moved on by that block's end and one
    usual step: how long the bench stood between them, nobody wrote down.
    """
    heads = [head for head in blocks[0].heads if all(len(find_head(head.text, block.heads)) == 1 for block in blocks)]
    clock = _clock_of(time, [head.text for head in heads])
    columns, stamped = [], []
    for head in heads:
        places = [find_head(head.text, block.heads)[0] for block in blocks]
        stamps = all(block.layout.stamps[place] for block, place in zip(blocks, places, strict=True))
        steps = [step_of(block, place) for block, place in zip(blocks, places, strict=True)]
        known = [step for step in steps if step is not None]
        stamped.append(places)
        columns.append(NumericColumn(head, stamps, max(known) if len(known) == len(steps) else None))
    # All columns of a block at once: a sheet may hold dozens of blocks of a few rows, and each reading has its price.
    read = [columns_of(block, [places[number] for places in stamped]) for number, block in enumerate(blocks)]
    cells = _Joined(tuple(blocks), tuple(map(tuple, stamped)), tuple(read), clock)
    rows = sum(block.rows for block in read) if heads else 0
    words = f"{sheet.dialect}, {len(blocks)} blocks one after the other"
    return numeric_table(sheet.file, columns, rows, cells, words=words)


def _clock_of(time: ChannelPlan | None, heads: Sequence[str]) -> int | None:
    picks = () if time is None else time.picks
    return next((heads.index(pick.head) for pick in picks if pick.head in heads), None)


@dataclass(frozen=True, slots=True)
class _Joined:
    blocks: tuple[LogTable, ...]
    places: tuple[tuple[int, ...], ...]
    """Of each joined column: its place in every block."""
    read: tuple[Columns, ...]
    """Numbers of every block, in those columns."""
    clock: int | None
    """Which of the joined columns is the time."""

    def numbers(self, column: int) -> NDArray[np.float64]:
        """Return a column of all blocks; of the clock with each block after the one before it."""
        pieces = [block.numbers[place] for block, place in zip(self.read, self.places[column], strict=True)]
        return np.concatenate(_in_turn(pieces) if column == self.clock else pieces)

    def texts(self, column: int) -> pl.Series:
        """Return a column of all blocks as text."""
        places = self.places[column]
        return pl.concat(
            [columns_of(block, [], [place]).texts[place] for block, place in zip(self.blocks, places, strict=True)]
        )


def _in_turn(clocks: Sequence[NDArray[np.float64]]) -> list[NDArray[np.float64]]:
    moved: list[NDArray[np.float64]] = []
    end = -np.inf
    for clock in clocks:
        known = clock[np.isfinite(clock)]
        step = float(np.median(np.diff(known))) if known.size > 1 else 0.0
        if known.size and known[0] <= end:
            clock = clock + (end + step - known[0])
            known = clock[np.isfinite(clock)]
        end = max(end, float(known[-1])) if known.size else end
        moved.append(clock)
    return moved
