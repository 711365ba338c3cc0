"""Results of two states of a book side by side: which figures moved, and by how much against their uncertainty."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from isothrust.records.moved import Move
from isothrust.records.result import Condition, Result

__all__ = ["moved_figures"]

_SEEN: Final = 0.02
"""A figure that moves by less than this share of its standard uncertainty is shown with the same digits."""
_ROUNDING: Final = 1e-9
"""What sums in another order may move a figure by, in proportion."""
_SURER: Final = 0.1
"""Share by which an uncertainty must change to be told by itself."""

_Key = tuple[str, str, Condition | None, str, str | None]


def moved_figures(former: Sequence[Result], now: Sequence[Result]) -> list[Move]:
    """Return the figures that differ, those that moved furthest first; the reasons are left open."""
    before, after = ({_key(result): result for result in results} for results in (former, now))
    found = [_move(before.get(key), after.get(key)) for key in {**before, **after}]
    moves = [move for move in found if move is not None]
    return sorted(moves, key=_far, reverse=True)


def _key(result: Result) -> _Key:
    return result.campaign, result.measurand, result.condition, result.design, result.sample


def _far(move: Move) -> tuple[bool, float]:
    return move.kind == "moved", math.inf if move.by is None else abs(move.by)


def _move(former: Result | None, now: Result | None) -> Move | None:
    old = None if former is None else former.value
    new = None if now is None else now.value
    if old is None or new is None:
        if old is None and new is None:
            return None
        return Move("appeared" if old is None else "vanished", former, now, None)
    assert former is not None
    assert now is not None
    u = former.standard_uncertainty or now.standard_uncertainty or 0.0
    change = new - old
    if abs(change) > max(_SEEN * u, _ROUNDING * abs(old)):
        return Move("moved", former, now, change / u if u else None)
    return Move("surer", former, now, change / u if u else None) if _is_surer(former, now) else None


def _is_surer(former: Result, now: Result) -> bool:
    old, new = former.standard_uncertainty or 0.0, now.standard_uncertainty or 0.0
    return abs(new - old) > _SURER * max(old, new)
