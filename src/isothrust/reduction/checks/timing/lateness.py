"""Channels so late against another that no usual filter explains it."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.records.reduced import Estimate
from isothrust.reduction.checks.timing.falling import Fall, fall_delay
from isothrust.reduction.evidence import Evidence

__all__ = ["check_lateness"]

_BAND: Final = 0.08
"""Filters of cells answer within this [s]; what is later was averaged or buffered on the way."""
_AHEAD: Final = 0.04
"""No thrust is ahead of the speed that makes it: a speed this much later [s] is a mean over twice that, or more."""
_CUT: Final = 0.12
"""Current that takes longer to fall [s] follows a throttle that is drawn back, no cut."""
_SURE: Final = 4.0
"""Multiple of a fitted delay's own uncertainty by which it must be outside the band."""


def check_lateness(evidence: Evidence) -> list[Finding]:
    """Return a finding for each channel that is later than the band allows: cells, sensors, and the tachometer."""
    mechanics = evidence.mechanics
    found: list[Finding] = []
    if mechanics.thrust is not None:
        fall = fall_delay(evidence, "thrust", "speed", driven=np.square) or _fitted(mechanics.thrust.lag)
        moved = _moved(mechanics.thrust.slope, evidence.prepared.steady("thrust"))
        if fall is not None and fall.delay > _BAND + fall.doubt:
            found.append(_late("thrust", "speed", fall, mechanics.thrust.lag, moved))
        elif fall is not None and fall.delay < -_AHEAD - fall.doubt:
            found.append(_averaged(fall, mechanics.thrust.lag, moved))
    if mechanics.torque is not None:
        torque = mechanics.torque
        fall = fall_delay(evidence, "torque", "current", quickest=_CUT)
        moved = _moved(torque.given.slope, torque.given.torque)
        if fall is not None and fall.delay > _BAND + fall.doubt:
            found.append(_late("torque", "current", fall, torque.lag, moved))
        elif fall is not None and fall.delay < -_BAND - fall.doubt:
            ahead = Fall(-fall.delay, fall.doubt, fall.count)
            found.append(_late("current", "torque", ahead, evidence.electrics.lag, None))
        elif fall is None and (fitted := _fitted(torque.lag)) is not None and fitted.delay > _BAND + fitted.doubt:
            found.append(_late("torque", "speed", fitted, torque.lag, moved))
    return found


def _fitted(lag: Estimate) -> Fall | None:
    """Return a delay as the fits have it, where nothing falls."""
    if not 0.0 < lag.uncertainty < 0.25 * _BAND:
        return None
    return Fall(lag.value, _SURE * lag.uncertainty, 0)


def _moved(rate: Floats, reading: Floats | None) -> float:
    """Return how fast a load changes in the middle of the run, in proportion [1/s]; 0 where it does not."""
    if reading is None or not np.any(reading > 0.0):
        return 0.0
    middle = reading > 0.3 * float(reading.max())
    return abs(float(np.median(rate[middle] / reading[middle])))


def _known(fall: Fall, lag: Estimate) -> bool:
    """Tell whether the reduction took out a delay like this one."""
    return bool(np.isfinite(lag.degrees_of_freedom)) and abs(lag.value - fall.delay) < 0.5 * abs(fall.delay)


def _effect(channel: str, fall: Fall, lag: Estimate, moved: float) -> str:
    if moved == 0.0:
        return "rise times, rotor inertia and what is read from steps move with it"
    size = 100.0 * moved * abs(fall.delay)
    if _known(fall, lag):
        return f"{size:.2g} % of {channel} in the middle of the run, of which the correction takes out most"
    return f"about {size:.2g} % of {channel} at a speed in the middle of the run, and with it of the coefficient"


def _late(channel: str, other: str, fall: Fall, lag: Estimate, moved: float | None) -> Finding:
    known = _known(fall, lag)
    return Finding(
        code="lag-beyond-band",
        severity="warning",
        message=f"{channel} is {1e3 * fall.delay:.0f} ms later than {other}, {_by(fall)}; "
        f"{1e3 * _BAND:.0f} ms is the most that usual filters take",
        channel=channel,
        effect=_effect(channel, fall, lag, moved or 0.0),
        done="the delay was taken out, and what is in doubt of it is in the budget" if known else "nothing",
    )


def _averaged(fall: Fall, lag: Estimate, moved: float) -> Finding:
    known = _known(fall, lag)
    return Finding(
        code="speed-averaged",
        severity="warning",
        message=f"speed is {-1e3 * fall.delay:.0f} ms later than the thrust it makes, {_by(fall)}: "
        f"the tachometer gives a mean over {-2e3 * fall.delay:.0f} ms or more, or the reading waits on the way",
        channel="speed",
        effect=_effect("thrust", fall, lag, moved),
        done="the mean delay was taken out; that the reading is smoothed was not" if known else "nothing",
    )


def _by(fall: Fall) -> str:
    if fall.count == 0:
        return "by what legs up and down say of each other"
    return "by the drop of both" if fall.count == 1 else f"by {fall.count} drops of both"
