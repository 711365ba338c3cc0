"""Counters that run over: a clock of 16 or 32 bits falls by nearly its whole range, and goes on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["Unwrapped", "never_falls", "unwrapped"]

_SIZES: Final = tuple(sorted(2.0**bits * unit for bits in (16, 32) for unit in (1.0, 1e-3, 1e-6)))
"""Ranges of a counter in the column's own unit: it may count units, thousandths or millionths (a micros() / 1000)."""
_LONGEST: Final = 20.0
"""Usual steps that a wrap may span: a few rows may be lost at it, but a logger that starts anew takes longer."""
_LEAST: Final = 4.0
"""Usual steps in the counter's range, at least: a counter that runs over between two rows tells nothing."""


def never_falls(stamps: NDArray[np.float64]) -> bool:
    """Say at once of a clock without gaps that no stamp is less than the one before; False where that is not sure."""
    return not (np.less(stamps[1:], stamps[:-1]).any() or np.isnan(stamps).any())


@dataclass(frozen=True, slots=True)
class Unwrapped:
    """A clock whose counter ran over, counted on."""

    stamps: NDArray[np.float64]
    count: int
    """How often it ran over."""
    size: float
    """Range of the counter [column unit]."""


def unwrapped(stamps: NDArray[np.float64]) -> Unwrapped | None:
    """Return a counter's stamps counted on past its wraps, or None where it has none.

    Only a fall that leaves a step as small as the others, once the counter's range is added, is a wrap. All stamps must
    lie within one range: a clock that ever showed more has no such counter.

    Examples
    --------
    >>> import numpy as np
    >>> found = unwrapped(np.array([65515.0, 65525.0, 65535.0, 9.0, 19.0]))
    >>> found.count, float(found.stamps[-1])
    (1, 65555.0)
    """
    if never_falls(stamps):
        return None
    known = np.flatnonzero(np.isfinite(stamps))
    steps = np.diff(stamps[known])
    falls = np.flatnonzero(steps < 0.0)
    rises = steps[steps > 0.0]
    if not falls.size or not rises.size:
        return None
    usual, span = float(np.median(rises)), float(np.ptp(stamps[known]))
    for size in _SIZES:
        if span > size or usual * _LEAST > size:
            continue
        passed = steps[falls] + size
        wraps = falls[(passed > 0.0) & (passed <= min(_LONGEST * usual, size / 4.0))]
        if wraps.size:
            counted = np.zeros(known.size)
            counted[wraps + 1] = size
            for anew in np.setdiff1d(falls, wraps) + 1:  # a logger that began anew counts from zero, wraps and all
                if 0.0 <= stamps[known[anew]] <= _LONGEST * usual:
                    counted[anew] = -counted[:anew].sum()
            on = stamps.copy()
            on[known] += np.cumsum(counted)
            return Unwrapped(on, int(wraps.size), size)
    return None
