"""A file of any format looked at: one recording of it, or as many as it has sheets, blocks or packed logs."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from isothrust.errors import LogError
from isothrust.ingest.assigning import is_waveform
from isothrust.ingest.blocks import joined_blocks
from isothrust.ingest.mapping.layout import Look, look_at, look_of_table, map_layout
from isothrust.ingest.readers.archive import Archive
from isothrust.ingest.readers.choosing import choose_reader, contents_of, specimen_of
from isothrust.ingest.readers.contract import Contents, NamedTable
from isothrust.ingest.readers.delimited import Delimited
from isothrust.ingest.readers.numeric import NumericTable
from isothrust.ingest.readers.waveform import channel_facts
from isothrust.records.rig import ChannelPlan, ColumnPick

__all__ = ["looks_at", "sound_channels"]

_MOST: Final = 400
"""Recordings that are looked at in one file."""


def looks_at(path: str | os.PathLike[str], name: str) -> tuple[list[Look], dict[str, str]]:
    """Look at the recordings in a file; return them, and why each of the others is none.

    A recording's name is the file's, with what names it in the file behind a slash where that holds several.

    Raises LogError where there is none.
    """
    specimen = specimen_of(path)
    reader = choose_reader(specimen)
    if isinstance(reader, Delimited):
        return [look_at(path, name)], {}
    if not isinstance(reader, Archive):
        return _in_contents(contents_of(path), name)
    members = reader.recordings(specimen)
    looks: list[Look] = []
    none: dict[str, str] = {}
    for member in members[:_MOST]:
        inner = name if len(members) == 1 else f"{name}/{member}"
        try:
            found, others = _in_contents(contents_of(f"{os.fspath(path)}/{member}"), inner)
        except LogError as error:
            if len(members) == 1:
                raise
            none[inner] = error.problems[0].what
            continue
        looks += found
        none |= others
    return looks, none


def sound_channels(path: str | os.PathLike[str]) -> str:
    """Return in words how the channels of a sound file differ; empty where it has one, or cannot be read."""
    try:
        table = contents_of(path).tables[0].table
    except LogError:  # Each run that names it tells what is wrong.
        return ""
    return channel_facts(table) if isinstance(table, NumericTable) and table.rate and table.dialect.width > 1 else ""


def _in_contents(contents: Contents, name: str) -> tuple[list[Look], dict[str, str]]:
    tables = [each for each in contents.tables if not is_waveform(each.table)]
    none = {f"{name}/{part}": why for part, why in contents.skipped.items()}
    if not tables:
        return [], {name: "a waveform, and not called one: its name should end in wav or flac"}
    widest = max(tables, key=lambda each: each.table.dialect.width)
    if isinstance(widest.table, NumericTable):
        # Vectors of another length belong to the same recording, unless they are called the same in every table.
        heads = [head.text for head in widest.table.heads]
        tables = [each for each in tables if [head.text for head in each.table.heads] == heads]
    several = len(tables) > 1
    looks = [look for each in tables for look in _of_table(each, f"{name}/{each.name}" if several else name)]
    return looks[:_MOST], none


def _of_table(named: NamedTable, name: str) -> Iterator[Look]:
    """Yield the recordings of a table: one, or one for each of its blocks side by side."""
    if not named.blocks or not _alike(named):
        yield look_of_table(named.table, name)
        return
    blocks = [look_of_table(block, f"{name}/block {number}") for number, block in enumerate(named.blocks, 1)]
    clock = _one_throttle_each(blocks)
    if clock is None:
        yield from blocks
        return
    plan = ChannelPlan("time", (ColumnPick(head=clock),))
    yield look_of_table(joined_blocks(named.blocks, plan, named.table), name, joined=True)


def _alike(named: NamedTable) -> bool:
    """Say whether the blocks have at least two heads in common: else they are one table with a gap in it."""
    heads = [{head.text for head in block.heads if head.text} for block in named.blocks]
    return len(set.intersection(*heads)) >= 2


def _one_throttle_each(blocks: Sequence[Look]) -> str | None:
    """Return the head of the clock where each block was recorded at one throttle, and not all at the same."""
    mapping = map_layout([blocks[0]])
    clock, throttle = mapping.channels("time"), _throttle(blocks)
    if not clock or not clock[0].head or throttle is None:
        return None
    levels = []
    for block in blocks:
        place = next((k for k, head in enumerate(block.table.heads) if head.text == throttle), None)
        values = np.empty(0) if place is None else block.columns[place][np.isfinite(block.columns[place])]
        if not values.size or np.ptp(values) > 0.0:
            return None
        levels.append(float(values[0]))
    return clock[0].head if len(set(levels)) > 1 else None


def _throttle(blocks: Sequence[Look]) -> str | None:
    """Return the head of the throttle, by its name: within a block it does not move."""
    columns = map_layout([_end_to_end(blocks)]).channels("throttle")
    return columns[0].head or None if columns else None


def _end_to_end(blocks: Sequence[Look]) -> Look:
    """Return the blocks as one look, as far as their heads are the first one's."""
    heads = [head.text for head in blocks[0].table.heads]
    alike = [block for block in blocks if [head.text for head in block.table.heads] == heads]
    columns = tuple(np.concatenate([block.columns[place] for block in alike]) for place in range(len(heads)))
    return replace(blocks[0], columns=columns, rows=sum(block.rows for block in alike))
