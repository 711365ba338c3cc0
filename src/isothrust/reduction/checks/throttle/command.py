"""A throttle that leaves 0 to 100 % by far: a glitch of the log, or a range that the rig file does not state."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.checks.bridge import bridged

__all__ = ["check_command"]

_LOW, _HIGH = -0.25, 1.25
_FEW = 0.01


def check_command(channel: Channel) -> tuple[Channel | None, list[Finding]]:
    """Return the throttle with single wild readings bridged, None where it is wild altogether, and the finding."""
    x = channel.values
    wild = (x < _LOW) | (x > _HIGH)
    count = int(np.count_nonzero(wild))
    if count == 0:
        return channel, []
    few = count <= _FEW * x.size
    at = np.flatnonzero(wild)
    worst = float(x[at[int(np.argmax(np.abs(x[at])))]])
    finding = Finding(
        code="throttle-out-of-range",
        severity="warning",
        message=f"the throttle reads up to {100.0 * worst:.4g} %, and {count} of {x.size} samples lie outside "
        f"{100.0 * _LOW:.0f} to {100.0 * _HIGH:.0f} %",
        channel="throttle",
        start=float(channel.time[at[0]]),
        end=float(channel.time[at[-1]]),
        count=count,
        effect="none" if few else "throttle is absent; power on and off are told by speed alone",
        done="these samples were left out and bridged by a straight line" if few else "the channel was left out",
    )
    return (bridged(channel, ~wild) if few else None), [finding]
