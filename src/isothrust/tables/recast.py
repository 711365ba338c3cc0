"""Text that is no plain table written anew as one, with the line of the file that each of its lines came from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["MARK", "Recast", "as_cell", "recast_of"]

MARK: Final = "\t"
"""What parts the cells of a text that was written anew."""
_CLEAN: Final = str.maketrans({"\t": " ", "\n": " ", "\r": " ", '"': "'"})


@dataclass(frozen=True, slots=True)
class Recast:
    """A plain table made of another form of log."""

    data: bytes
    lines: NDArray[np.int64]
    """Line of the file, from 1, at which each line of `data` began."""
    form: str
    """What the file's own form is called."""


def as_cell(text: str) -> str:
    """Return a text as it may stand in a cell."""
    return text.translate(_CLEAN).strip()


def recast_of(rows: Iterable[tuple[int, str]], form: str, *, ended: bool = True) -> Recast:
    """Return the table of rows with their lines in the file; `ended` is False where the last row may be cut off."""
    lines, texts = [], []
    for line, text in rows:
        lines.append(line)
        texts.append(text)
    data = "\n".join(texts) + ("\n" if ended and texts else "")
    return Recast(data.encode("utf-8"), np.array(lines, dtype=np.int64), form)
