"""Names in order of likeness to a word that was meant to be one of them."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["nearest_first"]


def nearest_first(word: str, names: Iterable[str]) -> list[str]:
    """Return all names, those that a typing mistake makes into `word` first.

    Examples
    --------
    >>> nearest_first("reslts", ["reduce", "new", "results"])[0]
    'results'
    """
    wanted = word.casefold()
    return sorted(names, key=lambda name: _distance(wanted, name.casefold()))


def _distance(first: str, second: str) -> float:
    """Return the edit distance; a name that contains the word (or the other way round) counts as nearly it."""
    if first and (first in second or second in first):
        return 0.5
    row = list(range(len(second) + 1))
    for i, left in enumerate(first, 1):
        previous, row = row, [i]
        for j, right in enumerate(second, 1):
            row.append(min(previous[j] + 1, row[-1] + 1, previous[j - 1] + (left != right)))
    return float(row[-1])
