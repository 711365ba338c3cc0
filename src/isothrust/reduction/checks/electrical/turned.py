"""A current sensor put in the wrong way round reads the motor's current as negative."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["turn_current"]

_OUTWEIGHS: Final = 2.0
"""A current that goes this much further below nothing than above it flows the other way: braking alone does not."""
_LEAST: Final = 1.0
"""What is smaller [A] may be an offset."""


def turn_current(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the current with its sign turned where it is negative under power, and a finding that says so."""
    if channel.values.size == 0:
        return channel, []
    low, high = rough_quantiles(channel.values, 0.02, 0.98)
    if -low <= max(_LEAST, _OUTWEIGHS * max(high, 0.0)):
        return channel, []
    return replace(channel, values=-channel.values), [
        Finding(
            code="current-turned",
            severity="warning",
            message=f"the current is negative under power, down to {low:.3g} A: its sensor stands the wrong way round",
            channel="current",
            count=int(channel.values.size),
            effect="none once its sign is turned; power and efficiency were negative else",
            done="its sign was turned",
        )
    ]
