"""Names in order of likeness to a word that was meant to be one of them."""

from __future__ import annotations

from collections.abc import Iterable

__all__ = ["names_told", "nearest_first"]

_TOLD = 8


def nearest_first(word: str, names: Iterable[str]) -> list[str]:
    """Return all names, those that a typing mistake makes into `word` first.

    Examples
    --------
    >>> nearest_first("reslts", ["reduce", "new", "results"])[0]
    'results'
    >>> nearest_first("tirick", ["maalie-7x4", "tirrick-7x3.5"])[0]
    'tirrick-7x3.5'
    """
    wanted = word.casefold()
    return sorted(names, key=lambda name: _distance(wanted, name.casefold()))


def names_told(word: str, names: Iterable[str], *, otherwise: str) -> str:
    """Return the names that there are, the nearest first and no more than an eye takes in; or `otherwise`.

    Examples
    --------
    >>> names_told("loft-2", ["shed", "loft"], otherwise="no rig yet")
    'loft, shed'
    """
    near = nearest_first(word, names)
    more = f" and {len(near) - _TOLD} more" if len(near) > _TOLD else ""
    return ", ".join(near[:_TOLD]) + more if near else otherwise


def _distance(wanted: str, name: str) -> float:
    """Return the least number of slips between a word and a name, or the name's beginning, which counts half a slip."""
    if wanted and (wanted in name or name in wanted):
        return 0.5
    row = list(range(len(name) + 1))
    for i, left in enumerate(wanted, 1):
        previous, row = row, [i]
        for j, right in enumerate(name, 1):
            row.append(min(previous[j] + 1, row[-1] + 1, previous[j - 1] + (left != right)))
    # The last row holds the distance to every beginning of the name.
    return min(float(row[-1]), min(row) + 0.5)
