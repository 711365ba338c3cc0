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
_A_BLIP = 0.2
"""Interval [s] above which a whole blip of the drive may pass in three readings, however far it goes."""
_SLOW = 0.0025
"""Interval [s] above which a transient of the drive may pass within a sample or two."""
_BESIDE = 12
"""Readings on either side: the nearest three may be flanks, the others tell the level."""
_FLANK = 0.25
"""Share of a spike's height that may still stand beside it: what builds up or dies away is a pulse of the drive."""
_WEIGHTLESS = 1e-3
"""Share of the channel's range below which a single reading moves nothing: a digit that turned over and back."""
_CUT = 6
"""Readings off the wall, among some eighty at it, that make noise of them which the wall cuts off."""
_OFF_WALL = (0.05, 0.25)
"""Shares of the channel's range that a reading must stand off the end of it, where the readings about it all lie, and
where noise is seen to be cut off there: how far noise goes cannot be told at a wall."""
_NEARLY = 0.1
"""Share of the readings at either end that do not count for that range: twice what may be glitches."""
_WILD = 5.0
"""Multiple of the range of nearly all readings: no surge of a drive goes so far beyond it."""
_MOST, _MOST_WILD = 50, 20
"""One reading in so many may be a spike; one in so many where each is wild, so that none can be noise."""


def check_spikes(channel: Channel) -> tuple[Channel, list[Finding]]:
    """Return the channel without its spikes, and a finding that counts them.

    An edge differs from one side only; a spike differs from both, at once. Where more than one reading in fifty would
    be a spike (in twenty, if all are wild) the channel is noisy, not spiky: what is beyond that is told and left in.
    """
    x = channel.values
    if x.ndim != 1 or x.size < 12:
        return channel, []
    out, left = set[int](), set[int]()
    cleaned = channel
    for _ in range(_PASSES):  # a great spike hides lesser ones nearby
        more = _found(cleaned)
        if not more or len(out | more) > x.size // _MOST:
            break
        out |= more
        cleaned = _without(channel, out)
    if out and _SLOW < usual_interval(channel.time) < _A_BLIP:
        left = _wild(cleaned.values)
        if len(out | left) <= x.size // _MOST_WILD:
            out, left = out | left, set()
            cleaned = _without(channel, out)
    if not out:
        return channel, []
    at = np.array(sorted(out))
    worst = at[int(np.argmax(np.abs(x[at] - float(np.median(x)))))]
    finding = Finding(
        code="spikes",
        severity="warning",
        message=f"{at.size} single readings stand far outside their neighbours, the worst "
        f"{said_reading(channel.quantity, x[worst])} at {channel.time[worst]:.3f} s"
        + (f"; {len(left)} more like them are too many for single glitches, and stay" if left else ""),
        channel=channel.quantity,
        start=float(channel.time[at[0]]),
        end=float(channel.time[at[-1]]),
        count=int(at.size),
        effect=f"{len(left)} that stay pull the figures around their speeds"
        if left
        else "none once they are out; left in, each would pull the figures around its speed",
        done="these readings were left out and bridged by a straight line",
    )
    return cleaned, [finding]


def _found(channel: Channel) -> set[int]:
    x = channel.values
    bend = np.abs(x[1:-1] - 0.5 * (x[:-2] + x[2:]))
    far = 1 + np.flatnonzero(bend > _FAR * np.maximum(_scatter_nearby(bend), _grain(channel)))
    if far.size == 0 or far.size > x.size // 10:
        return set()
    slow = usual_interval(channel.time) > _SLOW
    found = _spikes_among(x, bend, far, _grain(channel))
    if not slow:
        return _sudden(x, found, longest=_LONGEST)
    return _sudden(x, _gross(x, found) | (_wild(x) & found), longest=0)


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


def _sudden(x: Floats, found: set[int], *, longest: int) -> set[int]:
    """Keep what is there at once and gone at once; what lasts for more than `longest` with its flanks is a pulse."""
    out: set[int] = set()
    ordered = np.array(sorted(found), dtype=np.intp)
    for group in np.split(ordered, 1 + np.flatnonzero(np.diff(ordered) > 1)) if found else ():
        low, high = int(group[0]), int(group[-1])
        flanks = _flank(x[low], x[max(0, low - _BESIDE) : low][::-1])
        flanks += _flank(x[high], x[high + 1 : high + 1 + _BESIDE])
        if flanks == 0 or group.size + flanks <= longest:
            out |= set(group.tolist())
    return out


def _flank(edge: float, beside: Floats) -> int:
    """Return how many readings beside a spike's edge, the nearest first, have left the level for it."""
    level = middle(beside[_LONGEST:])
    risen = np.abs(beside - level) > _FLANK * abs(edge - level)
    return int(np.argmin(np.append(risen, False)))


def _wild(x: Floats) -> set[int]:
    """Return what stands many times their range outside nearly all other readings, for up to three in a row."""
    low, high = np.quantile(x, [_NEARLY, 1.0 - _NEARLY])
    margin = _WILD * (high - low)
    at = np.flatnonzero((x < low - margin) | (x > high + margin))
    if margin == 0.0 or at.size == 0:
        return set()
    rows = np.split(at, 1 + np.flatnonzero(np.diff(at) > 1))
    return {int(i) for row in rows if row.size <= _LONGEST for i in row}


def _gross(x: Floats, found: set[int]) -> set[int]:
    """Keep what lies far outside all other readings: in a slow channel a real sag or surge is as short as a spike."""
    others = np.delete(x, sorted(found))
    low, high = float(others.min()), float(others.max())
    margin = 0.5 * (high - low)
    return {i for i in found if not low - margin <= x[i] <= high + margin}


def _grain(channel: Channel) -> float:
    """Least scatter that means anything: the log's own resolution, or a hundred-thousandth of the range."""
    span = float(np.ptp(channel.values))
    low, usual, high = rough_quantiles(channel.values, 0.02, 0.5, 0.98)
    rough = max(1e-5 * min(span, 100.0 * abs(usual) + 1e-300), _WEIGHTLESS * (high - low) / _FAR)
    return max(channel.resolution or 0.0, rough)


def _inner_range(few: Floats) -> float:
    """Return the range of a few readings without their greatest and least: one of them may be a spike itself."""
    ordered = np.sort(few)
    return float(ordered[-2] - ordered[1]) if few.size > 3 else float(ordered[-1] - ordered[0])


def _off_wall(x: Floats, level: float, beside: Floats) -> float:
    """Return how far a spike must stand off the end of the channel's range, where the readings beside it all lie."""
    if level not in {float(x.min()), float(x.max())}:
        return 0.0
    least, greatest = rough_quantiles(x, 0.02, 0.98)
    noisy = int(np.count_nonzero(beside != level)) >= _CUT
    return _OFF_WALL[noisy] * (greatest - least)


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
        if (rise > 0.0) != (fall > 0.0) or min(abs(rise), abs(fall)) <= max(_FAR * scatter, 2.0 * step, 4.0 * slope):
            continue
        if step > 0.0 or abs(rise) > _off_wall(x, usual_before, x[low:high]):
            found.add(int(centre))
    # the middle of three equal wild readings does not bend: it goes with its neighbours
    return found | {i + 1 for i in found if i + 2 in found}
