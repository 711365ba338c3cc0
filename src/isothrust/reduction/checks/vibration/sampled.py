"""An accelerometer sampled too slowly or too unevenly for what turns."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.prepare import Prepared
from isothrust.reduction.vibrating_frames import Sampling

__all__ = ["alias_of", "check_aliased", "check_sampling"]

_RPM = 2.0 * np.pi / 60.0


def alias_of(frequency: float, rate: float) -> float:
    """Return where a frequency shows up when sampled at a rate [Hz]: folded about half of it.

    Examples
    --------
    >>> alias_of(700.0, 1000.0), alias_of(1200.0, 1000.0), alias_of(300.0, 1000.0)
    (300.0, 200.0, 300.0)
    """
    rest = frequency % rate
    return min(rest, rate - rest)


def check_sampling(sampling: Sampling) -> list[Finding]:
    """Tell why an accelerometer gives no figure."""
    return [
        Finding(
            "vibration-without-rate",
            "warning",
            f"the accelerometer has no usable rate: {sampling.unusable}",
            channel="acceleration",
            effect="the run has no vibration",
            done="acceleration was left out",
        )
    ]


def check_aliased(sampling: Sampling, prepared: Prepared) -> list[Finding]:
    """Tell where what turns is faster than half the accelerometer's rate."""
    if prepared.abscissa != "speed":
        return []
    top = float(prepared.site.x.max())
    turning, half = top / (2.0 * np.pi), 0.5 * sampling.rate
    blades = prepared.job.design.blades
    passing = turning * blades if blades else turning
    if passing <= half:
        return []
    what, fastest = ("once per revolution", turning) if turning > half else ("blade passing", passing)
    return [
        Finding(
            "vibration-aliased",
            "warning",
            f"{what} is {fastest:.0f} Hz at {top / _RPM:.0f} rpm, above half of the accelerometer's "
            f"{sampling.rate:.0f} samples a second: without a filter ahead of the sampling it shows up at "
            f"{alias_of(fastest, sampling.rate):.0f} Hz",
            channel="acceleration",
            effect="vibration may hold what folds down into its band, and does not hold what lies above",
            done=f"the band ends at {sampling.high:.0f} Hz; where once per revolution lies above, none is stated",
        )
    ]
