"""A room that is too loud, a surface that sends the sound back, a clock that runs elsewhere."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats

__all__ = ["check_background", "check_clock", "check_reflection"]

_HIDDEN: Final = 0.1
"""Share of the frames that the background may hide before it is told [1]."""
_FAR: Final = 0.12
"""A tachometer's window is shorter than this [s]."""
_WAY: Final = (0.7e-3, 8e-3)
"""Shortest and longest detour of a reflection that is looked for [s]: 0.24 to 2.7 m."""
_BAND: Final = (1500.0, 14000.0)
_STANDS_OUT: Final = 9.0
"""How far a ripple's peak must lie above the usual size of the cepstrum beside it [1]."""
_SPEED_OF_SOUND: Final = 343.0


def check_background(hidden: Floats, *, known: bool) -> list[Finding]:
    """Tell how much of the run lies less than 3 dB above the background; `hidden` is true for such a frame (m,)."""
    if not known:
        return [
            Finding(
                "sound-background-unknown",
                "note",
                "nothing was recorded with the motor off, so the room's own noise is still inside the levels",
                channel="sound",
                effect="quiet propellers come out too loud",
                done="nothing: begin the recording two seconds before the motor",
            )
        ]
    share = float(np.mean(hidden))
    if share < _HIDDEN:
        return []
    return [
        Finding(
            "sound-near-background",
            "warning",
            f"{100.0 * share:.0f} % of the steady sound lies less than 3 dB above the background",
            channel="sound",
            effect="levels there are absent",
            count=int(np.count_nonzero(hidden)),
            done="left out",
        )
    ]


def check_clock(delay: float, u_delay: float, *, tied: bool) -> list[Finding]:
    """Tell where the blades' own tone says that the sound lies elsewhere than its clock says."""
    if abs(delay) < _FAR + 3.0 * u_delay:
        return []
    where = "behind" if delay > 0.0 else "ahead of"
    return [
        Finding(
            "sound-clock-off",
            "warning" if tied else "note",
            f"by the tone of the blades the sound lies {abs(delay):.2f} s {where} the log",
            channel="sound",
            effect="every level would stand at a wrong speed",
            done="laid over the tachometer by that tone",
        )
    ]


def check_reflection(running: Floats, step: float) -> list[Finding]:
    """Tell of a ripple over frequency that a surface makes: sound that comes a second time, a little later.

    `running` are summed-up spectra of frames at many speeds (m, lines + 1): over them the blades' tones average out,
    a ripple of the room's does not.
    """
    lines = np.diff(running, axis=1)
    first, last = round(_BAND[0] / step), min(round(_BAND[1] / step), lines.shape[1] - 2)
    if last - first < 128:
        return []
    with np.errstate(divide="ignore"):
        mean = np.log(np.maximum(lines[:, first:last], 1e-300)).mean(axis=0)
    # what is smooth over frequency is the propeller's own
    place = np.linspace(-1.0, 1.0, mean.size)
    rest = (mean - np.polyval(np.polyfit(place, mean, 8), place)) * np.hanning(mean.size)
    size = 8 * mean.size
    ripple = np.abs(np.fft.rfft(rest, size))
    late = np.arange(ripple.size) / (size * step)
    inside = (late > _WAY[0]) & (late < min(_WAY[1], 0.4 / step))
    if not inside.any():
        return []
    usual = float(np.median(ripple[inside]))
    best = int(np.argmax(np.where(inside, ripple, 0.0)))
    if ripple[best] < _STANDS_OUT * usual:
        return []
    return [
        Finding(
            "sound-reflection",
            "note",
            f"a part of the sound comes {1e3 * late[best]:.1f} ms later, as from a surface that adds "
            f"{100.0 * late[best] * _SPEED_OF_SOUND:.0f} cm to the way",
            channel="sound",
            effect="single bands are off by several decibel, levels as a whole by one or two",
            done="nothing: cover the surface with something soft, or move stand and microphone away from it",
        )
    ]
