"""Spells in which the command stands still: what steps and holds are made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.reduction.evidence import Evidence

__all__ = ["Plateau", "plateaus"]

_MOVES: Final = 0.005
"""A command that changes by more than this between two bins is on its way [1]."""
_DRIFTS: Final = 0.01
"""What it may change by over a plateau [1]."""
_SHORTEST: Final = 0.06
"""[s]"""


@dataclass(frozen=True, slots=True)
class Plateau:
    """Bins `first` to `last` stand at one command."""

    first: int
    last: int
    command: float


def plateaus(evidence: Evidence) -> list[Plateau]:
    """Return the plateaus of the command in order; none where the log has no throttle."""
    bins = evidence.prepared.bins
    throttle = bins.get("throttle")
    if throttle is None or not np.all(np.isfinite(throttle)):
        return []
    firsts = np.append(0, np.flatnonzero(np.abs(np.diff(throttle)) > _MOVES) + 1)
    lasts = np.append(firsts[1:] - 1, throttle.size - 1)
    drift = np.maximum.reduceat(throttle, firsts) - np.minimum.reduceat(throttle, firsts)
    still = (bins.time[lasts] - bins.time[firsts] >= _SHORTEST) & (drift < _DRIFTS)
    return [
        Plateau(first, last, float(throttle[(first + last) // 2]))
        for first, last in zip(firsts[still].tolist(), lasts[still].tolist(), strict=True)
    ]
