"""A channel that never moves: a sensor that is not connected, or one that is stuck."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel

__all__ = ["check_dead", "check_stuck"]


def check_dead(channel: Channel, *, least: float = 0.0) -> list[Finding]:
    """Return a finding where no reading ever passes `least` in size [SI]; the channel is then as good as not there."""
    if channel.values.size == 0 or np.any(np.abs(channel.values) > least):
        return []
    return [_finding(channel, f"no more than {least:g}" if np.any(channel.values != 0.0) else "zero", "not connected")]


def check_stuck(channel: Channel, rests: Sequence[tuple[float, float]]) -> list[Finding]:
    """Return a finding where a load reads the same with the motor off and on; steady readings alone are no fault."""
    if not rests or channel.values.size == 0 or np.any(channel.values != channel.values[0]):
        return []
    return [_finding(channel, f"{channel.values[0]:.4g}", "stuck")]


def _finding(channel: Channel, reading: str, why: str) -> Finding:
    return Finding(
        code="channel-dead",
        severity="warning",
        message=f"{channel.quantity} reads {reading} in all {channel.time.size} samples: the sensor is {why}",
        channel=channel.quantity,
        count=int(channel.time.size),
        effect=f"what depends on {channel.quantity} is absent",
        done="the channel was left out",
    )
