"""What a fault of tests/logs/runs brings along: findings beside the planted one that are as true."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

__all__ = ["BESIDE"]

_FAST: Final = ("power-balance", "propeller-reversed")
"""A speed read too high: more shaft power than goes in, and a thrust coefficient far too low."""

BESIDE: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "speed-factor": _FAST,
        "speed-factor-3": _FAST,
        "speed-factor-4": _FAST,
        "speed-factor-5": _FAST,
        # A speed read too low: coefficients four times the truth.
        "speed-factor-2": ("merit-above-one", "coefficient-out-of-class"),
        # Thrust of 2.6 times the truth: no propeller could.
        "coefficient-out-of-class": ("merit-above-one",),
        # A rotor that never settles: what turns it faster stands in its levels of torque.
        "steps-unsettled": ("coefficient-out-of-class",),
        # A channel behind a slow filter is late as well, and one that is late in the drop alone looks filtered.
        "lag-beyond-band": ("filter-slow",),
        "lag-beyond-band-2": ("filter-slow",),
        "filter-slow": ("lag-beyond-band",),
        "filter-slow-2": ("lag-beyond-band",),
        # A reading cut off at half begins its drop late.
        "saturated-2": ("lag-beyond-band",),
        # A torque read 11 % too high is more shaft power than the drive can give.
        "torque-crosstalk": ("power-balance",),
    }
)
"""Run -> codes."""
