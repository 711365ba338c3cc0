"""Tags: words that tell from which source a row of a log comes, as `T,120,3.5` and `V,121,24.1,3.2`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from isothrust.tables.cells import is_blank, is_number, is_stamp, split_row
from isothrust.tables.dialect import DELIMITERS, is_comment

__all__ = ["PLACES", "delimiters_of", "is_tag", "sample_of", "tags_in"]

_SAMPLE: Final = 1 << 16
PLACES: Final = 6
"""Columns, from the left, in which a tag is looked for."""
_MOST: Final = 16
"""Sources of a log, at most."""
_OFTEN: Final = 3
"""Rows of a source, at least."""


def tags_in(data: bytes) -> Counter[str] | None:
    """Return the tags that the rows of a text begin with, and how often each stands there; None where there are none.

    Rows of different sources alternate; a word for a state of the bench, or for an event, stays or comes once.
    """
    lines = sample_of(data)
    for delimiter in delimiters_of(lines):
        firsts = [split_row(line, delimiter)[0] for line in lines if delimiter in line]
        counts = Counter(cell for cell in firsts if is_tag(cell))
        often = Counter({tag: count for tag, count in counts.items() if count >= _OFTEN})
        tagged = [cell for cell in firsts if cell in often]
        changes = sum(first != second for first, second in pairwise(tagged))
        if 2 <= len(often) <= _MOST and len(tagged) >= 0.9 * len(lines) and 4 * changes >= len(tagged):
            return often
    return None


def sample_of(data: bytes) -> list[str]:
    """Return the lines at the beginning of a text, blank ones and comments left out."""
    text = data[:_SAMPLE].decode("utf-8", errors="replace")
    lines = [line.rstrip("\r") for line in text.split("\n")]
    return [line for line in (lines[:-1] if len(data) > _SAMPLE else lines) if line.strip() and not is_comment(line)]


def delimiters_of(lines: Sequence[str]) -> list[str]:
    """Return the delimiters that part most of the lines, the one of most cells first."""
    cells = {mark: sum(line.count(mark) > 0 for line in lines) for mark in DELIMITERS if mark}
    return sorted(
        (mark for mark in cells if 2 * cells[mark] > len(lines)), key=lambda mark: (mark == " ", -cells[mark])
    )


def is_tag(cell: str) -> bool:
    """Say whether a cell may be a tag: a short word."""
    return not is_blank(cell) and not is_number(cell) and not is_stamp(cell) and len(cell) <= 40
