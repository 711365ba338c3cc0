"""Short spells in which the tachometer lost marks or counted one too many."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.bridge import bridged
from isothrust.reduction.ranges import rough_quantiles

__all__ = ["check_tachometer"]

_LONGEST = 0.3
"""A spell that lasts longer [s] is not left out here: a rotor could really have done that."""
_CLASSES = (
    ("tachometer-dropout", 0.0, 0.3, "lost the marks"),
    ("tachometer-half-count", 0.42, 0.58, "counted one mark in two"),
    ("tachometer-double-count", 1.75, 2.25, "counted each mark twice"),
    ("tachometer-jump", -np.inf, np.inf, "jumped"),
)


def check_tachometer(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the speed channel without short impossible spells, and one finding a kind."""
    w = channel.values
    if w.size < 8:
        return channel, []
    (top,) = rough_quantiles(w, 0.95)
    if top <= 0.0:
        return channel, []
    quiet = 0.05 * top
    ratio = (w[1:] + quiet) / (w[:-1] + quiet)
    jumps = np.flatnonzero((ratio < 0.72) | (ratio > 1.4))
    if jumps.size < 2:
        return channel, []
    spells = _short_spells(channel.time, w, jumps, quiet)
    if not spells:
        return channel, []
    keep = np.ones(w.size, dtype=bool)
    kinds: dict[str, list[tuple[int, int]]] = {}
    for first, last, level in spells:
        keep[first : last + 1] = False
        kinds.setdefault(_kind(level), []).append((first, last))
    findings = [_finding(channel, kind, places) for kind, places in kinds.items()]
    return bridged(channel, keep), findings


def _short_spells(t: Floats, w: Floats, jumps: np.ndarray, quiet: float) -> list[tuple[int, int, float]]:
    """First and last sample, and level, of each spell between two jumps with the same speed on both sides."""
    spells: list[tuple[int, int, float]] = []
    done = -1
    for place, jump in enumerate(jumps):
        if jump <= done:
            continue
        for back in jumps[place + 1 : place + 4]:
            if t[back + 1] - t[jump] > _LONGEST + 2.0 * (t[jump + 1] - t[jump]):
                break
            before, after = w[jump], w[back + 1]
            if min(before, after) > 2.0 * quiet and abs(after - before) < 0.15 * max(before, after):
                level = float(np.median(w[jump + 1 : back + 1])) / (0.5 * (before + after))
                if not 0.72 < level < 1.4:
                    spells.append((int(jump) + 1, int(back), level))
                    done = int(back)
                    break
    return spells


def _kind(level: float) -> str:
    return next(code for code, low, high, _ in _CLASSES if low <= level <= high)


def _finding(channel: Channel, code: str, places: list[tuple[int, int]]) -> Finding:
    count = sum(last - first + 1 for first, last in places)
    words = next(text for name, _, _, text in _CLASSES if name == code)
    return Finding(
        code=code,
        severity="warning",
        message=f"the tachometer {words} in {len(places)} short spells, {count} samples in all",
        channel="speed",
        start=float(channel.time[places[0][0]]),
        end=float(channel.time[places[-1][1]]),
        count=count,
        effect="a wrong speed counts twice in a coefficient",
        done="these samples were left out and bridged by a straight line",
    )
