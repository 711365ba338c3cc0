"""Evidence from how columns move: with the throttle, with each other, or steadily on like a clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from isothrust.ingest.mapping.values import Facts, shown
from isothrust.records.mapping import Evidence
from isothrust.science.association import power_exponent, rank_correlation

__all__ = ["Movement", "clock_evidence", "clock_places", "movement_evidence", "movements"]

_Floats = NDArray[np.float64]

_STRONG: Final = 0.8
_CODES: Final = 8
_BACK: Final = 0.1
"""Share of steps back beyond which a column is no clock."""


@dataclass(frozen=True, slots=True)
class Movement:
    """How one column moves as the throttle does."""

    correlation: float
    """Rank correlation with the throttle."""
    exponent: float
    """Of its rise above rest, as a power of the throttle's; NaN where it does not rise by one."""
    rest: float
    """Median reading with the throttle at its lowest."""
    top: float
    """Median reading with the throttle near its highest."""

    @property
    def rises(self) -> bool:
        """Say whether it goes with the throttle, upward or downward, from a rest."""
        return abs(self.correlation) >= _STRONG


def movements(logs: Sequence[Sequence[_Floats]], throttle: int, facts: Mapping[int, Facts]) -> dict[int, Movement]:
    """Return how every other column moves with the throttle, by place: the median over several logs."""
    seen = [_movements(columns, throttle, facts) for columns in logs]
    return {place: _median([each[place] for each in seen]) for place in facts if place != throttle}


def _median(each: Sequence[Movement]) -> Movement:
    def middle(values: Sequence[float]) -> float:
        known = [value for value in values if np.isfinite(value)]
        return float(np.median(known)) if known else float("nan")

    return Movement(
        middle([one.correlation for one in each]),
        middle([one.exponent for one in each]),
        middle([one.rest for one in each]),
        middle([one.top for one in each]),
    )


def _movements(columns: Sequence[_Floats], throttle: int, facts: Mapping[int, Facts]) -> dict[int, Movement]:
    command = columns[throttle]
    low, high = float(np.nanmin(command)), float(np.nanmax(command))
    share = (command - low) / (high - low) if high > low else np.full(command.size, np.nan)
    return {place: _movement(share, columns[place]) for place in facts if place != throttle}


def _movement(share: _Floats, values: _Floats) -> Movement:
    known = np.isfinite(share) & np.isfinite(values)
    if np.count_nonzero(known) < 20:
        return Movement(float("nan"), float("nan"), float("nan"), float("nan"))
    share, values = share[known], values[known]
    rest = float(np.median(values[share <= 0.05]))
    top = float(np.median(values[share >= 0.9 * share.max()]))
    edges = np.linspace(0.15, 1.0, 13)
    bins = [(share > low) & (share <= high) for low, high in pairwise(edges)]
    filled = [inside for inside in bins if np.count_nonzero(inside) >= 3]
    middle = np.array([np.median(share[inside]) for inside in filled])
    level = np.array([np.median(values[inside]) for inside in filled])
    rise = np.abs(level - rest)
    return Movement(rank_correlation(share, values), power_exponent(middle, rise), rest, top)


def movement_evidence(
    moved: Mapping[int, Movement], facts: Mapping[int, Facts], clocks: frozenset[int]
) -> dict[int, list[Evidence]]:
    """Return what the movement of each column with the throttle speaks for, by place.

    Speed rises about in proportion to the throttle, thrust and torque as its square, current faster still; the
    supply's voltage sags a little from a level well above zero. What the columns are is told by their order.
    """
    found: dict[int, list[Evidence]] = {place: [] for place in moved}
    risers = []
    for place, each in moved.items():
        if place in clocks or facts[place].distinct < _CODES:
            continue
        if facts[place].falling < 0.0005 and facts[place].rising < 0.5:
            found[place].append(Evidence("movement", "", "only ever goes up: charge, energy or a count", 3.0))
            continue
        drop = (each.rest - each.top) / each.rest if each.rest > 0.0 else 0.0
        if each.correlation <= -0.5 and 0.003 < drop < 0.4 and facts[place].low >= 0.0:
            words = f"sags from {shown(each.rest)} to {shown(each.top)} as the throttle rises"
            found[place].append(Evidence("movement", "voltage", words, 3.0))
            found[place].append(Evidence("movement", "current", f"{words}: no motor's current does", -4.0))
        elif each.rises and np.isfinite(each.exponent) and abs(each.top - each.rest) > 0.5 * abs(each.top):
            risers.append(place)
    return found | _by_exponent(risers, moved, found)


def _by_exponent(
    risers: list[int], moved: Mapping[int, Movement], found: dict[int, list[Evidence]]
) -> dict[int, list[Evidence]]:
    """Order the columns that rise by the power of their rise: speed, then loads, then current."""
    ordered = sorted(risers, key=lambda place: moved[place].exponent)
    least = moved[ordered[0]].exponent if ordered else float("nan")
    ratios = {place: moved[place].exponent / least for place in ordered if least > 0.0}
    loads = [place for place in ordered[1:-1] if 1.4 <= ratios.get(place, 0.0) <= 2.45]
    told: dict[int, list[Evidence]] = {}
    for rank, place in enumerate(ordered):
        lines, grows = list(found[place]), f"grows as throttle to the power {moved[place].exponent:.1f}"
        ratio = ratios.get(place, 0.0)
        if rank == 0 and 0.3 < least < 1.35 and len(ordered) > 1:
            lines.append(Evidence("movement", "speed", f"{grows}, the least of all", 3.0))
        elif place in loads:
            # Thrust and torque grow alike: where several do, their movement does not tell which is which.
            one = len(loads) == 1
            lines.append(
                Evidence("movement", "thrust", f"{grows}, {ratio:.1f} times that of speed: a load", 3.0 if one else 2.0)
            )
            lines.append(Evidence("movement", "torque", f"{grows}, as a load does", 2.0))
        elif rank == len(ordered) - 1 and rank > 0 and ratio > 1.8:
            lines.append(Evidence("movement", "current", f"{grows}, the most of all", 3.2))
            lines.append(Evidence("movement", "electrical-power", grows, 1.5))
            lines += [
                Evidence("movement", load, grows, 2.8) for load in ("thrust", "torque") if not loads and ratio < 2.45
            ]
        told[place] = lines
    return told


def clock_places(
    evidence: Mapping[int, Sequence[Evidence]], facts: Mapping[int, Facts]
) -> tuple[frozenset[int], frozenset[int]]:
    """Return the columns that may be the clock, and those with counters, which only go on by steps of one size.

    Stamps and heads say which column is the clock; where none does, it is the first that goes up all the time: a
    throttle that does nothing but rise must not be taken for one.
    """
    stamped = {place for place, found in evidence.items() if any(each.kind == "range" for each in found)}
    on = stamped | {place for place, found in facts.items() if found.falling <= _BACK}
    called = {place for place in on if any(_calls_time(each) for each in evidence[place])}
    up = [place for place in sorted(facts) if facts[place].clocklike and not _is_no_channel(evidence[place])]
    clocks = frozenset(called or up[:1])
    counters = frozenset(place for place in facts if facts[place].clocklike and facts[place].steady)
    return clocks, clocks | counters


def _calls_time(evidence: Evidence) -> bool:
    return evidence.quantity == "time" and evidence.kind in {"head", "range"} and evidence.weight >= 3.0


def _is_no_channel(evidence: Sequence[Evidence]) -> bool:
    return any(each.quantity == "" for each in evidence)


def clock_evidence(place: int, facts: Facts) -> list[Evidence]:
    """Return what speaks for a clock or a count of rows."""
    if facts.falling > _BACK:
        return [Evidence("range", "time", "goes back again and again", -3.0)]
    if not facts.clocklike or facts.count < 3:
        return []
    if facts.low > 1e9 and not facts.whole:
        return [
            Evidence("movement", "time", f"goes up all the time from {facts.low:.0f}, as seconds since 1970 do", 4.0)
        ]
    weight = 3.5 if place == 0 else 2.5
    return [Evidence("movement", "time", f"goes up from row to row, mostly by {shown(facts.step)}", weight)]
