"""A controller that lost the rotor: speed and thrust collapse for a moment, though the command did not."""

from __future__ import annotations

from typing import Final

import numpy as np

from isothrust.records.finding import Finding
from isothrust.reduction.evidence import Evidence

__all__ = ["check_desync"]

_BEFORE: Final = 0.3
"""Time [s] before, over which speed is looked back on."""
_BACK: Final = 0.8
"""Longest time [s] in which the rotor must be back."""
_DEPTH: Final = 0.04
"""Least share of speed that is lost [1]; a commutation that slips for 20 ms costs 5 %."""
_FAST: Final = 0.25
"""Share of top speed above which it is looked for [1]."""
_BACK_TO: Final = 0.97
"""Share of the former speed that counts as back [1]."""
_FELT: Final = 0.5
"""Share of the loss of speed that thrust, torque or current must show [1]: a tachometer alone may be wrong."""
_SCATTERS: Final = 2.0
"""Multiple of a channel's scatter on either side, its slope among it, that does not count [1]."""
_COMMAND: Final[tuple[float, float]] = (0.01, 0.1)
"""What the command may have fallen by before, and risen by until the rotor is back [1]."""


def check_desync(evidence: Evidence) -> list[Finding]:
    """Return a finding for all notches in speed that another channel felt, too."""
    prepared = evidence.prepared
    bins, spells = prepared.bins, prepared.spells
    throttle = bins.get("throttle")
    if throttle is None or prepared.abscissa != "speed" or bins.width > 0.25 * _BEFORE:
        return []
    before, back = round(_BEFORE / bins.width), round(_BACK / bins.width)
    drive = spells.drive
    former = drive.copy()
    command = throttle.copy()
    for shift in range(1, before + 1):
        np.maximum(former[shift:], drive[:-shift], out=former[shift:])
        np.fmax(command[shift:], throttle[:-shift], out=command[shift:])
    low = (drive < (1.0 - _DEPTH) * former) & (former > _FAST * spells.top) & (throttle > command - _COMMAND[0])
    notches: list[tuple[int, int, float]] = []
    done = -1
    for at in np.flatnonzero(low).tolist():
        if at <= done:
            continue
        ahead = drive[at : at + back]
        returned = np.flatnonzero(ahead >= _BACK_TO * former[at])
        if returned.size == 0:
            continue
        end = at + int(returned[0])
        done = end
        around = throttle[max(0, at - before) : end + 1]
        if throttle[end] > command[at] + _COMMAND[1] or float(np.max(np.abs(np.diff(around)))) > _COMMAND[0]:
            continue  # a command that steps leads the rotor elsewhere, or through a stop
        depth = 1.0 - float(ahead[: returned[0] + 1].min() / former[at])
        if _felt(evidence, at, end, before) > _FELT * depth:
            notches.append((at, end, depth))
    return [_finding(evidence, notches)] if notches else []


def _felt(evidence: Evidence, first: int, last: int, before: int) -> float:
    """Return the greatest share by which thrust or torque fell below, or current rose above, both of its sides."""
    bins, late = evidence.prepared.bins, max(2, before // 3)  # the cells' filters are late
    felt = 0.0
    for name in ("thrust", "torque", "current"):
        values = bins.get(name)
        if values is None:
            continue
        parts = (
            values[max(0, first - before) : max(1, first - 1)],
            values[max(0, first - 1) : last + late + 1],
            values[last + late + 1 : last + late + before],
        )
        former, meanwhile, later = (part[np.isfinite(part)] for part in parts)
        if former.size == 0 or meanwhile.size == 0 or later.size == 0:
            continue
        sides = float(np.median(former)), float(np.median(later))
        if min(sides) <= 0.0:
            continue
        scatter = _SCATTERS * max(float(np.std(former)), float(np.std(later)))
        if name == "current":
            felt = max(felt, (float(meanwhile.max()) - scatter) / max(sides) - 1.0)
        else:
            felt = max(felt, 1.0 - (float(meanwhile.min()) + scatter) / min(sides))
    return felt


def _finding(evidence: Evidence, notches: list[tuple[int, int, float]]) -> Finding:
    bins = evidence.prepared.bins
    first, last = notches[0][0], notches[-1][1]
    at, end, depth = max(notches, key=lambda notch: notch[2])
    lasted = 1e3 * float(bins.time[end] - bins.time[at] + bins.width)
    current = bins.get("current")
    surge = ""
    if current is not None and np.any(np.isfinite(current[at : end + 1])):
        surge = f", with a current of up to {float(np.nanmax(current[max(0, at - 2) : end + 1])):.3g} A"
    share = 100.0 * depth
    return Finding(
        code="desynchronised",
        severity="warning",
        message=f"speed falls by {share:.0f} % for {lasted:.0f} ms at {float(bins.time[at]):.2f} s and comes back, "
        f"though the command does not fall{surge}: the controller lost the rotor "
        f"({len(notches)} time{'s' if notches[1:] else ''})",
        channel="speed",
        start=float(bins.time[first]),
        end=float(bins.time[last]),
        count=len(notches),
        effect=f"thrust is {min(100.0, 2.0 * share):.0f} % lower for that moment; curves move little, peaks and the "
        "throttle near it may",
        done="falls faster than a fifth of top speed a second were left out of the curves, with 0.25 s after them",
    )
