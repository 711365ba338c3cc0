"""A tachometer that tells nothing: current shows that the rotor's load changed, the speed column does not."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["check_witness"]

_LEAST_TOP = 0.3
"""A current that moves less than this [A] is no witness."""
_UNDER_POWER = 0.2
"""Share of the current's range above which the rotor must turn."""
_LOST = 0.25
"""Share of the samples under power that may read nothing."""
_STUCK = 0.25
"""Share of the greatest current that may come or go while the speed reads the very same."""
_TURNS = 0.1
"""Share of its greatest reading above which the speed says that the rotor turns."""
_FEWEST = 5
_PARTS = 4
"""Parts of a spell whose levels of current are compared: a late current has caught up within the first."""
_LONGEST = 1.5
"""No filter of current or speed takes longer than this [s]."""


def check_witness(speed: Channel, current: Channel) -> list[Finding]:
    """Return a finding where the speed channel is of no use: stuck at old values, or blind under power."""
    if current.values.size == 0 or speed.values.size < _FEWEST:
        return []
    drawn = current.values
    least, top = rough_quantiles(drawn, 0.02, 0.98)
    if -least > max(top, 0.0):  # a sensor put in the wrong way round is a witness all the same
        drawn, least, top = -drawn, -top, -least
    if top - least < _LEAST_TOP:  # what never moves itself is no witness
        return []
    together = speed.time is current.time
    amps = drawn if together else np.interp(speed.time, current.time, drawn)
    powered = amps > least + _UNDER_POWER * (top - least)
    if np.count_nonzero(powered) < _FEWEST:
        return []
    nothing = powered & (speed.values <= 0.02 * rough_quantiles(speed.values, 0.98)[0])
    share = np.count_nonzero(nothing) / np.count_nonzero(powered)
    if share > _LOST:
        what = f"the tachometer reads nothing in {100.0 * share:.0f} % of the samples under power"
        return [_finding(speed, np.flatnonzero(nothing), code="tachometer-lost", message=what)]
    turning = speed.values > _TURNS * rough_quantiles(speed.values, 0.98)[0]
    for spell in _repeats(speed, turning):
        levels = [float(np.median(amps[part])) for part in np.array_split(spell, _PARTS)]
        before, after = (min(levels), max(levels)) if levels[0] <= levels[-1] else (max(levels), min(levels))
        if abs(after - before) > _STUCK * top:
            rpm = speed.values[spell[0]] * 30.0 / np.pi
            what = f"the tachometer repeats {rpm:.0f} rpm in {spell.size} samples while the current goes from "
            what += f"{before:.3g} to {after:.3g} A"
            return [_finding(speed, spell, code="tachometer-stuck", message=what)]
    return []


def _repeats(speed: Channel, turning: np.ndarray) -> list[np.ndarray]:
    """Return the samples of each long unbroken spell in which the speed reads the very same, and not nothing."""
    same = np.diff(speed.values) == 0.0
    ends = np.flatnonzero(np.concatenate([~(same & turning[1:]), [True]]))
    starts = np.concatenate([[0], ends[:-1] + 1])
    long = (ends - starts + 1 >= _FEWEST) & (speed.time[ends] - speed.time[starts] > _LONGEST)
    return [np.arange(a, b + 1) for a, b in zip(starts[long].tolist(), ends[long].tolist(), strict=True)]


def _finding(speed: Channel, at: np.ndarray, *, code: str, message: str) -> Finding:
    return Finding(
        code=code,
        severity="warning",
        message=message,
        channel="speed",
        start=float(speed.time[at[0]]),
        end=float(speed.time[at[-1]]),
        count=int(at.size),
        effect="what depends on speed is absent",
        done="the speed channel was left out",
    )
