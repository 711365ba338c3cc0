"""A summary below the rows of a log (means, greatest values): no readings, and never taken for any."""

from __future__ import annotations

import re
from typing import Final

from isothrust.tables.cells import is_number, is_stamp, split_row
from isothrust.tables.dialect import DELIMITERS

__all__ = ["summary_start"]

_TAIL: Final = 1 << 14
_LINES: Final = 60
"""Lines of a summary, at most."""
_ROWS: Final = 8
"""Rows of numbers that may stand in a summary, below its words."""
_WORD: Final = re.compile(
    r"[\s\"#%/*=_-]*(?:(?:mean|avg|averages?|max|maximum|min|minimum|std|stdev|std\s?dev|sd|rms|median|sum|totals?|count|peaks?"
    r"|summary|statistics?|stats|results?|mittel|mittelwert|moyenne|media)\b|end of (?:data|log|test))",
    re.IGNORECASE,
)


def summary_start(data: bytes) -> tuple[int, int] | None:
    """Return where the summary below the rows of a log begins (place in `data`, number of its lines), if it has one.

    It begins at a line whose first word is one of a summary's (mean, max, total, results), has rows of numbers above it
    and hardly any below.
    """
    tail = data[-_TAIL:]
    text = tail.decode("utf-8", errors="replace")
    lines = text.split("\n")
    first = 0 if len(tail) == len(data) else 1  # a line that the tail cuts in two
    candidates = [k for k in range(max(first, len(lines) - _LINES), len(lines)) if _WORD.match(lines[k])]
    for start in candidates:
        above = [line for line in lines[first:start] if line.strip()]
        below = [line for line in lines[start:] if line.strip()]
        rows = sum(_is_row(line) for line in below)
        if len(above) >= 2 and _is_row(above[-1]) and _is_row(above[-2]) and rows <= min(_ROWS, len(below) - 1):
            return len(data) - len("\n".join(lines[start:]).encode("utf-8")), len(below)
    return None


def _is_row(line: str) -> bool:
    """Say whether a line is a row of readings: its first cell and most others hold numbers or times."""
    for delimiter in DELIMITERS:
        cells = [cell for cell in split_row(line, delimiter) if cell]
        if len(cells) > 1 or not delimiter:
            values = [is_number(cell) or is_stamp(cell) for cell in cells]
            if cells and values[0] and 2 * sum(values) > len(values):
                return True
    return False
