"""A logger that restarted in the middle of a file: where one passage ends and the next begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["Passage", "passages_of", "usable_passage"]

_NEIGHBOURS: Final = 5
"""Stamps on either side of a fall that must agree on it: a single broken stamp is no restart."""
_BACK: Final = 0.5
"""A counter that falls to less than this share of what it showed began anew."""
_STEPS: Final = 10.0
"""Usual steps: what a clock may fall by without having been set anew (duplicates, late rows)."""
_PAUSE: Final = 1.0
"""Seconds between the rows around a repeated head row, from which on the logger was off."""
_MOVES: Final = 0.3
"""Share of the file's whole range that a passage must show to be a run."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Rows from one start of the logger to the next."""

    start: int
    stop: int
    """One past its last row."""
    duration: float
    """[s]"""
    moves: bool = True
    """Whether the channels that tell a run from a rest move in it."""


def passages_of(
    stamps: NDArray[np.float64], heads: Sequence[int], *, by_rate: bool, counts: bool
) -> list[tuple[int, int]]:
    """Return where passages begin and end, as rows (start, one past the end); a single one where nothing restarted.

    Parameters
    ----------
    stamps
        The clock as it was kept, from its own zero [s], shape (rows,); NaN where a row has no stamp.
    heads
        Rows before which the head row stands again.
    by_rate
        True where the clock is only counted from the rows: then nobody knows how long the logger was off.
    counts
        True where the clock counts from the logger's start, False where it tells a date or a time of day.
    """
    known = np.flatnonzero(np.isfinite(stamps))
    values = stamps[known]
    steps = np.diff(values)
    rises = steps[steps > 0.0]
    usual = float(np.median(rises)) if rises.size else 0.0
    begins = set(heads) if by_rate else _at_heads(values, known, heads, usual)
    if not by_rate:
        begins |= _falls(values, known, usual, counts=counts)
    edges = [0, *sorted(begin for begin in begins if 0 < begin < stamps.size), stamps.size]
    return list(pairwise(edges))


def _at_heads(values: NDArray[np.float64], known: NDArray[np.int64], heads: Sequence[int], usual: float) -> set[int]:
    """Return the repeated heads at which the clock does not simply go on."""
    found = set()
    for head in heads:
        after = int(np.searchsorted(known, head))
        if 0 < after < values.size:
            step = float(values[after] - values[after - 1])
            if step < 0.0 or step > max(_PAUSE, 2.0 * _STEPS * usual):
                found.add(head)
    return found


def _falls(values: NDArray[np.float64], known: NDArray[np.int64], usual: float, *, counts: bool) -> set[int]:
    """Return the rows at which the clock falls back to its beginning, or to before it."""
    found: set[int] = set()
    begun = 0
    least = _STEPS * usual
    for place in np.flatnonzero(np.diff(values) < -least) + 1:
        before = float(np.median(values[max(begun, place - _NEIGHBOURS) : place]))
        behind = float(np.median(values[place : place + _NEIGHBOURS]))
        if before <= behind:
            continue
        first = float(values[begun])
        anew = counts and 0.0 <= behind <= _BACK * before
        if anew or behind < first - max(_PAUSE, least) or behind - first <= 0.1 * _BACK * (before - first):
            found.add(int(known[place]))
            begun = int(place)
    return found


def usable_passage(
    passages: Sequence[tuple[int, int]], time: NDArray[np.float64], telling: Sequence[NDArray[np.float64]]
) -> list[Passage]:
    """Return the passages, those first that may be a run, the longest before the others.

    `telling` are the readings (of the throttle, the speed, the thrust) that move in a run and not in a rest.
    """
    ranges = [_range(values) for values in telling]
    found = []
    for start, stop in passages:
        here = time[start:stop]
        here = here[np.isfinite(here)]
        duration = float(here.max() - here.min()) if here.size else 0.0
        moves = [
            _range(values[start:stop]) >= _MOVES * whole
            for values, whole in zip(telling, ranges, strict=True)
            if whole > 0
        ]
        found.append(Passage(start, stop, duration, any(moves) or not moves))
    return sorted(found, key=lambda passage: (not passage.moves, -passage.duration, passage.start))


def _range(values: NDArray[np.float64]) -> float:
    finite = values[np.isfinite(values)]
    return float(np.subtract(*np.percentile(finite, [98, 2]))) if finite.size else 0.0
