"""Power that flows the wrong way while the rotor pushes: an offset, or a sign, is inside the channel."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence

__all__ = ["check_negative_power"]

_LOADED: Final = 0.2
"""Share of top speed above which a propeller takes power beyond any doubt of a zero [1]."""
_FALLING: Final = 0.01
"""A rotor that loses more than this share of top speed a second may well give power back [1/s]."""
_FEWEST: Final = 10
_CERTAIN: Final = 4.0
"""Multiple of the standard error of the mean, neighbouring bins taken as one in five."""
_BINS_AS_ONE: Final = 5.0


def check_negative_power(evidence: Evidence) -> list[Finding]:
    """Return a finding for shaft and for electrical power where it is negative under load."""
    prepared, out = evidence.prepared, []
    spells = prepared.spells
    steady = spells.steady
    loaded = spells.drive[steady] > _LOADED * spells.top
    driven = loaded & (spells.slope[steady] > -_FALLING * spells.top)
    for word, channel, power in (
        ("shaft", "torque", _product(prepared.steady("torque"), prepared.steady("speed"))),
        ("electrical", "current", _product(prepared.steady("voltage"), prepared.steady("current"))),
    ):
        if power is None:
            continue
        below = driven & (power < 0.0)
        values = power[below]
        if values.size < _FEWEST:
            continue
        # those below zero alone would be below zero by noise, too: they must lie there together, at neighbouring speeds
        reach = driven & (prepared.site.x <= float(prepared.site.x[below].max()))
        reach &= prepared.site.x >= float(prepared.site.x[below].min())
        inside = power[reach]
        error = float(np.std(inside)) / np.sqrt(max(inside.size / _BINS_AS_ONE, 1.0))
        if float(np.mean(inside)) > -_CERTAIN * error:
            continue
        out.append(_finding(evidence, word, channel, values, below))
    return out


def _product(first: Floats | None, second: Floats | None) -> Floats | None:
    return None if first is None or second is None else first * second


def _finding(evidence: Evidence, word: str, channel: str, values: Floats, below: np.ndarray) -> Finding:
    prepared = evidence.prepared
    time = prepared.bins.time[prepared.spells.steady][below]
    share = 100.0 * values.size / max(int(below.size), 1)
    return Finding(
        code="power-negative",
        severity="warning",
        message=f"{word} power is negative under load, down to {float(values.min()):.3g} W, in {share:.0f} % of the "
        "steady part of the run, where the rotor does not slow down",
        channel=channel,
        start=float(time[0]),
        end=float(time[-1]),
        count=int(values.size),
        effect=f"{word} efficiency has no meaning there, and is wrong by the same offset at every other thrust",
        done="nothing",
    )
