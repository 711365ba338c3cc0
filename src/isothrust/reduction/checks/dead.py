"""A channel that reads zero from first to last: a sensor that is not connected."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel

__all__ = ["check_dead"]


def check_dead(channel: Channel) -> list[Finding]:
    """Return a finding where every reading is zero; the channel is then as good as not there."""
    if channel.values.size == 0 or np.any(channel.values != 0.0):
        return []
    return [
        Finding(
            code="channel-dead",
            severity="warning",
            message=f"{channel.quantity} reads zero in all {channel.time.size} samples: the sensor is not connected",
            channel=channel.quantity,
            count=int(channel.time.size),
            effect=f"what depends on {channel.quantity} is absent",
            done="the channel was left out",
        )
    ]
