"""Speed that sinks at constant throttle: a controller that takes duty back in its heat, or a winding that warms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.checks.throttle.duty import relative_duty
from isothrust.reduction.checks.throttle.plateaus import plateaus
from isothrust.reduction.evidence import Evidence

__all__ = ["check_derating"]

_SHORTEST: Final = 1.0
"""Shortest hold [s] that is looked at."""
_FEWEST: Final = 6
_DUTY: Final = 0.015
"""Least fall of the duty over a hold [1]: 1.5 % of throttle."""
_SPEED: Final = 0.02
"""Least fall of speed per volt over a hold [1]: 4 % of thrust."""
_LEAST: Final = 0.003
"""What is not looked at any closer [1]."""
_CERTAIN: Final = 5.0
_AS_ONE: Final = 4.0
"""Neighbouring bins that count as one: cells have filters."""


@dataclass(frozen=True, slots=True)
class _Fall:
    """What sank over one hold."""

    start: float
    end: float
    command: float
    speed: float
    """Share of speed per volt [1]."""
    duty: float | None
    """Share of the duty [1]; None where no channels tell it, or where it is within its scatter."""


def check_derating(evidence: Evidence) -> list[Finding]:
    """Return a finding for the hold over which the duty sank most, or else for that in which the winding warmed most.

    At constant throttle a winding that warms leaves the duty where it is and loses volts; a controller that protects
    itself lowers the duty. Torque or thrust beside current tells which.
    """
    falls = _falls(evidence)
    cut = [fall for fall in falls if fall.duty is not None and fall.duty >= _DUTY and fall.speed > 0.25 * fall.duty]
    if cut:
        worst = max(cut, key=lambda fall: fall.duty or 0.0)
        assert worst.duty is not None
        return [
            _finding(
                worst,
                f"{100.0 * worst.duty:.1f} % of the duty go, as current over torque tells: the controller takes back",
                warning=True,
            )
        ]
    warm = [fall for fall in falls if fall.speed >= _SPEED]
    if not warm:
        return []
    why = "the duty stays: the winding gets warm" if relative_duty(evidence) is not None else "no torque tells why"
    return [_finding(max(warm, key=lambda fall: fall.speed), why, warning=False)]


def _falls(evidence: Evidence) -> list[_Fall]:
    prepared = evidence.prepared
    bins, spells = prepared.bins, prepared.spells
    if prepared.abscissa != "speed":
        return []
    voltage = bins.get("voltage")
    per_volt = spells.drive if voltage is None else spells.drive / np.where(voltage > 0.0, voltage, np.nan)
    duty = relative_duty(evidence)
    out: list[_Fall] = []
    for plateau in plateaus(evidence):
        inside = plateau.first + np.flatnonzero(spells.steady[plateau.first : plateau.last + 1])
        if inside.size < 3 * _FEWEST or bins.time[inside[-1]] - bins.time[inside[0]] < _SHORTEST:
            continue
        speed = _fall(per_volt[inside])
        if speed is None:
            continue
        taken = None if duty is None else _fall(duty[inside])
        start, end = float(bins.time[inside[0]]), float(bins.time[inside[-1]])
        out.append(_Fall(start, end, plateau.command, speed, taken))
    return out


def _fall(values: Floats) -> float | None:
    """Return the share by which a level sank from the first third to the last; None where scatter may feign it."""
    third = values.size // 3
    first, last = values[:third], values[-third:]
    level = float(np.mean(values))
    if not np.isfinite(level) or level <= 0.0:
        return None
    fall = float(np.mean(first) - np.mean(last)) / level
    if fall < _LEAST:
        return None
    # departures from a straight line: what sinks steadily is no scatter
    scatter = float(np.std(np.diff(values))) / np.sqrt(2.0) / level
    wander = float(np.hypot(np.std(first - _line(first)), np.std(last - _line(last)))) / level
    error = max(scatter, wander) * np.sqrt(_AS_ONE / third)
    return fall if fall > _CERTAIN * error else None


def _line(values: Floats) -> Floats:
    place = np.arange(values.size) - 0.5 * (values.size - 1)
    return np.asarray(values.mean() + place * float(place @ values) / max(float(place @ place), 1e-12))


def _finding(fall: _Fall, why: str, *, warning: bool) -> Finding:
    return Finding(
        code="thermal-derating",
        severity="warning" if warning else "note",
        message=f"speed per volt falls by {100.0 * fall.speed:.1f} % over {fall.end - fall.start:.1f} s at "
        f"{100.0 * fall.command:.0f} % throttle; {why}",
        channel="speed",
        start=fall.start,
        end=fall.end,
        effect=f"thrust at that throttle falls by {200.0 * fall.speed:.0f} %, and throttle at a thrust rises the "
        "longer a hold lasts; thrust against speed stands",
        done="nothing",
    )
