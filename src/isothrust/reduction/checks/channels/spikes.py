"""Single readings, up to three in a row, that stand far outside what stands before and after them."""

from __future__ import annotations

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.reduction.checks.bridge import bridged
from isothrust.reduction.ranges import middle, rough_quantiles, usual_interval
from isothrust.reduction.words import said_reading

__all__ = ["check_spikes"]

_FAR = 12.0
"""Multiple of the local scatter: a Gaussian reading never gets there; an edge does, and is told apart below."""
_LONGEST = 3
_AROUND = 40
_STRETCH = 128
_PASSES = 4
_SLOW = 0.0025
"""Interval [s] above which a transient of the drive may pass within a sample or two."""


def check_spikes(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the channel without its spikes, and a finding that counts them.

    An edge differs from one side only; a spike differs from both. Where more than one reading in fifty would be a
    spike the channel is noisy, not spiky, and nothing is left out.
    """
    x = channel.values
    if x.ndim != 1 or x.size < 12:
        return channel, []
    out: set[int] = set()
    cleaned = channel
    for _ in range(_PASSES):  # a great spike hides lesser ones nearby
        more = _found(cleaned)
        if not more or len(out | more) > x.size // 50:
            break
        out |= more
        cleaned = _without(channel, out)
    if not out:
        return channel, []
    at = np.array(sorted(out))
    worst = at[int(np.argmax(np.abs(x[at] - float(np.median(x)))))]
    finding = Finding(
        code="spikes",
        severity="warning",
        message=f"{at.size} single readings stand far outside their neighbours, the worst "
        f"{said_reading(channel.quantity, x[worst])} at {channel.time[worst]:.3f} s",
        channel=channel.quantity,
        start=float(channel.time[at[0]]),
        end=float(channel.time[at[-1]]),
        count=int(at.size),
        effect="none once they are out; left in, each would pull the figures around its speed",
        done="these readings were left out and bridged by a straight line",
    )
    return cleaned, [finding]


def _found(channel: Channel) -> set[int]:
    x = channel.values
    bend = np.abs(x[1:-1] - 0.5 * (x[:-2] + x[2:]))
    far = 1 + np.flatnonzero(bend > _FAR * np.maximum(_scatter_nearby(bend), _grain(channel)))
    if far.size == 0 or far.size > x.size // 10:
        return set()
    found = _spikes_among(x, bend, far, _grain(channel))
    return _gross(x, found) if usual_interval(channel.time) > _SLOW else found


def _without(channel: Channel, out: set[int]) -> Channel:
    keep = np.ones(channel.values.size, dtype=bool)
    keep[list(out)] = False
    return bridged(channel, keep)


def _scatter_nearby(bend: Floats) -> Floats:
    """Mean bend of each stretch of 128, spread over the stretch: noise grows with speed, so one level does not do.

    A spike raises its own stretch's mean by a sixty-fourth of its height, not enough to hide behind twelve times that.
    """
    whole = bend.size // _STRETCH
    if whole < 2:
        return np.full(bend.size, float(np.median(bend)))
    level = bend[: whole * _STRETCH].reshape(whole, _STRETCH).mean(axis=1)
    return np.repeat(level, _STRETCH)[np.minimum(np.arange(bend.size), whole * _STRETCH - 1)]


def _gross(x: Floats, found: set[int]) -> set[int]:
    """Keep what lies far outside all other readings: in a slow channel a real sag or surge is as short as a spike."""
    others = np.delete(x, sorted(found))
    low, high = float(others.min()), float(others.max())
    margin = 0.5 * (high - low)
    return {i for i in found if not low - margin <= x[i] <= high + margin}


def _grain(channel: Channel) -> float:
    """Least scatter that means anything: the log's own resolution, or a hundred-thousandth of the range."""
    span = float(np.ptp(channel.values))
    (usual,) = rough_quantiles(np.abs(channel.values), 0.5)
    return max(channel.resolution or 0.0, 1e-5 * min(span, 100.0 * usual + 1e-300))


def _inner_range(few: Floats) -> float:
    """Return the range of a few readings without their greatest and least: one of them may be a spike itself."""
    ordered = np.sort(few)
    return float(ordered[-2] - ordered[1]) if few.size > 3 else float(ordered[-1] - ordered[0])


def _spikes_among(x: Floats, bend: Floats, far: np.ndarray, grain: float) -> set[int]:
    found: set[int] = set()
    for centre in far:
        low, high = max(0, centre - _AROUND), min(bend.size, centre + _AROUND)
        scatter = max(middle(bend[low:high]), grain)
        before = x[max(0, centre - _LONGEST - 5) : max(0, centre - _LONGEST + 1)]
        after = x[centre + _LONGEST : centre + _LONGEST + 6]
        if before.size < 3 or after.size < 3:
            continue
        usual_before, usual_after = middle(before), middle(after)
        rise, fall = x[centre] - usual_before, x[centre] - usual_after
        step = abs(usual_after - usual_before)
        slope = max(_inner_range(before), _inner_range(after))  # a surge of the drive comes and goes in a few samples
        if (rise > 0.0) == (fall > 0.0) and min(abs(rise), abs(fall)) > max(_FAR * scatter, 2.0 * step, 4.0 * slope):
            found.add(int(centre))
    # the middle of three equal wild readings does not bend: it goes with its neighbours
    return found | {i + 1 for i in found if i + 2 in found}
