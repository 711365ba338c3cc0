"""A run made ready for fitting: loads, bins, spells, transients."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from isothrust.errors import ReductionError, Where
from isothrust.records.curve import Abscissa
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Floats, Recording
from isothrust.reduction.bins import Bins, make_bins
from isothrust.reduction.loads import Loads, load_channels
from isothrust.reduction.site import Site, make_site
from isothrust.reduction.spells import POINTS, Spells, find_spells, number_spells
from isothrust.reduction.transients import Transients, cut_transients
from isothrust.science.alignment import smoothed_slope

__all__ = ["Prepared", "prepare"]

_FEWEST = 6
_AGAIN = 0.3
"""Different readings for each one read, at most, where a speed is coarse."""
_COARSE = 0.005
"""Share of the greatest speed that a step of a coarse reading is at least."""
_NEARLY = 0.8
_SLOPE_SPAN = 0.1
"""Half the time over which a rate of change is taken [s]: a ramp is straight over that, noise is not."""
_FILTER_SPAN = 1.0
"""Longest correlation that a filter or the air can leave in the residuals [s]."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """Everything that the fits of one run start from."""

    job: RunJob
    loads: Loads
    bins: Bins
    spells: Spells
    site: Site
    abscissa: Abscissa
    transients: Transients | None

    def steady(self, quantity: str) -> Floats | None:
        """Return bin means of a channel at the steady bins; None where the log has none, with gaps or nothing but 0."""
        values = self.bins.get(quantity)
        if values is None:
            return None
        kept = values[self.spells.steady]
        return kept if np.all(np.isfinite(kept)) and np.any(kept != 0.0) else None

    def rate(self, quantity: str) -> Floats:
        """Return the rate of change of a channel at the steady bins [SI/s]; zero where rows are working points."""
        if self.bins.width >= POINTS:
            return np.zeros(int(np.count_nonzero(self.spells.steady)))
        values = self.bins.values[quantity]
        known = np.isfinite(values)
        if not known.all():
            values = np.interp(self.bins.time, self.bins.time[known], values[known])
        half = max(1, round(_SLOPE_SPAN / self.bins.width))
        return smoothed_slope(self.bins.time, values, half_width=half)[self.spells.steady]


def prepare(recording: Recording, job: RunJob) -> Prepared:
    """Return the run on bins, with its steady spells and transients; raise where there is nothing to fit."""
    loads = load_channels(recording, job)
    leader = _leader(loads.channels)
    if leader is None:
        raise _nothing(job, recording, "no two usable samples of thrust, torque, speed or current are left")
    if set(loads.channels) <= {"speed", "acceleration", "sound"}:
        raise _nothing(job, recording, "there is nothing but speed" + _coarsely(loads.channels.get("speed")))
    bins = make_bins(loads.channels, leader=leader)
    speed = bins.get("speed")
    abscissa: Abscissa = "speed" if speed is not None else "root-thrust"
    if speed is None and bins.get("thrust") is None:
        raise _nothing(job, recording, "there is neither speed nor thrust")
    drive = speed if speed is not None else np.sqrt(np.maximum(bins.values["thrust"], 0.0))
    spells = _usable(find_spells(bins, drive, kind=job.run.kind), bins)
    _check_moving(job, recording, bins, spells)
    steady = spells.steady
    reach = 0.35 * spells.top if job.run.kind == "coast" else None
    longest = max(2, round(_FILTER_SPAN / bins.width))
    site = make_site(spells.drive[steady], spells.segment[steady], longest=longest, reach=reach)
    transients = cut_transients(loads.channels, spells.transients, leader=leader) if speed is not None else None
    return Prepared(job, loads, bins, spells, site, abscissa, transients)


def _coarsely(speed: Channel | None) -> str:
    """Return in words how coarse a speed is that nothing else stands beside; '' where it is fine."""
    if speed is None or speed.values.ndim != 1:
        return ""
    changes = np.abs(np.diff(speed.values))
    changes = changes[changes > 0.0]
    levels = np.unique(speed.values).size
    if changes.size < _FEWEST or levels > _AGAIN * speed.values.size:
        return ""
    step = float(np.median(changes))
    top = float(speed.values.max())
    if step < _COARSE * top:
        return ""
    rpm = 30.0 / np.pi
    return f", read in steps of some {rpm * step:.0f} rpm ({levels} different readings up to {rpm * top:.0f} rpm),"


def _leader(channels: Mapping[str, Channel]) -> str | None:
    """Return the channel whose clock the bins stand on: the first of these that lasts nearly as long as the longest."""
    lasts = {
        name: float(channels[name].time[-1] - channels[name].time[0])
        for name in ("thrust", "torque", "speed", "current")
        if name in channels
    }
    return next((name for name, span in lasts.items() if span >= _NEARLY * max(lasts.values())), None)


def _usable(spells: Spells, bins: Bins) -> Spells:
    """Leave out the bins in which a channel has nothing, unless it has nothing almost everywhere."""
    steady = spells.steady.copy()
    for values in bins.values.values():
        known = np.isfinite(values)
        if np.count_nonzero(known & spells.steady) > 0.5 * np.count_nonzero(spells.steady):
            steady &= known
    return Spells(
        spells.drive,
        spells.slope,
        spells.powered,
        steady,
        number_spells(steady),
        spells.falling & steady,
        spells.transients,
        spells.top,
    )


def _nothing(job: RunJob, recording: Recording, what: str) -> ReductionError:
    file = recording.sources[0].file if recording.sources else job.run.files.get("log", "")
    return ReductionError(
        f"{what} in run {job.run.name}",
        code="nothing-to-reduce",
        where=Where(file),
        expected="thrust against speed, throttle or current",
        fix=f"map the log's columns in rigs/{job.rig.name}.toml",
    )


def _check_moving(job: RunJob, recording: Recording, bins: Bins, spells: Spells) -> None:
    file = recording.sources[0].file if recording.sources else job.run.files.get("log", "")
    throttle = bins.get("throttle")
    if job.run.kind in {"ramp", "steps"} and throttle is not None:
        known = throttle[np.isfinite(throttle)]
        low, high = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
        if high - low < 0.01:
            raise ReductionError(
                f"the throttle of run {job.run.name} never moves: it stays at {100.0 * high:.1f} %",
                code="throttle-still",
                where=Where(file),
                expected=f"a throttle that rises, as kind = {job.run.kind} says",
                fix="give the run its true kind in runs.csv (holds, coast or zero), or map the column that holds "
                "the command",
            )
    if np.count_nonzero(spells.steady) < _FEWEST:
        raise ReductionError(
            f"run {job.run.name} has no spell in which the rotor turns under power and slowly enough to be reduced",
            code="no-steady-spell",
            where=Where(file),
            expected="a ramp slower than 60 % of top speed a second, or holds longer than half a second",
            fix="check the kind in runs.csv and the channels speed and throttle in the rig file; run: isothrust check "
            + job.run.name,
        )
