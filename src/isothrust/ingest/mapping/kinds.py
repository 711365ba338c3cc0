"""What kind of run a throttle's course is: a ramp, holds, steps, a coast, or a zero."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.records.book import Kind

__all__ = ["KindProposal", "propose_kind"]

_FEWEST: Final = 40
"""Rows below which a course tells nothing."""
_REST: Final = 0.06
_HELD: Final = 0.7
"""Share of the rows under power that stand still, in holds and steps."""
_COAST: Final = 0.3
"""Share of the rows under power that stand at the one level of a coast."""
_JUMP: Final = 0.1
"""Share of the range that a ramp never moves in one row."""
_SLOW: Final = 0.5
"""Share of the way up that is gone little by little, in a ramp."""
_WANDERS: Final = 12.0
"""Times the whole range that a ramp moves, up and down together; more is noise."""
_STILL: Final = 0.003
"""Of the whole range: less is no movement of the throttle."""


@dataclass(frozen=True, slots=True)
class KindProposal:
    """A kind, and what in the throttle's course speaks for it."""

    kind: Kind
    reason: str


def propose_kind(throttle: NDArray[np.float64]) -> KindProposal | None:
    """Return the kind of run that a throttle's course is, None where it cannot be told.

    Parameters
    ----------
    throttle
        Commands in their order, in any unit, the lowest one being rest.
    """
    known = throttle[np.isfinite(throttle)]
    if known.size < _FEWEST:
        return None
    low, high = float(known.min()), float(known.max())
    if high == low:
        return KindProposal("zero", "the throttle never moves") if low in {0.0, 1000.0} else None
    share = (known - low) / (high - low)
    powered = share > _REST
    visits = _visits(share)
    levels = {round(level, 2) for level, _ in visits if level > _REST}
    held = sum(count for level, count in visits if level > _REST) / max(int(powered.sum()), 1)
    under_power = [count for level, count in visits if level > _REST]
    if len(under_power) == 1 and under_power[0] >= _COAST * max(int(powered.sum()), 1):
        return KindProposal("coast", "the throttle goes to one level, and is cut")
    if held >= _HELD:
        return _held_kind(visits, levels)
    moves = np.abs(np.diff(share))
    way = float(moves[moves < _JUMP].sum())
    if way >= _SLOW and moves.sum() <= _WANDERS and (share[0] < _REST or way >= 2 * _SLOW):
        return KindProposal("ramp", "the throttle rises little by little")
    return None


def _visits(share: NDArray[np.float64]) -> list[tuple[float, int]]:
    """Return the levels where the throttle stands, one after another, with how many rows each lasts."""
    window = max(1, share.size // 300)
    still = np.abs(share[window:] - share[:-window]) <= _STILL
    edges = np.flatnonzero(np.diff(still.astype(np.int8), prepend=0, append=0))
    found: list[tuple[float, int]] = []
    for start, stop in edges.reshape(-1, 2):
        rows = int(stop - start) + window
        level = float(np.median(share[start : start + rows]))
        if rows < 2 * window + 2:
            continue
        if found and abs(found[-1][0] - level) <= 2 * _STILL:
            found[-1] = (level, found[-1][1] + rows)
        else:
            found.append((level, rows))
    return found


def _held_kind(visits: list[tuple[float, int]], levels: set[float]) -> KindProposal:
    under_power = [level for level, _ in visits if level > _REST]
    returns = len(under_power) - len(levels)
    if len(levels) <= 3 and returns >= 2:
        return KindProposal("steps", f"the throttle goes {len(under_power)} times between {len(levels)} levels")
    return KindProposal("holds", f"the throttle stands at {len(levels)} levels")
