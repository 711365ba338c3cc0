"""Resonances that an order meets, and mains in the accelerometer."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.vibration import FixedLine, OrderCurve
from isothrust.science.resonance import mains_harmonic

__all__ = ["check_mains", "check_resonances", "lift_at"]

_SHARE = 0.2
"""Of the mean square that an order must have at a crossing for the resonance to matter [1]."""
_LIFT = 1.5
"""Amplitude over what the order has on both sides, by its speed squared, from which it is the stand's [1]."""
_HUM_SHARE = 0.05
"""Of the mean square at the run's least vibration [1]; below, a hum moves the RMS by less than 2.5 %."""
_GRAVITY = 9.80665


def check_resonances(
    lines: tuple[FixedLine, ...], curves: tuple[OrderCurve, ...], axes: tuple[str, ...]
) -> list[Finding]:
    """Tell where an order meets one of the stand's own resonances and is lifted by it."""
    told: list[str] = []
    for line in lines:
        if line.kind != "resonance":
            continue
        for curve in curves:
            speed = 2.0 * np.pi * line.frequency / curve.order
            lift = lift_at(curve, speed, axes.index(line.axis))
            if lift is None:
                continue
            about = np.abs(curve.speed / speed - 1.0) < 0.06
            if lift >= _LIFT and float(curve.share[about].max()) >= _SHARE:
                rpm = speed * 30.0 / np.pi
                told.append(
                    f"{curve.label} meets {line.frequency:.0f} Hz ({line.axis}) at {rpm:.0f} rpm: {lift:.1f} times"
                )
    if not told:
        return []
    return [
        Finding(
            "mount-resonance",
            "warning",
            f"the stand resounds: {'; '.join(told[:3])} of what it is on both sides",
            channel="acceleration",
            count=len(told),
            effect="vibration at these speeds is the stand's as much as the propeller's",
        )
    ]


def lift_at(curve: OrderCurve, speed: float, axis: int) -> float | None:
    """Return an axis's greatest amplitude about a speed over that on both sides of it, all by speed squared."""
    size = curve.axes[:, axis] / curve.speed**2
    away = np.abs(curve.speed / speed - 1.0)
    about = away < 0.06
    below = (curve.speed < speed) & (away > 0.15) & (away < 0.35)
    above = (curve.speed > speed) & (away > 0.15) & (away < 0.45)
    if not (about.any() and below.any() and above.any()):
        return None
    beside = max(float(np.median(size[below])), float(np.median(size[above])))
    return float(size[about].max()) / max(beside, 1e-300)


def check_mains(lines: tuple[FixedLine, ...], least: float) -> list[Finding]:
    """Tell where the mains are a part of the vibration; `least` is the run's least mean square [m2/s4]."""
    hums = [line for line in lines if line.kind == "mains"]
    square = sum(line.level**2 for line in hums)
    if not hums or square < _HUM_SHARE * least:
        return []
    named = mains_harmonic(hums[0].frequency, within=2.0)
    mains = "the mains" if named is None else f"mains of {named[0]:.0f} Hz"
    shown = ", ".join(f"{line.frequency:.0f} Hz" for line in sorted(hums, key=lambda line: line.frequency)[:4])
    return [
        Finding(
            "vibration-mains-hum",
            "warning",
            f"{mains} are in the accelerometer: {shown}, {square**0.5 / _GRAVITY:.2g} g in all",
            channel="acceleration",
            count=len(hums),
            effect=f"at low thrust the mean square is too great by up to {100.0 * min(square / least, 1.0):.0f} %",
        )
    ]
