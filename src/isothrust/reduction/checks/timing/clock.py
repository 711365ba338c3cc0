"""Time stamps that repeat or step back: those samples are left out, the order of the log is never changed."""

from __future__ import annotations

from bisect import bisect_left

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats

__all__ = ["check_clock"]


def plural(count: int) -> str:
    """Return the ending of a counted noun."""
    return "" if count == 1 else "s"


def check_clock(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the channel with strictly rising times, and what had to be left out."""
    step = np.diff(channel.time)
    if step.size == 0 or float(step.min()) > 0.0:
        return channel, []
    keep = np.concatenate([[True], step != 0.0])
    if float(step.min()) < 0.0:
        keep[keep] = _longest_rise(channel.time[keep])
    kept = Channel(channel.quantity, channel.time[keep], channel.values[keep], channel.resolution)
    return kept, [*_repeats(channel, step), *_reversals(channel, step, keep)]


def _longest_rise(time: Floats) -> np.ndarray:
    """Return the mask (n,) of the longest strictly rising selection: the fewest rows go, be they ahead or behind."""
    ends: list[float] = []  # ends[k]: least last stamp of a rise of k + 1 rows
    length = np.empty(time.size, dtype=np.intp)
    for row, stamp in enumerate(time.tolist()):
        place = bisect_left(ends, stamp)
        ends[place : place + 1] = [stamp]
        length[row] = place
    keep = np.zeros(time.size, dtype=bool)
    wanted, limit = len(ends) - 1, np.inf
    for row in range(time.size - 1, -1, -1):
        if length[row] == wanted and time[row] < limit:
            keep[row], limit, wanted = True, time[row], wanted - 1
    return keep


def _repeats(channel: Channel, step: Floats) -> list[Finding]:
    at = np.flatnonzero(step == 0.0)
    if at.size == 0:
        return []
    share = 100.0 * at.size / channel.time.size
    return [
        Finding(
            code="clock-repeated",
            severity="warning" if share > 1.0 else "note",
            message=f"{at.size} time stamps repeat the one before ({share:.2g} % of the rows)",
            channel="time",
            start=float(channel.time[at[0]]),
            end=float(channel.time[at[-1]]),
            count=int(at.size),
            effect="no figure moves while few rows are concerned",
            done="the later rows of each repeated stamp were left out",
        )
    ]


def _reversals(channel: Channel, step: Floats, keep: np.ndarray) -> list[Finding]:
    at = np.flatnonzero(step < 0.0)
    if at.size == 0:
        return []
    lost = int(np.count_nonzero(~keep)) - int(np.count_nonzero(step == 0.0))
    return [
        Finding(
            code="clock-backward",
            severity="warning",
            message=f"the clock steps back {at.size} time{plural(at.size)}, by up to {-float(step.min()):.3g} s",
            channel="time",
            start=float(channel.time[at[0]]),
            end=float(channel.time[at[-1]]),
            count=int(at.size),
            effect=f"{max(lost, 0)} row{plural(max(lost, 0))} out of order",
            done="the fewest rows that spoil the order were left out",
        )
    ]
