"""A controller that is not calibrated to the ends of its command: a flat top, or a rotor that starts late."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Floats
from isothrust.reduction.checks.throttle.duty import relative_duty
from isothrust.reduction.evidence import Evidence

__all__ = ["check_endpoints", "first_command", "full_command"]

_BODY: Final[tuple[float, float]] = (0.75, 0.985)
"""Shares of the greatest speed per volt between which the command of a ramp is followed up to it [1]."""
_TOPMOST: Final = 0.2
"""Time [s] that stands for the greatest speed per volt."""
_FEWEST: Final = 12
_FLAT_RAMP: Final = 0.015
"""Command beyond which a ramp's top is flat [1]: a winding that warms fast feigns 1.3 %."""
_SAME: Final = 0.25
"""Share of the usual rise of duty over command below which two holds are one [1]."""
_LEVELS: Final = 4
"""Fewest levels from which a usual rise is known."""
_APART: Final = 0.02
"""Least command between two holds [1]."""
_TURNS: Final = 0.02
"""Share of top speed from which a rotor turns [1]."""
_SPINS_UP: Final = 0.15
"""Time in which a rotor that is driven gets there [s]."""
_LATE: Final = 0.12
"""Command below which a controller may leave the rotor at rest [1]: 5 to 10 % are usual."""


def check_endpoints(evidence: Evidence) -> list[Finding]:
    """Return a finding for the upper and one for the lower end of the command where the rotor does not follow there."""
    if evidence.job.run.kind not in {"ramp", "holds"}:
        return []
    return [*_upper(evidence), *_lower(evidence)]


def full_command(evidence: Evidence) -> tuple[float, float] | None:
    """Return the command up to which the rotor followed, and the greatest command; None where untold."""
    prepared = evidence.prepared
    throttle = prepared.bins.get("throttle")
    if throttle is None or prepared.abscissa != "speed":
        return None
    rows = prepared.spells.powered & np.isfinite(throttle)
    if evidence.job.run.kind == "holds":
        duty = relative_duty(evidence)
        return None if duty is None else _by_levels(evidence, duty, throttle)
    if not rows.any():
        return None
    last = max(2, round(_TOPMOST / prepared.bins.width))
    first_at_top = int(np.argmax(np.where(rows, throttle, -1.0) >= float(throttle[rows].max()) - 1e-4))
    rows[first_at_top + last :] = False  # neither a long plateau, which warms, nor a leg down
    command, per_volt = throttle[rows], _speed_per_volt(evidence, rows)[rows]
    if command.size < 2 * _FEWEST:
        return None
    most = float(np.sort(per_volt)[-last:].mean())
    body = (per_volt > _BODY[0] * most) & (per_volt < _BODY[1] * most)
    if np.count_nonzero(body) < _FEWEST:
        return None
    reached = float(np.polyval(np.polyfit(per_volt[body] / most - 1.0, command[body], 2), 0.0))
    return reached, float(command.max())


def _speed_per_volt(evidence: Evidence, rows: np.ndarray) -> Floats:
    """Return speed over voltage at all bins (n,), or speed where there is none: a supply that sags is no flat top."""
    voltage, drive = evidence.prepared.bins.get("voltage"), evidence.prepared.spells.drive
    if voltage is None or not np.all(voltage[rows] > 0.0):
        return drive
    return np.asarray(drive / np.where(rows, voltage, 1.0))


def _by_levels(evidence: Evidence, duty: Floats, throttle: Floats) -> tuple[float, float] | None:
    """Return the lowest of the topmost holds that have one duty, and the highest."""
    segment = evidence.prepared.spells.segment
    levels: dict[float, list[float]] = {}
    for number in range(1, int(segment.max(initial=0)) + 1):
        inside = np.flatnonzero(segment == number)
        known = duty[inside][np.isfinite(duty[inside])]
        if known.size:
            levels.setdefault(round(float(np.median(throttle[inside])), 2), []).append(float(np.mean(known)))
    commands = sorted(levels)
    if len(commands) < _LEVELS:
        return None
    duties = [float(np.mean(levels[command])) for command in commands]
    middle = len(commands) // 2  # below, friction and idling weigh too much
    usual = (duties[-1] - duties[middle]) / (commands[-1] - commands[middle])
    lowest = len(commands) - 1
    while lowest > middle and duties[-1] - duties[lowest - 1] < _SAME * usual * (commands[-1] - commands[lowest - 1]):
        lowest -= 1
    return commands[lowest], commands[-1]


def first_command(evidence: Evidence) -> float | None:
    """Return the greatest command that left the rotor at rest at the beginning, its spin-up allowed for."""
    prepared = evidence.prepared
    throttle = prepared.bins.get("throttle")
    if throttle is None or prepared.abscissa != "speed" or not np.all(np.isfinite(throttle)):
        return None
    turning = prepared.spells.drive > _TURNS * prepared.spells.top
    if not turning.any() or turning[0]:
        return None
    start = float(prepared.bins.time[int(np.argmax(turning))])
    before = prepared.bins.time <= start - _SPINS_UP
    return float(throttle[before].max()) if before.any() else None


def _upper(evidence: Evidence) -> list[Finding]:
    found = full_command(evidence)
    if found is None:
        return []
    reached, greatest = found
    flat = _APART if evidence.job.run.kind == "holds" else _FLAT_RAMP
    if greatest - reached < flat:
        return []
    return [
        _finding(
            f"the rotor follows the command up to {100.0 * reached:.1f} %, but it goes on to {100.0 * greatest:.1f} %",
            f"throttle at every thrust is some {100.0 * (greatest / reached - 1.0):.1f} % lower than on a controller "
            "that knows its end point",
        )
    ]


def _lower(evidence: Evidence) -> list[Finding]:
    first = first_command(evidence)
    if first is None or first < _LATE:
        return []
    return [
        _finding(
            f"the rotor does not turn below {100.0 * first:.1f} % of the command",
            "throttle at low thrust is higher than on a controller that knows its end point, by up to as much",
        )
    ]


def _finding(message: str, effect: str) -> Finding:
    return Finding(
        code="throttle-range-short",
        severity="warning",
        message=f"{message}: the controller is not calibrated to the ends of the range, or limits the motor",
        channel="throttle",
        effect=effect,
        done="nothing: thrust against speed and power stands",
    )
