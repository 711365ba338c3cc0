"""Evidence from columns of a log without heads and without a throttle: how they move with one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import permutations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.ingest.mapping.values import Facts, shown
from isothrust.records.mapping import Evidence
from isothrust.science.association import power_exponent, rank_correlation

__all__ = ["paired_evidence"]

_Floats = NDArray[np.float64]

_TOGETHER: Final = 0.4
_FEWEST: Final = 20


def paired_evidence(
    columns: Sequence[_Floats], facts: Mapping[int, Facts], clocks: frozenset[int]
) -> dict[int, list[Evidence]]:
    """Return what the columns say of each other, by place.

    A supply stands well above zero and sags a little as the loads rise; the current of a rotor grows as the 1.5th power
    of its thrust, because the power does and the voltage hardly moves. Without a column that sags nothing is said.
    """
    lively = [place for place in facts if place not in clocks and facts[place].distinct > 8]
    supply = [place for place in lively if _is_supply(columns[place])]
    rising = [place for place in lively if place not in supply and _starts_at_zero(columns[place])]
    sagging = [
        place
        for place in supply
        if any(rank_correlation(columns[place], columns[load]) <= -_TOGETHER for load in rising)
    ]
    if len(sagging) != 1:
        return {}
    level = float(np.nanmedian(columns[sagging[0]]))
    found = {sagging[0]: [Evidence("movement", "voltage", f"stands near {shown(level)} and sags as others rise", 3.0)]}
    couples = [
        (thrust, current, power)
        for thrust, current in permutations(rising, 2)
        if 1.15 <= (power := _power(columns[thrust], columns[current])) <= 1.8
    ]
    for thrust, current, power in couples if len(couples) == 1 else []:
        words = f"grows as the power {power:.1f} of column {thrust + 1}, as current does with thrust"
        found[current] = [Evidence("movement", "current", words, 3.0)]
        words = f"column {current + 1} grows as its power {power:.1f}, as current does with thrust"
        found[thrust] = [Evidence("movement", "thrust", words, 2.6)]
    for place in rising:
        if place not in found and facts[place].whole and 1000.0 <= facts[place].high <= 60_000.0:
            words = f"whole numbers to {shown(facts[place].high)}, nothing at rest, as a tachometer's rpm"
            found[place] = [Evidence("range", "speed", words, 2.6)]
    return found


def _is_supply(values: _Floats) -> bool:
    """Say whether readings stand well above zero and spread little, a few at the ends apart."""
    low, middle, high = np.nanquantile(values, [0.05, 0.5, 0.95])
    return bool(low > 1.5 and high - low < 0.3 * middle)


def _starts_at_zero(values: _Floats) -> bool:
    low, high = np.nanquantile(values, [0.1, 0.99])
    return bool(high > 0.0 and abs(low) < 0.1 * high)


def _power(x: _Floats, y: _Floats) -> float:
    """Return the power of x that y grows as, where both are well above rest together; NaN where they are not."""
    there = (x > 0.08 * np.nanquantile(x, 0.99)) & (y > 0.02 * np.nanquantile(y, 0.99))
    if np.count_nonzero(there) < _FEWEST or rank_correlation(x[there], y[there]) < 0.8:
        return float("nan")
    return power_exponent(x[there], y[there])
