"""A comb of tones followed through time: which frequency moves as the tones do."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isothrust.science.arrays import Floats, floats

__all__ = ["best_path", "comb_scores"]


def comb_scores(excess: ArrayLike, step: float, frequency: ArrayLike, *, harmonics: int) -> Floats:
    """Return how far the lines at multiples of a frequency stand out, on the mean.

    Parameters
    ----------
    excess
        How far each line at even steps from 0 stands above what lies about it (m, n) [dB].
    step
        Between lines [Hz].
    frequency
        Candidates, the same for all spectra (c,) or their own (m, c) [Hz].
    harmonics
        Multiples that count [1].

    Returns
    -------
    numpy.ndarray
        (m, c) [dB]; a multiple counts by the greater of the two lines beside it, and not at all beyond the spectrum.

    Source
    ------
    Harmonic sum of a logarithmic spectrum, [Schroeder1968].

    Examples
    --------
    >>> comb_scores([[0.0, 0.0, 9.0, 0.0, 9.0, 0.0]], 1.0, [2.0, 1.0], harmonics=2).tolist()
    [[9.0, 4.5]]
    """
    lines, candidates = floats(excess), floats(frequency)
    rows = np.arange(lines.shape[0])[:, None]
    total = np.zeros(np.broadcast_shapes(candidates.shape, (lines.shape[0], candidates.shape[-1])))
    for harmonic in range(1, harmonics + 1):
        place = candidates * harmonic / step
        first = np.floor(place).astype(np.intp)
        first = np.where(place - first < 0.0, 0, first)
        inside = first < lines.shape[1] - 1
        at = np.where(inside, first, 0)
        beside = np.where(place - first > 0.25, np.minimum(at + 1, lines.shape[1] - 1), at)
        at = np.where(place - first < 0.75, at, beside)
        total += np.where(inside, np.maximum(lines[rows, at], lines[rows, beside]), 0.0)
    return floats(total / harmonics)


def best_path(scores: ArrayLike, *, jump: int, free: ArrayLike | None = None) -> NDArray[np.intp]:
    """Return the path of greatest total score that moves by no more than so many candidates a step.

    Parameters
    ----------
    scores
        (m, c) [any]; minus infinity where a candidate may not be.
    jump
        Greatest move from one spectrum to the next [candidates].
    free
        True for a spectrum that may lie anywhere against the one before (m,); None: nowhere.

    Returns
    -------
    numpy.ndarray
        Place of the path (m,).

    Source
    ------
    Dynamic programming, [Viterbi1967].

    Examples
    --------
    >>> best_path([[1.0, 0.0, 0.0], [0.0, 0.0, 9.0], [0.0, 1.0, 0.0]], jump=1).tolist()
    [1, 2, 1]
    """
    worth = floats(scores)
    apart = np.zeros(worth.shape[0], dtype=bool) if free is None else np.asarray(free, dtype=bool)
    total = worth[0].copy()
    came = np.zeros(worth.shape, dtype=np.intp)
    count = worth.shape[1]
    for row in range(1, worth.shape[0]):
        if apart[row]:
            came[row] = int(np.argmax(total))
            total = worth[row] + total.max()
            continue
        padded = np.pad(total, jump, constant_values=-np.inf)
        moves = np.lib.stride_tricks.sliding_window_view(padded, 2 * jump + 1)
        best = np.argmax(moves, axis=1)
        came[row] = np.arange(count) + best - jump
        total = worth[row] + moves[np.arange(count), best]
    path = np.zeros(worth.shape[0], dtype=np.intp)
    path[-1] = int(np.argmax(total))
    for row in range(worth.shape[0] - 1, 0, -1):
        path[row - 1] = came[row, path[row]]
    return path
