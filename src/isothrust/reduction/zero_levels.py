"""What the load cells read in each spell with the motor off: the points that a run's zero line goes through."""

from __future__ import annotations

from isothrust.records.recording import Recording
from isothrust.records.trail import ZeroLevel
from isothrust.reduction.cleaning import clean_channels
from isothrust.reduction.rest import rest_spells
from isothrust.reduction.zero import rest_levels

__all__ = ["zero_levels"]


def zero_levels(recording: Recording) -> dict[str, tuple[ZeroLevel, ...]]:
    """Return the levels of thrust and torque by channel, in the order of time."""
    cleaned, _ = clean_channels(recording)
    channels = {name: channel for name, channel in cleaned.items() if channel.time.size > 1}
    rests = rest_spells(channels)
    return {
        name: tuple(
            ZeroLevel(rest.start, rest.end, rest.level, rest.error, rest.readings, rest.left_out)
            for rest in rest_levels(channels[name], rests)
        )
        for name in ("thrust", "torque")
        if name in channels
    }
