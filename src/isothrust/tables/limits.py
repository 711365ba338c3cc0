"""How far a file may grow when it is opened: what would not fit into the memory is refused before it is unpacked."""

from __future__ import annotations

import zlib
from typing import BinaryIO, Final

from isothrust.errors import IsothrustError, LogError, Where

__all__ = [
    "LONGEST_LINE",
    "MOST_COLUMNS",
    "check_expansion",
    "inflated_size",
    "too_many_columns",
]

_FREE: Final = 1 << 25
"""So many bytes [32 MB] are always allowed: a short file of one repeated value packs a thousandfold."""
_RATIO: Final = 100
"""A log packs to a tenth of its size, one with dead channels to a fortieth."""
_MOST: Final = 1 << 32
"""No recording of a run holds 4 GB."""
LONGEST_LINE: Final = 1 << 22
"""A line of 4 MB is no row of a log."""
MOST_COLUMNS: Final = 4096
_CHUNK: Final = 1 << 20


def check_expansion(size: float, packed: int, file: str, kind: type[IsothrustError] = LogError) -> None:
    """Raise `kind` where a file of `packed` bytes would take up `size` bytes once it is unpacked."""
    if size <= _FREE or (size <= _RATIO * max(packed, 1) and size <= _MOST):
        return
    raise kind(
        f"{packed} bytes of this file would become {size / 1e6:.0f} MB or more",
        code="expands-too-far",
        where=Where(file),
        expected=f"at most {_RATIO} times the size of the file, and {_MOST >> 30} GB",
        fix="look at what the file is: it does not pack as a recording does; save it anew from the logger",
    )


def inflated_size(stream: BinaryIO, packed: int, file: str, *, wbits: int) -> int:
    """Return to how many bytes a deflated stream unpacks, keeping none of them; raise as soon as they are too many.

    `wbits` as zlib has it: -15 for a raw stream, 15 for one with a zlib head. A damaged stream is counted as far as it
    is whole: who unpacks it tells what is wrong.
    """
    inflater, total, left = zlib.decompressobj(wbits=wbits), 0, packed
    while left > 0 and not inflater.eof and (piece := stream.read(min(_CHUNK, left))):
        left -= len(piece)
        while piece:
            try:
                total += len(inflater.decompress(piece, _CHUNK))
            except zlib.error:
                return total
            check_expansion(total, packed, file)
            piece = inflater.unconsumed_tail
    return total


def too_many_columns(columns: int, file: str) -> LogError:
    """Return the error of a table that is wider than any log."""
    return LogError(
        f"its rows have {columns} columns",
        code="too-many-columns",
        where=Where(file),
        expected=f"at most {MOST_COLUMNS} columns, one a channel",
        fix="look at the file: rows and columns may have been exchanged, or the line ends lost",
    )
