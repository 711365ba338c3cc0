"""What a channel reads with the motor off, and how much of it a figure at a usual thrust is."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.recording import Floats
from isothrust.reduction.evidence import Evidence

__all__ = ["at_rest", "usual_bins"]

_THRUST: Final = 6.0
"""Thrust [N] at which small propellers are usually compared."""
_NEAR: Final = 0.1
"""How far a bin's thrust may be from it, in proportion [1]."""
_MIDDLE: Final = 0.6
"""Share of the greatest speed that stands in where that thrust was not measured [1]."""
_FEWEST: Final = 3


def at_rest(evidence: Evidence, quantity: str) -> tuple[Floats, ...]:
    """Return the samples of a cleaned channel in each spell with the motor off, in order of time."""
    loads = evidence.prepared.loads
    channel = loads.channels.get(quantity)
    if channel is None:
        return ()
    cuts = [np.searchsorted(channel.time, spell) for spell in loads.rests]
    return tuple(channel.values[first:last] for first, last in cuts if last > first)


def usual_bins(evidence: Evidence) -> tuple[np.ndarray, str]:
    """Return the steady bins (n,) near the thrust of a usual comparison, and that condition in words."""
    prepared = evidence.prepared
    thrust = prepared.steady("thrust")
    if thrust is not None:
        near = np.abs(thrust - _THRUST) < _NEAR * _THRUST
        if np.count_nonzero(near) >= _FEWEST:
            return near, f"{_THRUST / 0.00980665:.0f} gf"
    x = prepared.site.x
    order = np.argsort(np.abs(x - _MIDDLE * float(x.max())), kind="stable")
    near = np.zeros(x.size, dtype=bool)
    near[order[: max(_FEWEST, x.size // 20)]] = True
    return near, f"{100.0 * _MIDDLE:.0f} % of the greatest speed"
