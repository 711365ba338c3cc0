"""A current that falls as the rotor speeds up: a wrong column, or a sensor turned round about its zero."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from isothrust.errors import ReductionError
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["refuse_falling_current"]

_SLOW, _FAST = 0.15, 0.7
"""Shares of top speed below which a rotor is slow, and above which it is fast [1]."""
_OFF: Final = 0.05
"""Command below which no motor pulls [1]."""
_FALLS: Final = 0.997
"""Share to which current must have fallen from slow to fast [1]: a supply's voltage read as current sags by more."""
_SCATTERS: Final = 5.0
"""Multiple of the readings' scatter at rest that it must have fallen by: a sensor that is not connected wanders [1]."""
_LEAST: Final = 0.5
"""Current of a slow rotor from which it counts [A]."""
_FEWEST: Final = 20


def refuse_falling_current(channels: Mapping[str, Channel], job: RunJob) -> None:
    """Raise ReductionError `current-falls` where current is great at rest and small at speed, as no motor's is.

    It comes before anything else takes the current for a witness of what the rotor does.
    """
    current, speed, throttle = (channels.get(name) for name in ("current", "speed", "throttle"))
    if current is None or speed is None or throttle is None or job.run.kind not in {"ramp", "holds", "steps"}:
        return
    if min(channel.values.size for channel in (current, speed, throttle)) < _FEWEST:
        return
    if np.any(np.diff(speed.time) <= 0.0) or np.any(np.diff(throttle.time) <= 0.0):
        return
    turning = np.interp(current.time, speed.time, speed.values)
    (top,) = rough_quantiles(turning, 0.98)
    # a tachometer that lost its mark reads nothing as well: only where the command is off the rotor is slow for sure
    off = np.interp(current.time, throttle.time, throttle.values) < _OFF
    slow, fast = (turning < _SLOW * top) & off, turning > _FAST * top
    if top <= 0.0 or min(np.count_nonzero(slow), np.count_nonzero(fast)) < _FEWEST:
        return
    at_rest, at_speed = float(np.median(current.values[slow])), float(np.median(current.values[fast]))
    scatter = float(np.std(current.values[slow]))
    if at_rest < _LEAST or at_speed >= _FALLS * at_rest or at_rest - at_speed < _SCATTERS * scatter:
        return
    raise ReductionError(
        f"the current of run {job.run.name} falls from {at_rest:.3g} A, with the rotor slow or at rest, to "
        f"{at_speed:.3g} A at speed",
        code="current-falls",
        expected="a current that rises with speed, about as its cube",
        fix=f"map the column of the current under [channels.current] in rigs/{job.rig.name}.toml, or set "
        "sign = -1 there",
    )
