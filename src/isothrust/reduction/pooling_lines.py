"""Budget lines of many means with their words: one below the other, merged by key, cut into tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from isothrust.records.budget import BudgetTable
from isothrust.records.curve import Scope
from isothrust.records.recording import Floats
from isothrust.reduction.pooling_budget import SCATTER
from isothrust.science.arrays import floats
from isothrust.science.budgets import Lines, merge_lines
from isothrust.science.groups import Codes, first_seen, grouped

__all__ = ["MergedLines", "WordedLines", "merged_lines", "tables_of"]


class WordedLines(NamedTuple):
    """Lines of p means at m conditions, one row a line."""

    part: Codes
    """Which mean each line belongs to."""
    sources: Sequence[str]
    keys: Sequence[str]
    scopes: Sequence[Scope]
    contributions: Floats
    degrees_of_freedom: Floats


class MergedLines(NamedTuple):
    """Lines merged by key, for arithmetic and with their words."""

    lines: Lines
    worded: WordedLines


def merged_lines(groups: Sequence[WordedLines]) -> MergedLines:
    """Return lines of one key and source added up.

    They stand in the order in which the runs of a mean first name them at any condition, also where the first of these
    runs has no figure: one order for all conditions keeps the tables comparable.
    """
    part = np.concatenate([one.part for one in groups])
    sources = [source for one in groups for source in one.sources]
    keys = [key for one in groups for key in one.keys]
    scopes = [scope for one in groups for scope in one.scopes]
    # Of two scatter lines of one key only one acts at a condition: the campaign's estimate or the design's own.
    named = [
        f"{key}\n{source}" if source.startswith(SCATTER) else key for key, source in zip(keys, sources, strict=True)
    ]
    estimates = [source if source.startswith(SCATTER) else key for key, source in zip(keys, sources, strict=True)]
    lines = Lines(
        np.concatenate([one.contributions for one in groups]),
        np.concatenate([one.degrees_of_freedom for one in groups]),
        np.asarray(part, dtype=np.intp),
        first_seen(named),
        first_seen(estimates),
    )
    found = merge_lines(lines)
    first = grouped(lines.budgets, lines.keys).first
    worded = WordedLines(
        found.budgets,
        [sources[row] for row in first],
        [keys[row] for row in first],
        [scopes[row] for row in first],
        found.contributions,
        found.degrees_of_freedom,
    )
    return MergedLines(found, worded)


def tables_of(lines: WordedLines, parts: int) -> tuple[BudgetTable, ...]:
    """Return the lines of each mean as a table."""
    rows: list[list[int]] = [[] for _ in range(parts)]
    for row, part in enumerate(lines.part):
        rows[part].append(row)
    return tuple(
        BudgetTable(
            tuple(lines.sources[row] for row in own),
            tuple(lines.keys[row] for row in own),
            tuple(lines.scopes[row] for row in own),
            floats(lines.contributions[own]),
            floats(lines.degrees_of_freedom[own]),
        )
        for own in rows
    )
