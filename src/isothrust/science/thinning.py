"""Fewer points of a long record that draw the same picture: the extremes of every short stretch stay."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["extremes_kept"]


def extremes_kept(time: ArrayLike, values: ArrayLike, *, stretches: int) -> NDArray[np.intp]:
    """Return the indices of the samples that draw the record: of each stretch of time the least and the greatest.

    A single reading that stands out survives, whatever its neighbours are, and every sample kept is one that was
    recorded, at its own time. Averaging, or taking every n-th sample, would lose spikes and make up slow waves.

    Parameters
    ----------
    time
        Rising times (n,) [s].
    values
        Readings (n,) [any unit]; NaN where there is none.
    stretches
        Number of equal stretches the whole time is cut into, at least 1.

    Returns
    -------
    numpy.ndarray
        Rising indices (k,) into the record [1], k at most 2 stretches + 2: the first and the last reading stay as well.
        Within a flat line the readings between its ends are left out.

    Raises
    ------
    ValueError
        Where there is no stretch, or times and values differ in number.

    Source
    ------
    Own arithmetic on common practice of recording instruments, which show the least and the greatest reading of each
    column of the screen (from memory).

    Examples
    --------
    >>> extremes_kept([0, 1, 2, 3, 4, 5, 6, 7], [0, 0, 0, 9, 0, 0, 0, 0], stretches=2).tolist()
    [0, 3, 4, 7]
    """
    t, x = floats(time), floats(values)
    if stretches < 1 or t.ndim != 1 or t.shape != x.shape:
        message = f"need one reading a time and at least one stretch, got {t.shape}, {x.shape}, {stretches}"
        raise ValueError(message)
    known = np.flatnonzero(np.isfinite(x) & np.isfinite(t))
    if known.size == 0:
        return known
    return known[_without_flat(x[known], _extremes(t[known], x[known], stretches))]


def _extremes(time: Floats, values: Floats, stretches: int) -> NDArray[np.intp]:
    span = float(time[-1] - time[0])
    share = (time - time[0]) / span if span > 0.0 else np.zeros(time.size)
    stretch = np.minimum((share * stretches).astype(np.intp), stretches - 1)
    order = np.lexsort((values, stretch))
    ends = np.flatnonzero(np.diff(stretch[order]))
    lowest = order[np.concatenate([[0], ends + 1])]
    highest = order[np.concatenate([ends, [order.size - 1]])]
    return np.unique(np.concatenate([[0], lowest, highest, [time.size - 1]]))


def _without_flat(values: Floats, kept: NDArray[np.intp]) -> NDArray[np.intp]:
    """Leave out kept samples between two of the same value; whatever lies between them has that value as well."""
    x = values[kept]
    inner = np.zeros(kept.size, dtype=bool)
    inner[1:-1] = (x[1:-1] == x[:-2]) & (x[1:-1] == x[2:])
    return kept[~inner]
