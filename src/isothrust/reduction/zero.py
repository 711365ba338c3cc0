"""Zero of a load channel: its level with the motor off, before and after, and what it did in between."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from isothrust.records.finding import Finding
from isothrust.records.recording import Channel, Floats
from isothrust.records.reduced import ZeroFit
from isothrust.records.rig import ChannelPlan
from isothrust.reduction.ranges import middle, rough_quantiles
from isothrust.reduction.words import said_reading

__all__ = ["RestLevel", "rest_levels", "take_out_zero"]

_ROUNDING = 1e-7
"""Stamps of one run in another form differ by less [s]: a sample on a window's edge must not come and go with it."""
_FEWEST = 3
"""Readings that make a level."""
_WARNED = 1.0
"""Per cent of the greatest reading beyond which a drift is a warning: what its line leaves then passes 0.3 %."""


def take_out_zero(
    channel: Channel, spells: list[tuple[float, float]], plan: ChannelPlan | None
) -> tuple[Channel, ZeroFit, list[Finding]]:
    """Return the channel less its zero, the zero with its uncertainty, and findings.

    Between the middles of two motor-off spells the zero is a straight line in time; before the first and after the
    last it stays level. What a line between two levels may miss is the drift over sqrt(12), a longer average does
    not shrink it. Without any such spell the rig's own stated zero serves, if there is one.
    """
    rests = rest_levels(channel, spells)
    fixed = plan.uncertainty.absolute if plan is not None and plan.uncertainty is not None else 0.0
    if not rests:
        known = plan.zero if plan is not None else None
        fit = ZeroFit(channel.quantity, known, None, None, None, 0.0, fixed)
        freed = replace(channel, values=channel.values - (known or 0.0))
        return freed, fit, [_no_zero(channel) if known is None else _stated_zero(channel, known)]
    windows = [(rest.start, rest.end) for rest in rests]
    levels, spreads, errors = zip(*((rest.level, rest.scatter, rest.error) for rest in rests), strict=True)
    middles = [0.5 * (a + b) for a, b in windows]
    line = np.interp(channel.time, middles, levels)
    moved, since = _greatest_step(middles, levels)
    drift = abs(moved)
    mean_error = float(np.sqrt(np.mean(np.square(errors))))
    uncertainty = float(np.sqrt(mean_error**2 + drift**2 / 12.0 + fixed**2))
    after = len(windows) > 1
    fit = ZeroFit(
        channel=channel.quantity,
        before=float(levels[0]),
        after=float(levels[-1]) if after else None,
        before_window=windows[0],
        after_window=windows[-1] if after else None,
        scatter=float(np.sqrt(np.mean(np.square(spreads)))),
        uncertainty=uncertainty,
    )
    freed = Channel(channel.quantity, channel.time, channel.values - line, channel.resolution)
    return freed, fit, _about(freed, _Drift(moved, since, mean_error), windows)


class _Drift(NamedTuple):
    """The greatest change from one rest to the next."""

    moved: float
    """[SI]"""
    since: float
    """Between the middles of the two rests [s]."""
    error: float
    """Standard error of a level [SI]."""


def _greatest_step(middles: list[float], levels: tuple[float, ...]) -> tuple[float, float]:
    if len(levels) < 2:
        return 0.0, 0.0
    steps = np.diff(levels)
    k = int(np.argmax(np.abs(steps)))
    return float(steps[k]), middles[k + 1] - middles[k]


def _within(channel: Channel, start: float, end: float) -> Floats:
    """Return the readings from start to end; cleaned times rise."""
    first, last = np.searchsorted(channel.time, [start - _ROUNDING, end + _ROUNDING])
    return channel.values[first:last]


class RestLevel(NamedTuple):
    """What a channel read over a window with the motor off [SI]."""

    start: float
    end: float
    """[s]"""
    level: float
    scatter: float
    error: float
    """Standard error of the level."""
    readings: int
    """How many counted."""
    left_out: int


def rest_levels(channel: Channel, spells: list[tuple[float, float]]) -> list[RestLevel]:
    """Return the channel's level in each spell that holds three readings at least."""
    return [_level(channel, start, end) for start, end in spells if _within(channel, start, end).size >= _FEWEST]


def _level(channel: Channel, start: float, end: float) -> RestLevel:
    """Return mean, scatter and standard error of the mean over a window; eight batches see the correlation.

    A rotor that still creeps below what the tachometer sees holds the torque cell at its friction: such readings, and
    whatever else stands far from the median, do not count.
    """
    inside = _within(channel, start, end)
    away = np.abs(inside - middle(inside))
    kept = inside[away <= 4.0 * max(1.4826 * middle(away), channel.resolution or 0.0, 1e-12)]
    scatter = float(np.std(kept))
    level = float(np.mean(kept))
    if kept.size < 16:
        error = scatter / max(1.0, float(np.sqrt(kept.size)))
    else:
        batches = kept[: kept.size // 8 * 8].reshape(8, -1).mean(axis=1)
        error = float(np.std(batches, ddof=1) / np.sqrt(8.0))
    return RestLevel(start, end, level, scatter, error, kept.size, inside.size - kept.size)


def _about(channel: Channel, drift: _Drift, windows: list[tuple[float, float]]) -> list[Finding]:
    (top,) = rough_quantiles(np.abs(channel.values), 0.98)
    if len(windows) == 1:
        place = "before" if windows[0][0] <= channel.time[0] + 1.0 else "after"
        return [
            Finding(
                code="zero-one-sided",
                severity="note",
                message=f"the zero of {channel.quantity} was read only {place} the run; its drift is not known",
                channel=channel.quantity,
                start=windows[0][0],
                end=windows[0][1],
                effect="the uncertainty of the zero leaves out any drift",
                done="one level was taken out",
            )
        ]
    size = abs(drift.moved)
    if size <= max(5.0 * drift.error, 0.002 * top):
        return []
    share = 100.0 * size / top if top else float("inf")
    moved, error, rate = (
        said_reading(channel.quantity, value, digits=digits)
        for value, digits in ((size, 3), (np.sqrt(2.0) * drift.error, 2), (size / drift.since, 2))
    )
    return [
        Finding(
            code="zero-drift",
            severity="warning" if share > _WARNED else "note",
            message=f"the zero of {channel.quantity} moved by {moved} during the run ({share:.1f} % of its greatest "
            f"reading; standard error {error}), {rate} a second",
            channel=channel.quantity,
            start=windows[0][1],
            end=windows[-1][0],
            effect=f"up to {share / np.sqrt(12.0):.2f} % of the greatest reading stays in the budget",
            done="a straight line in time was taken out",
        )
    ]


def _stated_zero(channel: Channel, zero: float) -> Finding:
    return Finding(
        code="zero-stated",
        severity="note",
        message=f"no spell with the motor off and the rotor still: the rig's own zero of {channel.quantity}, "
        f"{said_reading(channel.quantity, zero, digits=3)}, was used",
        channel=channel.quantity,
        effect="how far the zero had moved since that calibration is not known",
        done="the stated zero was taken out",
    )


def _no_zero(channel: Channel) -> Finding:
    return Finding(
        code="zero-missing",
        severity="warning",
        message=f"no spell with the motor off and the rotor still: the zero of {channel.quantity} cannot be read",
        channel=channel.quantity,
        effect="whatever the channel reads at rest is inside every figure, most at low thrust",
        done="the readings were taken as they are",
    )
