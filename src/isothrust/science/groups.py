"""Rows that belong together: sums and minima over groups of rows, whatever order they come in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["Codes", "Groups", "first_seen", "grouped"]

Codes = NDArray[np.intp]
"""Whole numbers from 0 that stand for labels."""


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """Which group each of n rows belongs to, and the rows in the order of their groups."""

    of_row: Codes
    """Group of each row, shape (n,)."""
    order: Codes
    """Rows, group after group, shape (n,)."""
    starts: Codes
    """Where in that order each group begins, shape (g,)."""

    @property
    def count(self) -> int:
        """How many groups there are."""
        return len(self.starts)

    @property
    def first(self) -> Codes:
        """First row of each group, shape (g,)."""
        return np.asarray(self.order[self.starts], dtype=np.intp)

    def sums(self, rows: Floats) -> Floats:
        """Return the sum over the rows (n, ...) of each group, shape (g, ...)."""
        return floats(np.add.reduceat(rows.take(self.order, axis=0), self.starts, axis=0) if self.count else rows[:0])

    def least(self, rows: Floats) -> Floats:
        """Return the least of the rows (n, ...) of each group, shape (g, ...)."""
        return floats(np.minimum.reduceat(rows[self.order], self.starts, axis=0) if self.count else rows[:0])


def first_seen(labels: ArrayLike) -> Codes:
    """Return a code for each label, numbered in the order of first appearance.

    Parameters
    ----------
    labels
        Length n, any kind.

    Returns
    -------
    numpy.ndarray
        Codes from 0, shape (n,) [1].

    Source
    ------
    Definition.

    Examples
    --------
    >>> first_seen(["b", "a", "b", "c"]).tolist()
    [0, 1, 0, 2]
    """
    # To sort would cost more, above all words, which an array holds at the length of the longest.
    known: dict[object, int] = {}
    listed = labels if isinstance(labels, list) else np.asarray(labels).tolist()
    return np.array([known.setdefault(label, len(known)) for label in listed], dtype=np.intp)


def grouped(*labels: ArrayLike) -> Groups:
    """Return the groups of rows that agree in all their labels, in the order of first appearance.

    Parameters
    ----------
    *labels
        One or more, each of length n.

    Returns
    -------
    Groups
        See there.

    Source
    ------
    Definition.

    Examples
    --------
    >>> groups = grouped(["b", "a", "b"], [1, 1, 2])
    >>> groups.of_row.tolist(), grouped(["b", "a", "b"]).sums(np.array([1.0, 2.0, 4.0])).tolist()
    ([0, 1, 2], [5.0, 2.0])
    """
    codes = first_seen(labels[0])
    for more in labels[1:]:
        others = first_seen(more)
        codes = first_seen(codes * (int(others.max(initial=0)) + 1) + others)
    order = np.argsort(codes, kind="stable")
    starts = np.flatnonzero(np.diff(codes[order], prepend=-1))
    return Groups(codes, np.asarray(order, dtype=np.intp), np.asarray(starts, dtype=np.intp))
